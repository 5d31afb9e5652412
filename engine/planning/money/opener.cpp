// Whether it pays: break-even, and the opener as an investment.
#include <fmt/format.h>

#include <cmath>

#include "engine/base/decimal.hpp"
#include "engine/base/number_text.hpp"
#include "engine/catalogue/describe.hpp"
#include "engine/planning/areas.hpp"
#include "engine/planning/common/periods.hpp"

namespace loftledger::planning {

using namespace catalogue;

namespace {

constexpr double kMonthsPerYear = 12;
constexpr int kMostMonths = 1200;

// --- BREAKEVENBODIES

Result<Count> break_even_bodies(Money fixed, Money margin, Money profit) {
  const Decimal needed = Decimal::seen(fixed.value) + Decimal::seen(profit.value);
  const auto bodies = needed.steps(Decimal::seen(margin.value), Rounding::up);
  if (!bodies) {
    return refuse(1, fmt::format("margin per body is {}, too small beside a fixed cost of {}",
                                 plain_number(margin.value), plain_number(needed.number())));
  }
  return Count{static_cast<double>(*bodies)};
}

constexpr Parameter kBreakEvenBodiesParameters[] = {
    {.name = "fixed cost",
     .text = "Cost of the period that does not depend on the bodies sold: rent, base staff, fees.",
     .rule = Rule::not_negative},
    {.name = "margin per body",
     .text = "What one body leaves (MARGINPERBODY).",
     .rule = Rule::positive},
    {.name = "target profit",
     .text = "Profit that is to be left over as well.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
};
constexpr Example kBreakEvenBodiesExamples[] = {
    {"=BREAKEVENBODIES(6200;12.26)", 506.0},
    {"=BREAKEVENBODIES(6200;12.4)", 500.0},
    {"=BREAKEVENBODIES(6200;0)", Code::argument},
};
constexpr Function kBreakEvenBodies = describe<break_even_bodies>(
    {.id = "breakEvenBodies",
     .name = "BREAKEVENBODIES",
     .group = Group::money,
     .summary = "Bodies to sell until the fixed cost (and a profit, where wanted) is covered.",
     .returns = "a whole number of bodies, rounded up",
     .source = "cost-volume-profit analysis: fixed cost over unit contribution margin"},
    kBreakEvenBodiesParameters, kBreakEvenBodiesExamples);

// --- The months of an opener

// What each month leaves; a range of bodies starts over when it ends.
double month_saving(const std::vector<double>& bodies, std::size_t month, double saving,
                    double running) {
  return bodies[month % bodies.size()] * saving - running;
}

// Value today of one unit of money a month later.
double month_factor(double annual_rate) {
  return std::exp(-std::log1p(annual_rate) / kMonthsPerYear);
}

constexpr Parameter kOpenerPrice = {.name = "opener price",
                                    .text = "What the opener costs, set up and ready.",
                                    .rule = Rule::positive};
constexpr Parameter kBodiesPerMonth = {
    .name = "bodies per month",
    .text =
        "Bodies filled with opened fibre in a month: one number, or a range with a number for "
        "each month that starts over when it ends (twelve cells: a year with its season). Every "
        "cell must be filled: 0 where there is none.",
    .rule = Rule::not_negative};
constexpr Parameter kSavingPerBody = {
    .name = "saving per body",
    .text = "Cost of the fibre in a body as delivered, less its cost opened (COSTPERBODY twice).",
    .rule = Rule::positive};
constexpr Parameter kRunning = {
    .name = "running cost per month",
    .text =
        "What the opener costs each month whether it is used or not: service, floor space, "
        "insurance.",
    .rule = Rule::not_negative,
    .fallback = 0.0};

// 8 is 800%, and was meant as 8%.
constexpr Bare kYearlyRate{.most = 2.5, .advice = "8% is 0.08, or write \"8 %\""};

constexpr std::string_view kOpenerCaution =
    "A saving is no reason to run an opener without its guards: keep to its maker's manual, local "
    "codes and licensed practice for its installation.";

// --- OPENERPAYBACK

Result<Number> opener_payback(Money price, const Series<Count>& bodies, Money saving, Money running,
                              Ratio annual_rate) {
  const Result<std::vector<double>> by_month = every_period(bodies, 1, "bodies per month");
  if (!by_month) return by_month.error();
  const double factor = month_factor(annual_rate.value);
  double left = price.value;
  double worth = 1;
  double cycle = 0;
  for (std::size_t month = 0; month < kMostMonths; ++month) {
    worth *= factor;
    const double net = month_saving(*by_month, month, saving.value, running.value);
    if (net * worth >= left) {
      return Number{static_cast<double>(month) + left / (net * worth)};
    }
    left -= net * worth;
    cycle += net;
    if (month + 1 == by_month->size() && cycle <= 0) {
      return refuse(1, fmt::format("bodies per month save {} a month on average after the running "
                                   "cost; the opener never pays back",
                                   plain_number(cycle / static_cast<double>(month + 1))));
    }
  }
  return refuse(
      0, fmt::format("opener price is {}; it is not paid back within {} months at an "
                     "annual rate of {}",
                     plain_number(price.value), kMostMonths, plain_number(annual_rate.value)));
}

constexpr Parameter kOpenerPaybackParameters[] = {
    kOpenerPrice,
    kBodiesPerMonth,
    kSavingPerBody,
    kRunning,
    {.name = "annual rate",
     .text = "Rate that money earns in a year elsewhere; 0 for the simple payback, more for the "
             "discounted one; at most 2.5 (250%).",
     .rule = Rule::not_negative,
     .fallback = 0.0,
     .bare = kYearlyRate},
};
constexpr Example kOpenerPaybackExamples[] = {
    {"=OPENERPAYBACK(2400;900;0.25;25)", 12.0},
    {"=OPENERPAYBACK(2400;900;0.25;25;8%)", 12.529498549710395, "discounted"},
    {"=OPENERPAYBACK(2400;100;0.25;25)", Code::argument, "it saves what it costs"},
};
constexpr Function kOpenerPayback = describe<opener_payback>(
    {.id = "openerPayback",
     .name = "OPENERPAYBACK",
     .group = Group::money,
     .summary = "Months until an opener has earned its price, simple or discounted.",
     .returns = "months; within a month the saving is taken to come in evenly",
     .source = "payback period and discounted payback period, with linear interpolation in the "
               "last period",
     .detail = "The annual rate is an effective one: a month counts (1 + rate)^(1/12). Payback "
               "leaves aside what comes after it; OPENERNPV counts the whole life.",
     .caution = kOpenerCaution},
    kOpenerPaybackParameters, kOpenerPaybackExamples);

// --- OPENERNPV

Result<Money> opener_npv(Money price, Count months, const Series<Count>& bodies, Money saving,
                         Ratio annual_rate, Money running, Money resale) {
  if (months.value > kMostMonths) {
    return refuse(1, fmt::format("months is {}; it must be {} or less", plain_number(months.value),
                                 kMostMonths));
  }
  const Result<std::vector<double>> by_month = every_period(bodies, 2, "bodies per month");
  if (!by_month) return by_month.error();
  const double factor = month_factor(annual_rate.value);
  double worth = 1;
  double value = -price.value;
  for (std::size_t month = 0; month < static_cast<std::size_t>(months.value); ++month) {
    worth *= factor;
    value += month_saving(*by_month, month, saving.value, running.value) * worth;
  }
  return Money{value + resale.value * worth};
}

constexpr Parameter kOpenerNpvParameters[] = {
    kOpenerPrice,
    {.name = "months",
     .text = "Months that it is used, 1,200 at most.",
     .rule = Rule::whole_positive},
    kBodiesPerMonth,
    {.name = "saving per body",
     .text = "Cost of the fibre in a body as delivered, less its cost opened; negative where "
             "opening costs more."},
    {.name = "annual rate",
     .text = "Rate that money earns in a year elsewhere; at most 2.5 (250%).",
     .rule = Rule::not_negative,
     .bare = kYearlyRate},
    kRunning,
    {.name = "resale value",
     .text = "What the opener fetches after the last month.",
     .rule = Rule::not_negative,
     .fallback = 0.0},
};
constexpr Example kOpenerNpvExamples[] = {
    {"=OPENERNPV(2400;12;900;0.25;0)", 300.0, "without interest, the plain sum"},
    {"=OPENERNPV(2400;36;900;0.25;8%;25;400)", 4326.199174151665},
    {"=OPENERNPV(2400;0;900;0.25;8%)", Code::argument},
};
constexpr Function kOpenerNpv = describe<opener_npv>(
    {.id = "openerNpv",
     .name = "OPENERNPV",
     .group = Group::money,
     .summary = "Net present value of an opener: its savings at today's worth, less its price.",
     .returns = "an amount; more than 0 where the opener earns more than the annual rate",
     .source = "net present value; the price is paid today, savings come at the end of each month",
     .detail = "The annual rate is an effective one: a month counts (1 + rate)^(1/12). Taxes are "
               "left aside.",
     .caution = kOpenerCaution},
    kOpenerNpvParameters, kOpenerNpvExamples);

constexpr Function kFunctions[] = {kBreakEvenBodies, kOpenerPayback, kOpenerNpv};

}  // namespace

Functions opener_functions() { return kFunctions; }

}  // namespace loftledger::planning
