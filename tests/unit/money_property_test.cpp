// What must hold for freight and money whatever the figures: sums to the cent, books that agree,
// deficit weight that never costs more, pallets against brute force. All seeded.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

#include "engine/catalogue/function.hpp"
#include "engine/planning/catalogue.hpp"
#include "engine/planning/freight/pallet_layer.hpp"

namespace loftledger {
namespace {

using catalogue::Answer;
using catalogue::Argument;

// One argument: a number, a text, a truth, or a column of numbers.
struct Given {
  Given(double number) : scalar(number) {}
  Given(const char* text) : scalar(text) {}
  Given(Value value) : scalar(std::move(value)) {}
  Given(const std::vector<double>& column) : matrix(column.size(), 1), is_matrix(true) {
    std::copy(column.begin(), column.end(), matrix.cells().begin());
  }
  Given(Matrix table) : matrix(std::move(table)), is_matrix(true) {}
  Value scalar;
  Matrix matrix;
  bool is_matrix = false;
};

Answer call(std::string_view name, const std::vector<Given>& given) {
  const catalogue::Function* function = planning::catalogue().find(name);
  EXPECT_NE(function, nullptr) << name;
  std::vector<Argument> arguments;
  for (const Given& each : given) {
    arguments.push_back(each.is_matrix ? Argument::of(each.matrix) : Argument::of(each.scalar));
  }
  return catalogue::call(*function, arguments);
}

double number(std::string_view name, const std::vector<Given>& given) {
  const Answer answer = call(name, given);
  const Value* value = std::get_if<Value>(&answer);
  EXPECT_TRUE(value != nullptr && value->kind() == Value::Kind::number)
      << name << ": " << (value != nullptr ? value->error().text() : "an array");
  return value != nullptr ? value->number() : std::nan("");
}

Matrix array(std::string_view name, const std::vector<Given>& given) {
  const Answer answer = call(name, given);
  const Matrix* matrix = std::get_if<Matrix>(&answer);
  EXPECT_NE(matrix, nullptr) << name << ": " << std::get<Value>(answer).error().text();
  return matrix != nullptr ? *matrix : Matrix();
}

// The amount in cents; fails where it is no whole number of them.
std::int64_t cents(double amount) {
  const double scaled = std::round(amount * 100);
  EXPECT_EQ(amount, scaled / 100) << "not a whole number of cents";
  return static_cast<std::int64_t>(scaled);
}

class Random {
 public:
  explicit Random(std::uint64_t seed) : engine_(seed) {}
  std::int64_t whole(std::int64_t low, std::int64_t high) {
    return std::uniform_int_distribution<std::int64_t>(low, high)(engine_);
  }
  double real(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(engine_);
  }
  bool chance(double share) { return real(0, 1) < share; }

