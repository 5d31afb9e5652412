// Where the engine follows a definition or a library, and the office a constant, an approximation
// or a search of its own that gives fewer digits, or none.
#include <cmath>
#include <cstdlib>

#include "tests/differential/differences.hpp"
#include "tests/differential/matchers.hpp"
#include "tests/differential/rules.hpp"

namespace loftledger::differential {

using formula::Kind;

namespace {

bool conversion(const Sample& sample) {
  return calls(sample, {"CONVERT", "ORG.OPENOFFICE.CONVERT"});
}

// The light year, its square and its cube are the furthest.
bool of_a_definition(const Value& office, const Value& engine) {
  return near(office, engine, 5e-5);
}

// Units that mean something else in the office: a foot-poundal, a part of a grain, a metric knot, a
// measure of timber.
bool other_unit(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    return is_one_of(call, {"CONVERT"}) && any_argument(call, [](const Term& part) {
             const std::string& text = part.node.text;
             return part.node.kind == Kind::text &&
                    (text == "flb" || text == "pweight" || text == "admkn" || text == "MTON");
           });
  });
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

bool declining_balance(const Sample& sample) { return calls(sample, {"VDB"}); }

bool summed_up(const Value& office, const Value& engine) { return near(office, engine, 1e-6); }

bool is_complex(const Term& call) { return call.node.text.starts_with("IM"); }

bool complex_number(const Sample& sample) { return any_call(sample, is_complex); }

bool last_digits_of_parts(const Value& office, const Value& engine) {
  return both_texts(office, engine) && texts_near(office.text(), engine.text(), 1e-13);
}

// A number in a text whose exponent has three digits.
bool far_exponent(const Sample& sample) {
  return any_call(sample, [](const Term& call) {
    return is_complex(call) && any_argument(call, [](const Term& part) {
             const std::size_t mark = part.node.text.find_first_of("eE");
             return part.node.kind == Kind::text && mark != std::string::npos &&
                    std::abs(std::atoi(part.node.text.c_str() + mark + 1)) >= 100;
           });
  });
}

bool refused_number(const Value& office, const Value& engine) {
  return office.code() == Code::argument && !engine.is_error();
}

bool fixed_places(const Sample& sample) { return calls(sample, {"DOLLAR", "FIXED"}); }

bool without_end(const Value& office, const Value& engine) {
  return both_texts(office, engine) && office.text().find("I.NF") != std::string_view::npos;
}

constexpr Rule kRules[] = {
    {"sizes of units", "The office's factors for some units are rounded or of another standard.",
     conversion, of_a_definition, 3, 2},
    {"other units", "Four units have another meaning in the office than their name has.",
     other_unit, both_numbers, 0, 0.3},
    {"Bessel function of the third kind", "The office takes an approximation of 7 digits.",
     bessel_k, approximated, 5, 2},
    {"distance from the mean", "The office cuts a series short that has a wrong term.", from_mean,
     cut_series, 4, 2},
    {"rate of return",
     "The office's search for a rate ends early, below -100 %, or without a result.",
     rate_of_return, early_root, 5, 2},
    {"part of a payment", "The office takes a difference of large numbers that all but cancel.",
     part_of_payment, cancelled, 1, 1},
    {"declining balance", "The office adds up what each of very many periods writes off.",
     declining_balance, summed_up, 1, 0.5},
    {"last digits of a complex number", "Two ways of calculating differ in the last digits.",
     complex_number, last_digits_of_parts, 5, 3},
    {"far exponent", "The office reads no part of a complex number near the ends of a double.",
     far_exponent, refused_number, 1, 0.5},
    {"too long to be shown", "DOLLAR and FIXED of the largest numbers show I.NF in the office.",
     fixed_places, without_end, 1, 0.5},
};

}  // namespace

std::span<const Rule> rules_of_better_digits() { return kRules; }

}  // namespace loftledger::differential
