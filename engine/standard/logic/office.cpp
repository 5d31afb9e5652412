// Functions of the office that belong to no other area.
#include <cmath>

#include "engine/standard/logic/functions.hpp"

namespace loftledger::standard {

namespace {

// The number of a colour: red, green, blue and, before them, how far it shows through, 0 to 255
// each.
Operand colour(Call& call) {
  constexpr double kMost = 255;
  constexpr double kStep = 256;
  const bool opacity = call.count() > 3;
  double out = opacity ? std::trunc(call.number(3)) : 0;
  const auto fits = [](double part) { return part >= 0 && part <= kMost; };
  const Error outside(Code::argument, "each part lies between 0 and 255");
  if (!call.failed() && !fits(out)) return outside;
  // The last part is the first that is refused.
  double parts[3] = {};
  for (std::size_t i = std::size(parts); i-- > 0;) {
    parts[i] = std::floor(call.number(i));
    if (!fits(parts[i])) return call.failed() ? call.failure() : outside;
  }
  for (const double part : parts) out = out * kStep + part;
  return call.finish(out);
}

// DDE: what another program has to say. Nobody is asked here.
Operand of_other_program(Call& call) {
  for (std::size_t i = 0; i < 3; ++i) call.text(i);
  if (call.given(3)) call.number(3);
  if (call.failed()) return call.failure();
  return Error(Code::not_available, "DDE: no other program is asked");
}

constexpr StandardFunction kFunctions[] = {
    {"ORG.LIBREOFFICE.COLOR", colour, 3, 4, "v", Group::office, false, 1, Counting::at_call},
    {"DDE", of_other_program, 3, 4, "v", Group::large, false, 1, Counting::at_call, Varies::no,
     "no other program is asked: always #N/A"},
};

}  // namespace

StandardFunctions office_functions() { return kFunctions; }

}  // namespace loftledger::standard
