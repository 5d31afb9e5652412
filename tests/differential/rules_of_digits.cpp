#include <cmath>
#include <limits>

#include "tests/differential/differences.hpp"
#include "tests/differential/matchers.hpp"
#include "tests/differential/rules.hpp"

namespace loftledger::differential {

using formula::Kind;

namespace {

bool t_quantile(const Sample& sample) {
  return calls(sample, {"TINV", "COM.MICROSOFT.T.INV", "COM.MICROSOFT.T.INV.2T"});
}

bool nearly(const Value& office, const Value& engine) { return near(office, engine, 1e-10); }

bool complement(const Sample& sample) {
  return calls(sample,
               {"EXPONDIST", "COM.MICROSOFT.EXPON.DIST", "WEIBULL", "COM.MICROSOFT.WEIBULL.DIST"});
}

bool last_bit_of_one(const Value& office, const Value& engine) {
  return both_numbers(office, engine) &&
         std::fabs(office.number() - engine.number()) <= std::numeric_limits<double>::epsilon();
}

bool quantile_of_one(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    return is_one_of(call, {"COM.MICROSOFT.F.INV"}) && !call.parts.empty() &&
           call.parts[0]->node.kind == Kind::number && call.parts[0]->node.number == 1;
  });
}

bool found_where_none_is(const Value& office, const Value& engine) {
  constexpr double kFar = 1e100;
  return office.is_numeric() && office.number() > kFar && engine.code() == Code::no_convergence;
}

constexpr Rule kRules[] = {
    {"coarse search",
     "The office ends its search for a quantile of the t distribution before the last digits are "
     "found.",
     t_quantile, nearly, 0, 0.3},
    {"tiny probability", "The office takes 1 minus nearly 1 and keeps no digits; the engine does.",
     complement, last_bit_of_one, 1, 1},
    {"sure quantile",
     "The office shows where its search ended for the quantile of 1, which is none.",
     quantile_of_one, found_where_none_is, 0, 0.3},
};

}  // namespace

std::span<const Rule> rules_of_digits() { return kRules; }

}  // namespace loftledger::differential