 private:
  std::mt19937_64 engine_;
};

TEST(Allocation, AddsUpForAHundredThousandSplits) {
  Random random(20240601);
  for (int trial = 0; trial < 100000; ++trial) {
    std::vector<double> weights(static_cast<std::size_t>(random.whole(1, 12)));
    for (double& weight : weights) {
      if (random.chance(0.2)) continue;
      weight =
          random.chance(0.5) ? static_cast<double>(random.whole(1, 40)) / 4 : random.real(0, 1e4);
    }
    const double sum = std::accumulate(weights.begin(), weights.end(), 0.0);
    const std::int64_t total = sum > 0 ? random.whole(-10'000'000, 10'000'000) : 0;
    const Matrix parts = array("ALLOCATE", {static_cast<double>(total) / 100, weights});
    const Matrix mirrored = array("ALLOCATE", {static_cast<double>(-total) / 100, weights});
    ASSERT_EQ(parts.size(), weights.size());
    std::int64_t added = 0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
      const std::int64_t part = cents(parts.cells()[i].number());
      added += part;
      ASSERT_EQ(cents(mirrored.cells()[i].number()), -part);
      if (weights[i] == 0) {
        ASSERT_EQ(part, 0);
        continue;
      }
      // Quota: no part is a whole coin away from its exact share.
      const double share = static_cast<double>(total) * weights[i] / sum;
      ASSERT_LT(std::abs(static_cast<double>(part) - share), 1 + 1e-6);
    }
    ASSERT_EQ(added, total);
  }
}

TEST(Allocation, EqualWeightsDifferByOneCoinAndTheFirstGetIt) {
  Random random(7);
  for (int trial = 0; trial < 2000; ++trial) {
    const std::vector<double> weights(static_cast<std::size_t>(random.whole(1, 30)),
                                      random.real(0.001, 100));
    const std::int64_t total = random.whole(0, 100000);
    const Matrix parts = array("ALLOCATE", {static_cast<double>(total) / 100, weights});
    const auto count = static_cast<std::int64_t>(weights.size());
    for (std::int64_t i = 0; i < count; ++i) {
      ASSERT_EQ(cents(parts.cells()[static_cast<std::size_t>(i)].number()),
                total / count + (i < total % count ? 1 : 0));
    }
  }
}

struct Receipts {
  std::vector<double> quantities;
  std::vector<double> costs;
  std::int64_t value = 0;  // cents
  double quantity = 0;
};

Receipts random_receipts(Random& random) {
  Receipts out;
  const std::int64_t rows = random.whole(1, 10);
  std::int64_t tenths = 0;
  for (std::int64_t i = 0; i < rows; ++i) {
    const std::int64_t quantity = random.whole(0, 400);
    const std::int64_t cost = random.whole(0, 20000);
    out.quantities.push_back(static_cast<double>(quantity) / 10);
    out.costs.push_back(static_cast<double>(cost) / 100);
    tenths += quantity;
    out.value += (quantity * cost + 5) / 10;
  }
  out.quantity = static_cast<double>(tenths) / 10;
  return out;
}

TEST(Stock, ClosingAndIssuedAreWhatWasReceived) {
  Random random(11);
  for (int trial = 0; trial < 20000; ++trial) {
    const Receipts in = random_receipts(random);
    const double issued =
        random.chance(0.1) ? in.quantity : std::floor(random.real(0, in.quantity * 10)) / 10;
    const std::vector<Given> given{in.quantities, in.costs, issued};
    for (const auto& [out, left] :
         {std::pair{"FIFOCOST", "FIFOCLOSING"}, {"AVERAGECOST", "AVERAGECLOSING"}}) {
      const std::int64_t closing = cents(number(left, given));
      ASSERT_EQ(cents(number(out, given)) + closing, in.value) << out;
      if (issued == in.quantity) {
        ASSERT_EQ(closing, 0) << left;
      }
      ASSERT_GE(closing, 0) << left;
    }
  }
}

TEST(Stock, TheLedgerAgreesWithTheClosing) {
  Random random(12);
  for (int trial = 0; trial < 5000; ++trial) {
    Receipts in = random_receipts(random);
    // Issues between the receipts, never above the stock.
    std::vector<double> quantities;
    std::vector<double> costs;
    std::int64_t on_hand = 0;
    std::int64_t issued = 0;
    for (std::size_t i = 0; i < in.quantities.size(); ++i) {
      quantities.push_back(in.quantities[i]);
      costs.push_back(in.costs[i]);
      on_hand += std::llround(in.quantities[i] * 10);
      const std::int64_t out = random.chance(0.2) ? on_hand : random.whole(0, on_hand);
      quantities.push_back(-static_cast<double>(out) / 10);
      costs.push_back(0);
      on_hand -= out;
      issued += out;
    }
    for (const char* method : {"FIFO", "average"}) {
      const Matrix ledger = array("STOCKLEDGER", {quantities, costs, method});
      std::int64_t value = 0;
      for (std::size_t row = 0; row < ledger.rows(); ++row) {
        value += cents(ledger.at(row, 0).number());
        ASSERT_EQ(cents(ledger.at(row, 2).number()), value);
        if (ledger.at(row, 1).number() == 0) {
          ASSERT_EQ(value, 0) << "nothing is worth nothing";
        }
      }
      const std::size_t last = ledger.rows() - 1;
      ASSERT_EQ(ledger.at(last, 1).number(), static_cast<double>(on_hand) / 10);
      if (std::string_view(method) == "FIFO") {
        // Rounding of part layers may differ by a coin for each time a layer was cut.
        const double closing =
            number("FIFOCLOSING", {in.quantities, in.costs, static_cast<double>(issued) / 10});
        ASSERT_NEAR(static_cast<double>(value) / 100, closing,
                    0.01 * static_cast<double>(quantities.size()));
      }
    }
  }
}

TEST(Margin, ThePriceForAMarginHasThatMargin) {
  Random random(13);
  for (int trial = 0; trial < 20000; ++trial) {
    const double cost = random.real(0.01, 50);
    const double margin = random.real(0, 0.7);
    const double royalty = random.real(0, 0.12);
    const double card = random.real(0, 0.04);
    const double fee = random.real(0, 0.5);
    const double tax = random.real(0, 0.27);
    const double price = number("PRICEFORMARGIN", {cost, margin, royalty, card, fee, tax});
    ASSERT_NEAR(number("MARGINRATE", {price, cost, royalty, card, fee, tax}), margin, 1e-12);
    ASSERT_NEAR(number("MARGINPERBODY", {price, cost, royalty, card, fee, tax}), margin * price,
                1e-11 * price);
    const double mark_up = number("MARKUPRATE", {number("PRICEFORMARGIN", {cost, margin}), cost});
    ASSERT_NEAR(number("MARGINFROMMARKUP", {mark_up}), margin, 1e-12);
    ASSERT_NEAR(number("MARKUPFROMMARGIN", {margin}), mark_up, 1e-11);
  }
}

TEST(CostStack, LinesAddUpToTheTotalAndTheMargin) {
  Random random(14);
  for (int trial = 0; trial < 20000; ++trial) {
    const double price = static_cast<double>(random.whole(500, 9000)) / 100;
    std::vector<Given> given{price};
    double exact = 0;
    for (int i = 0; i < 7; ++i) {
      const double line = random.chance(0.2) ? 0 : random.real(0, 8);
      given.emplace_back(line);
      exact += line;
    }
    const double shrink = random.real(0, 0.1);
    const double royalty = random.real(0, 0.12);
    const double card = random.real(0, 0.04);
    const double fee = random.real(0, 0.5);
    const double tax = random.real(0, 0.27);
    for (double rate : {shrink, royalty, card, fee, tax}) given.emplace_back(rate);
    exact = exact / (1 - shrink) + price * royalty + price * (1 + tax) * card + fee;
    const Matrix stack = array("COSTSTACK", given);
    ASSERT_EQ(stack.rows(), 13U);
    std::int64_t sum = 0;
    for (std::size_t row = 0; row < 10; ++row) sum += cents(stack.at(row, 1).number());
    const std::int64_t total = cents(stack.at(10, 1).number());
    ASSERT_EQ(sum, total);
    ASSERT_NEAR(static_cast<double>(total) / 100, exact, 0.005 + 1e-9);
    ASSERT_EQ(cents(stack.at(11, 1).number()) - total, cents(stack.at(12, 1).number()));
  }
}

TEST(Tax, IsRoundedAsWholeNumbersAre) {
  Random random(15);
  for (int trial = 0; trial < 50000; ++trial) {
    const std::int64_t price = random.whole(-100000, 100000);
    const std::int64_t rate = random.whole(0, 30000);  // in thousandths of a per cent
    const std::int64_t size = (std::abs(price) * rate + 50000) / 100000;
    ASSERT_EQ(cents(number("TAXAMOUNT",
                           {static_cast<double>(price) / 100, static_cast<double>(rate) / 100000})),
              price < 0 ? -size : size)
        << price << " at " << rate;
  }
}

TEST(Tax, WhatIsTakenOutIsTheNearestCoin) {
  Random random(16);
  for (int trial = 0; trial < 20000; ++trial) {
    const double price = static_cast<double>(random.whole(1, 100000)) / 100;
    const double rate = static_cast<double>(random.whole(0, 30000)) / 100000;
    const double before = number("PRICEBEFORETAX", {price, rate});
    cents(before);
    ASSERT_LE(std::abs(before - price / (1 + rate)), 0.005 + 1e-9);
  }
}

TEST(PricePoint, IsTheNextPriceWithTheEnding) {
  Random random(17);
  for (int trial = 0; trial < 20000; ++trial) {
    const std::int64_t price = random.whole(1, 50000);
    const std::int64_t ending = random.whole(1, 999);
    const std::int64_t step = ending < 10 ? 10 : ending < 100 ? 100 : 1000;
    const std::int64_t up = cents(number(
        "PRICEPOINT", {static_cast<double>(price) / 100, static_cast<double>(ending) / 100}));
    ASSERT_GE(up, price);
    ASSERT_LT(up, price + step);
    ASSERT_EQ(up % step, ending);
  }
}

Matrix table(const std::vector<std::vector<double>>& rows) {
  Matrix out(rows.size(), rows.front().size());
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t c = 0; c < rows[r].size(); ++c) out.at(r, c) = Value(rows[r][c]);
  }
  return out;
}

