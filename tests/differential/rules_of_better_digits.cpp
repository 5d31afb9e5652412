// Where the engine follows a definition or a library, and the office a constant, an approximation
// or a search of its own that gives fewer digits, or none.
#include <cmath>

#include "tests/differential/differences.hpp"
#include "tests/differential/matchers.hpp"
#include "tests/differential/rules.hpp"

namespace loftledger::differential {

namespace {

bool conversion(const Sample& sample) {
  return calls(sample, {"CONVERT", "ORG.OPENOFFICE.CONVERT"});
}

// The light year, its square and its cube are the furthest.
bool of_a_definition(const Value& office, const Value& engine) {
  return near(office, engine, 5e-5);
}

bool bessel_k(const Sample& sample) { return calls(sample, {"BESSELK"}); }

bool approximated(const Value& office, const Value& engine) { return near(office, engine, 1e-6); }

bool from_mean(const Sample& sample) {
  return calls(sample, {"GAUSS", "ZTEST", "COM.MICROSOFT.Z.TEST"});
}

// A series with a wrong term, which far from the mean has no end.
bool cut_series(const Value& office, const Value& engine) {
  return near(office, engine, 1e-7) ||
         (both_numbers(office, engine) && std::fabs(office.number()) > 1 &&
          std::fabs(engine.number()) <= 1);
}

bool rate_of_return(const Sample& sample) {
  return calls(sample, {"IRR", "XIRR", "RATE", "YIELD"});
}

// The office's search ends early, ends in a rate of -100 % or less, or does not end.
bool early_root(const Value& office, const Value& engine) {
  const bool lost = both_numbers(office, engine) && office.number() <= -1 && engine.number() > -1;
  const bool none = (office.code() == Code::no_convergence || office.code() == Code::argument) &&
                    !engine.is_error();
  return lost || none || near(office, engine, 1e-4);
}

bool part_of_payment(const Sample& sample) {
  return calls(sample, {"IPMT", "PPMT", "CUMIPMT", "CUMPRINC", "COM.MICROSOFT.CUMIPMT"});
}

// Terms that cancel leave the office's remainder where next to nothing is due.
bool cancelled(const Value& office, const Value& engine) {
  constexpr double kNothing = 1e-9;
  return near(office, engine, 1e-7) ||
         (both_numbers(office, engine) && std::fabs(office.number() - engine.number()) < kNothing);
}

bool is_complex(const Term& call) { return call.node.text.starts_with("IM"); }

bool complex_number(const Sample& sample) { return any_call(sample, is_complex); }

bool last_digits_of_parts(const Value& office, const Value& engine) {
  return both_texts(office, engine) && texts_near(office.text(), engine.text(), 1e-13);
}

constexpr Rule kRules[] = {
    {"sizes of units", "The office's factors for some units are rounded or of another standard.",
     conversion, of_a_definition, 1, 2},
    {"Bessel function of the third kind", "The office takes an approximation of 7 digits.",
     bessel_k, approximated, 5, 2},
    {"distance from the mean", "The office cuts a series short that has a wrong term.", from_mean,
     cut_series, 4, 2},
    {"rate of return",
     "The office's search for a rate ends early, below -100 %, or without a result.",
     rate_of_return, early_root, 1, 2},
    {"part of a payment", "The office takes a difference of large numbers that all but cancel.",
     part_of_payment, cancelled, 0, 1},
    {"last digits of a complex number", "Two ways of calculating differ in the last digits.",
     complex_number, last_digits_of_parts, 5, 3},
};

}  // namespace

std::span<const Rule> rules_of_better_digits() { return kRules; }

}  // namespace loftledger::differential
