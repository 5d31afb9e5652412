// The internal rate of return from its equation of value (OpenFormula 6.12: IRR and XIRR; S. G.
// Kellison, The Theory of Interest, the chapter on yield rates), with Descartes' rule of signs,
// which holds for sums of exponentials too (Laguerre), to know where there is none.
#include "engine/standard/money/cash_flow.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "engine/standard/money/roots.hpp"

namespace loftledger::standard {

CashFlow::CashFlow(std::vector<Payment> payments) {
  std::stable_sort(payments.begin(), payments.end(),
                   [](const Payment& a, const Payment& b) { return a.time < b.time; });
  double largest = 0;
  for (auto each = payments.begin(); each != payments.end();) {
    Payment all{each->time, 0};
    for (; each != payments.end() && each->time == all.time; ++each) all.amount += each->amount;
    if (all.amount == 0) continue;
    payments_.push_back(all);
    largest = std::max(largest, std::fabs(all.amount));
  }
  for (Payment& payment : payments_) payment.amount /= largest;
}

CashFlow CashFlow::in_periods(const std::vector<double>& amounts) {
  std::vector<Payment> payments;
  payments.reserve(amounts.size());
  for (const double amount : amounts) {
    payments.push_back({static_cast<double>(payments.size()), amount});
  }
  return CashFlow(std::move(payments));
}

double CashFlow::balance(double force) const {
  const double origin = force >= 0 ? payments_.front().time : payments_.back().time;
  double total = 0;
  for (const Payment& payment : payments_) {
    total += payment.amount * std::exp(-force * (payment.time - origin));
  }
  return total;
}

bool CashFlow::changes_sign() const {
  const auto pays = [](const Payment& payment) { return payment.amount < 0; };
  return std::any_of(payments_.begin(), payments_.end(), pays) &&
         !std::all_of(payments_.begin(), payments_.end(), pays);
}

std::optional<double> CashFlow::internal_rate(double guess) const {
  if (!changes_sign()) return std::nullopt;
  const double noise =
      4 * std::numeric_limits<double>::epsilon() * static_cast<double>(payments_.size());
  const auto force = root_near([this](double at) { return balance(at); }, force_of_guess(guess),
                               kForcesOfInterest, noise);
  if (!force) return std::nullopt;
  return rate_of(*force);
}

double force_of_guess(double rate) {
  constexpr double kUsual = 0.1;
  return std::log1p(rate > -1 ? rate : kUsual);
}

double rate_of(double force) { return std::exp(force) == 1 ? 0 : std::expm1(force); }

}  // namespace loftledger::standard