TEST(DeficitWeight, NeverCostsMore) {
  Random random(18);
  int cheaper = 0;
  for (int trial = 0; trial < 20000; ++trial) {
    std::vector<std::vector<double>> rates;
    std::vector<std::vector<double>> bands;
    double weight = 0;
    double rate = random.real(60, 120);
    double price = random.real(5, 20);
    for (std::int64_t i = random.whole(1, 6); i > 0; --i) {
      rates.push_back({weight, rate});
      weight += random.real(50, 600);
      bands.push_back({weight, price, random.chance(0.5) ? random.real(0, 1) : 0});
      rate *= random.real(0.6, 1.0);
      price += random.real(-3, 12);
      price = std::max(price, 0.0);
    }
    const double shipped = random.real(0.1, weight);
    const double minimum = random.chance(0.3) ? random.real(0, 80) : 0;
    const double plain = number("FREIGHTBYRATE", {table(rates), shipped, 100.0, minimum});
    const double deficit =
        number("FREIGHTBYRATE", {table(rates), shipped, 100.0, minimum, Value::boolean(true)});
    ASSERT_LE(deficit, plain);
    ASSERT_GE(deficit, minimum);
    cheaper += deficit < plain;
    // Under the deficit rule more weight never costs less, however the rates fall.
    ASSERT_LE(deficit, number("FREIGHTBYRATE", {table(rates), shipped * random.real(1, 2), 100.0,
                                                minimum, Value::boolean(true)}) *
                           (1 + 1e-12));
    const double band =
        number("FREIGHTFROMTABLE", {table(bands), shipped, minimum, Value::boolean(false), 1.0});
    ASSERT_LE(
        number("FREIGHTFROMTABLE", {table(bands), shipped, minimum, Value::boolean(true), 1.0}),
        band);
  }
  EXPECT_GT(cheaper, 1000) << "the trials must meet the rule";
}

