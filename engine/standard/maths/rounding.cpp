// Rounding (OpenFormula 6.17). All of it acts on the number as a person reads it.
#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/standard/maths/functions.hpp"
#include "engine/standard/values/arithmetic.hpp"

namespace loftledger::standard {

namespace {

Operand round_in(Call& call, Rounding direction) {
  const double number = call.number(0);
  const std::int64_t places = call.whole(1, 0);
  if (places < std::numeric_limits<std::int16_t>::min() ||
      places > std::numeric_limits<std::int16_t>::max()) {
    call.reject(1, Code::argument);
  }
  if (call.failed()) return call.failure();
  // With a count of places, what lies beyond the 12th digit is noise to the office.
  constexpr int kDigits = 12;
  double seen = number;
  if (direction != Rounding::nearest && call.count() > 1 && places < kDigits &&
      std::fmod(number, 1.0) != 0) {
    seen = to_significant(number, kDigits);
  }
  return call.finish(round_as_seen(seen, static_cast<int>(places), direction));
}
Operand round_nearest(Call& call) { return round_in(call, Rounding::nearest); }
Operand round_down(Call& call) { return round_in(call, Rounding::to_zero); }
Operand round_up(Call& call) { return round_in(call, Rounding::from_zero); }

Operand whole_below(Call& call) { return call.finish(floor_as_seen(call.number(0))); }

Operand even(Call& call) {
  const double number = call.number(0);
  return call.finish(number < 0 ? floor_as_seen(number / 2) * 2 : ceiling_as_seen(number / 2) * 2);
}

Operand odd(Call& call) {
  const double number = call.number(0);
  const double away = number < 0 ? floor_as_seen(number) : ceiling_as_seen(number);
  if (std::fmod(away, 2) != 0) return call.finish(away);
  return call.finish(number < 0 ? away - 1 : away + 1);
}

// Both CEILING and FLOOR: a multiple of the significance, towards plus or minus infinity.
double multiple(double number, double significance, bool up) {
  const double steps = number / significance;
  return (up == (significance > 0) ? ceiling_as_seen(steps) : floor_as_seen(steps)) * significance;
}

// OpenFormula's CEILING and FLOOR (strict: the signs must agree) and the .MATH forms. A third
// argument that is not 0 turns negative numbers the other way.
Operand multiple_of(Call& call, bool up, bool strict) {
  const double number = call.number(0);
  const double own = number < 0 ? -1 : 1;
  const double significance = call.given(1) ? call.number(1) : own;
  const bool by_size = call.count() == 3 && call.truth(2);
  if (call.failed()) return call.failure();
  if (number == 0 || significance == 0) return 0.0;
  if (strict && number * significance < 0) {
    return Error(Code::argument, "the number and the significance must have the same sign");
  }
  const bool turned = by_size && number < 0;
  return call.finish(multiple(number, std::fabs(significance), up != turned));
}
Operand ceiling(Call& call) { return multiple_of(call, true, true); }
Operand floor(Call& call) { return multiple_of(call, false, true); }
Operand ceiling_math(Call& call) { return multiple_of(call, true, false); }
Operand floor_math(Call& call) { return multiple_of(call, false, false); }

// The two that treat a negative number with a positive significance as the other spreadsheet does,
// and refuse a positive number with a negative one.
Operand ceiling_by_sign(Call& call) {
  const double number = call.number(0);
  const double significance = call.number(1);
  if (call.failed()) return call.failure();
  if (number == 0 || significance == 0) return 0.0;
  if (number > 0 && significance < 0) return Code::argument;
  return call.finish(multiple(number, std::fabs(significance), significance > 0));
}
Operand floor_by_sign(Call& call) {
  const double number = call.number(0);
  const double significance = call.number(1);
  if (call.failed()) return call.failure();
  if (number == 0) return 0.0;
  if (significance == 0 || (number > 0 && significance < 0)) return Code::argument;
  return call.finish(multiple(number, std::fabs(significance), significance < 0));
}

Operand precise(Call& call, bool up) {
  const double number = call.number(0);
  const double significance = call.given(1) ? std::fabs(call.number(1)) : 1;
  if (number == 0 || significance == 0) return call.finish(0);
  return call.finish(multiple(number, significance, up));
}
Operand ceiling_precise(Call& call) { return precise(call, true); }
Operand floor_precise(Call& call) { return precise(call, false); }

Operand round_to_multiple(Call& call) {
  const double number = call.number(0);
  const double step = call.number(1);
  if (step == 0) return call.finish(0);
  return call.finish(step * std::round(as_seen(number / step)));
}

Operand round_significant(Call& call) {
  const double number = call.number(0);
  const double digits = floor_as_seen(call.number(1));
  if (call.failed()) return call.failure();
  if (digits < 1) return Code::argument;
  if (number == 0) return 0.0;
  return call.finish(to_significant(number, static_cast<int>(std::min(digits, 400.0))));
}

constexpr StandardFunction kFunctions[] = {
    {"ROUND", round_nearest, 1, 2, "v", Group::small},
    {"ROUNDDOWN", round_down, 1, 2, "v", Group::medium},
    {"ROUNDUP", round_up, 1, 2, "v", Group::medium},
    {"TRUNC", round_down, 1, 2, "v", Group::small},
    {"INT", whole_below, 1, 1, "v", Group::small},
    {"EVEN", even, 1, 1, "v", Group::small},
    {"ODD", odd, 1, 1, "v", Group::small},
    {"CEILING", ceiling, 1, 3, "v", Group::medium},
    {"FLOOR", floor, 1, 3, "v", Group::medium},
    {"COM.MICROSOFT.CEILING.MATH", ceiling_math, 1, 3, "v"},
    {"COM.MICROSOFT.FLOOR.MATH", floor_math, 1, 3, "v"},
    {"COM.MICROSOFT.CEILING", ceiling_by_sign, 2, 2, "v"},
    {"COM.MICROSOFT.FLOOR", floor_by_sign, 2, 2, "v"},
    {"COM.MICROSOFT.CEILING.PRECISE", ceiling_precise, 1, 2, "v"},
    {"COM.MICROSOFT.ISO.CEILING", ceiling_precise, 1, 2, "v"},
    {"COM.MICROSOFT.FLOOR.PRECISE", floor_precise, 1, 2, "v"},
    {"MROUND", round_to_multiple, 2, 2, "n", Group::medium, false, 1, Counting::addin},
    {"ORG.LIBREOFFICE.ROUNDSIG", round_significant, 2, 2, "v"},
};

}  // namespace

StandardFunctions rounding_functions() { return kFunctions; }

}  // namespace loftledger::standard