TEST(DimensionalWeight, IsTheSameInEitherUnits) {
  Random random(19);
  for (int trial = 0; trial < 5000; ++trial) {
    std::vector<Given> bare;
    std::vector<Given> united;
    auto add = [&](double value, const char* unit) {
      bare.emplace_back(value);
      united.emplace_back(Value(std::to_string(value) + " " + unit));
    };
    for (int edge = 0; edge < 3; ++edge) {
      add(static_cast<double>(random.whole(40, 480)) / 8, "in");
    }
    add(random.chance(0.5) ? 139 : 166, "in3/lb");
    add(1, "in");
    for (auto* list : {&bare, &united}) list->emplace_back(trial % 2 == 0 ? "up" : "nearest");
    add(1, "lb");
    const double pounds = number("DIMWEIGHT", bare);
    ASSERT_EQ(pounds, std::floor(pounds));
    ASSERT_NEAR(number("DIMWEIGHT", united), pounds * 0.45359237, 1e-12 * pounds);
  }
}

TEST(Payback, IsWhereTheValueTurns) {
  Random random(20);
  for (int trial = 0; trial < 3000; ++trial) {
    std::vector<double> bodies(static_cast<std::size_t>(random.whole(1, 12)));
    for (double& month : bodies) month = static_cast<double>(random.whole(200, 2000));
    const double saving = random.real(0.1, 0.5);
    const double price = random.real(100, 2000);
    const double rate = random.chance(0.3) ? 0 : random.real(0, 0.2);
    const double months = number("OPENERPAYBACK", {price, bodies, saving, 10.0, rate});
    auto value = [&](double after) {
      return number("OPENERNPV", {price, after, bodies, saving, rate, 10.0});
    };
    const double slack = 1e-9 * price;
    ASSERT_GE(value(std::max(1.0, std::ceil(months))), -slack);
    if (months >= 1) {
      ASSERT_LE(value(std::floor(months)), slack);
    }
  }
}

// The most l by w boxes on a small grid, by trying everything: at the first free cell lies a box,
// one way or the other, or nothing.
class Grid {
 public:
  Grid(int length, int width, int l, int w)
      : length_(length), width_(width), l_(l), w_(w), taken_(cells(length, width), false) {}

  int most() {
    place(0, 0, length_ * width_);
    return best_;
  }

 private:
  static std::size_t cells(int a, int b) { return static_cast<std::size_t>(a * b); }

  void place(int from, int count, int free) {
    if (count + free / (l_ * w_) <= best_ && best_ > 0) return;
    while (from < length_ * width_ && taken_[static_cast<std::size_t>(from)]) ++from;
    best_ = std::max(best_, count);
    if (from == length_ * width_) return;
    for (const auto& [across, down] : {std::pair{l_, w_}, std::pair{w_, l_}}) {
      if (!fits(from, across, down)) continue;
      fill(from, across, down, true);
      place(from, count + 1, free - l_ * w_);
      fill(from, across, down, false);
      if (l_ == w_) break;
    }
    taken_[static_cast<std::size_t>(from)] = true;
    place(from + 1, count, free - 1);
    taken_[static_cast<std::size_t>(from)] = false;
  }

  bool fits(int from, int across, int down) const {
    const int x = from % length_;
    const int y = from / length_;
    if (x + across > length_ || y + down > width_) return false;
    for (int i = 0; i < across * down; ++i) {
      if (taken_[cell(x + i % across, y + i / across)]) return false;
    }
    return true;
  }
  void fill(int from, int across, int down, bool taken) {
    for (int i = 0; i < across * down; ++i) {
      taken_[cell(from % length_ + i % across, from / length_ + i / across)] = taken;
    }
  }
  std::size_t cell(int x, int y) const { return static_cast<std::size_t>(y * length_ + x); }

  int length_;
  int width_;
  int l_;
  int w_;
  std::vector<bool> taken_;
  int best_ = 0;
};

TEST(Pallets, AreOptimalOnEverySmallGrid) {
  Random random(21);
  int pinwheels = 0;
  for (int trial = 0; trial < 1500; ++trial) {
    const auto l = static_cast<int>(random.whole(2, 5));
    const auto w = static_cast<int>(random.whole(1, l));
    const auto length = static_cast<int>(random.whole(3, 11));
    const auto width = static_cast<int>(random.whole(3, 9));
    if (length * width > 10 * l * w) continue;
    const int found = planning::cases_in_layer(length, width, l, w);
    ASSERT_EQ(found, Grid(length, width, l, w).most())
        << length << "x" << width << " with " << l << "x" << w;
    pinwheels += found > planning::cases_in_two_blocks(length, width, l, w);
  }
  EXPECT_GT(pinwheels, 0) << "the trials must meet patterns of more than two blocks";
}

// Every straight cut at a whole position, each side with all boxes the same way round.
int two_blocks_by_trying(int length, int width, int l, int w) {
  auto one = [&](int a, int b) { return std::max((a / l) * (b / w), (a / w) * (b / l)); };
  int best = 0;
  for (int cut = 0; cut <= length; ++cut) {
    best = std::max(best, one(cut, width) + one(length - cut, width));
  }
  for (int cut = 0; cut <= width; ++cut) {
    best = std::max(best, one(length, cut) + one(length, width - cut));
  }
  return best;
}

TEST(Pallets, AreNeverWorseThanTwoBlocks) {
  Random random(22);
  for (int trial = 0; trial < 3000; ++trial) {
    const auto l = static_cast<int>(random.whole(12, 60));
    const auto w = static_cast<int>(random.whole(10, 40));
    const auto length = static_cast<int>(random.whole(80, 130));
    const auto width = static_cast<int>(random.whole(60, 120));
    const int tried = two_blocks_by_trying(length, width, l, w);
    ASSERT_EQ(planning::cases_in_two_blocks(length, width, l, w), tried);
    const int found = planning::cases_in_layer(length, width, l, w);
    ASSERT_GE(found, tried);
    ASSERT_LE(found, length * width / (l * w));
    // The same in inches as converted to centimetres.
    ASSERT_EQ(planning::cases_in_layer(length * 2.54, width * 2.54, l * 2.54, w * 2.54), found);
  }
}

TEST(Pallets, TooFineALayerStillGetsTwoBlocks) {
  EXPECT_EQ(planning::cases_in_layer(120, 100, 1.1, 1.3),
            planning::cases_in_two_blocks(120, 100, 1.1, 1.3));
}

}  // namespace
}  // namespace loftledger
