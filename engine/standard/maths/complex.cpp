// Complex numbers as texts: "3+4i" (OpenFormula 6.8).
#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>

#include "engine/base/number_text.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"

namespace loftledger::standard {

namespace {

struct Complex {
  double real = 0;
  double imaginary = 0;
  char unit = 0;  // i or j; 0 where none was written
};

bool is_digit(std::string_view text) { return !text.empty() && text[0] >= '0' && text[0] <= '9'; }

void take_digits(std::string_view& text, std::string& digits) {
  for (; is_digit(text); text.remove_prefix(1)) digits += text[0];
}

// A number with an optional sign at the front of the text, with a point or a comma; nothing where
// there is none. As in the office a lone point is 0, and "1e" is 1.
std::optional<double> take_number(std::string_view& text) {
  std::string_view rest = text;
  std::string digits;
  std::size_t power_at = 0;
  if (rest.starts_with('+') || rest.starts_with('-')) {
    if (rest[0] == '-') digits = "-";
    rest.remove_prefix(1);
  }
  const bool point = rest.starts_with('.') || rest.starts_with(',');
  if (!is_digit(rest) && !point) return std::nullopt;
  digits += '0';
  const std::size_t begin = digits.size();
  take_digits(rest, digits);
  // The office reads so many digits, zeros in front of the number too; the others only count.
  constexpr std::size_t kRead = 18;
  for (std::size_t i = begin + kRead; i < digits.size(); ++i) digits[i] = '0';
  if (rest.starts_with('.') || rest.starts_with(',')) {
    rest.remove_prefix(1);
    digits += '.';
    take_digits(rest, digits);
    digits += '0';
  }
  if (rest.starts_with('e') || rest.starts_with('E')) {
    rest.remove_prefix(1);
    power_at = digits.size() + 1;
    digits += "e";
    if (rest.starts_with('+') || rest.starts_with('-')) {
      digits += rest[0];
      rest.remove_prefix(1);
    }
    digits += '0';
    take_digits(rest, digits);
  }
  const auto number = read_number(digits);
  constexpr double kGreatest = 1e308;
  constexpr double kMostPower = 307;
  const auto power = power_at == 0 ? 0.0 : read_number(digits.substr(power_at));
  if (!power || std::fabs(*power) > kMostPower) return std::nullopt;
  if (!number || std::fabs(*number) >= kGreatest) return std::nullopt;
  text = rest;
  return number;
}

// The whole text is the unit with an optional sign: "i", "-j".
std::optional<Complex> unit_alone(std::string_view text) {
  double size = 1;
  if (!text.empty() && (text[0] == '+' || text[0] == '-')) {
    size = text[0] == '-' ? -1 : 1;
    text.remove_prefix(1);
  }
  if (text != "i" && text != "j") return std::nullopt;
  return Complex{0, size, text[0]};
}

std::optional<Complex> parse_complex(std::string_view text) {
  if (const auto unit = unit_alone(text)) return unit;
  const auto first = take_number(text);
  if (!first) return std::nullopt;
  if (text.empty()) return Complex{*first, 0, 0};
  if (text == "i" || text == "j") return Complex{0, *first, text[0]};
  if (text[0] != '+' && text[0] != '-') return std::nullopt;
  if (auto unit = unit_alone(text)) {
    unit->real = *first;
    return unit;
  }
  const auto second = take_number(text);
  if (!second || (text != "i" && text != "j")) return std::nullopt;
  return Complex{*first, *second, text[0]};
}

Complex read_value(Call& call, const Value& value) {
  if (value.is_error()) call.fail(value);
  if (value.is_numeric()) return {value.number(), 0, 0};
  const auto read = parse_complex(value.text());
  if (!read) call.fail(Error(Code::argument, "the text is no complex number"));
  return read.value_or(Complex{});
}

Complex argument(Call& call, std::size_t index) { return read_value(call, call.scalar(index)); }

std::string shown_part(double number) { return fmt::format("{:.15g}", number); }

Operand shown_complex(Call& call, Complex z) {
  if (call.failed()) return call.failure();
  if (!std::isfinite(z.real) || !std::isfinite(z.imaginary)) return call.not_finite();
  std::string out;
  if (z.imaginary == 0 || z.real != 0) out = shown_part(z.real);
  if (z.imaginary != 0) {
    if (z.imaginary > 0 && !out.empty()) out += '+';
    if (z.imaginary == -1) {
      out += '-';
    } else if (z.imaginary != 1) {
      out += shown_part(z.imaginary);
    }
    out += z.unit == 0 ? 'i' : z.unit;
  }
  return Operand::text(std::move(out));
}

// As the office takes it: the squares of huge numbers are too large, of tiny ones 0.
double size_of(const Complex& z) { return std::sqrt(z.real * z.real + z.imaginary * z.imaginary); }

bool is_zero(const Complex& z) { return z.real == 0 && z.imaginary == 0; }

double angle_of(const Complex& z) {
  const double angle = std::acos(z.real / size_of(z));
  return z.imaginary < 0 ? -angle : angle;
}

Complex product(const Complex& a, const Complex& b) {
  return {a.real * b.real - a.imaginary * b.imaginary, a.real * b.imaginary + a.imaginary * b.real,
          a.unit != 0 ? a.unit : b.unit};
}

Complex sum(const Complex& a, const Complex& b) {
  return {a.real + b.real, a.imaginary + b.imaginary, a.unit != 0 ? a.unit : b.unit};
}

// --- Functions of one complex number

using Function = Complex (*)(const Complex&);

template <Function function>
Operand of_complex(Call& call) {
  const Complex z = argument(call, 0);
  if (call.failed()) return call.failure();
  Complex out = function(z);
  out.unit = z.unit;
  return shown_complex(call, out);
}

// As above, and an error where the real part is so large an angle that one bit of it is many turns.
// Some functions double it, unless the number is real.
enum class Angle { plain, doubled };
template <Function function, Angle angle>
Operand of_angle(Call& call) {
  constexpr double kLargest = 0x1p64;
  const Complex z = argument(call, 0);
  const double turned = angle == Angle::doubled && z.imaginary != 0 ? 2 * z.real : z.real;
  if (!call.failed() && std::fabs(turned) > kLargest) return Code::argument;
  return of_complex<function>(call);
}

// As of_complex, and an error for 0.
template <Function function>
Operand not_of_zero(Call& call) {
  if (const Complex z = argument(call, 0); !call.failed() && is_zero(z)) return Code::argument;
  return of_complex<function>(call);
}

Complex conjugate(const Complex& z) { return {z.real, -z.imaginary}; }
Complex exponential(const Complex& z) {
  const double size = std::exp(z.real);
  return {size * std::cos(z.imaginary), size * std::sin(z.imaginary)};
}
Complex logarithm(const Complex& z) { return {std::log(size_of(z)), angle_of(z)}; }
Complex logarithm_10(const Complex& z) {
  const Complex out = logarithm(z);
  return {out.real * std::numbers::log10e, out.imaginary * std::numbers::log10e};
}
Complex logarithm_2(const Complex& z) {
  const Complex out = logarithm(z);
  return {out.real * std::numbers::log2e, out.imaginary * std::numbers::log2e};
}
Complex root(const Complex& z) {
  constexpr double kHalfRoot = 0.7071067811865475;  // of 2, as the office has it
  const double size = size_of(z);
  const double imaginary = std::sqrt(size - z.real) * kHalfRoot;
  return {std::sqrt(size + z.real) * kHalfRoot, z.imaginary < 0 ? -imaginary : imaginary};
}
Complex sine(const Complex& z) {
  return {std::sin(z.real) * std::cosh(z.imaginary), std::cos(z.real) * std::sinh(z.imaginary)};
}
Complex cosine(const Complex& z) {
  return {std::cos(z.real) * std::cosh(z.imaginary), -(std::sin(z.real) * std::sinh(z.imaginary))};
}
Complex tangent(const Complex& z) {
  if (z.imaginary == 0) return {std::tan(z.real), 0};
  const double scale = 1 / (std::cos(2 * z.real) + std::cosh(2 * z.imaginary));
  return {std::sin(2 * z.real) * scale, std::sinh(2 * z.imaginary) * scale};
}
Complex hyperbolic_sine(const Complex& z) {
  return {std::sinh(z.real) * std::cos(z.imaginary), std::cosh(z.real) * std::sin(z.imaginary)};
}
Complex hyperbolic_cosine(const Complex& z) {
  return {std::cosh(z.real) * std::cos(z.imaginary), std::sinh(z.real) * std::sin(z.imaginary)};
}
Complex secant(const Complex& z) {
  if (z.imaginary == 0) return {1 / std::cos(z.real), 0};
  const double scale = 1 / (std::cosh(2 * z.imaginary) + std::cos(2 * z.real));
  return {2 * std::cos(z.real) * std::cosh(z.imaginary) * scale,
          2 * std::sin(z.real) * std::sinh(z.imaginary) * scale};
}
Complex cosecant(const Complex& z) {
  if (z.imaginary == 0) return {1 / std::sin(z.real), 0};
  const double scale = 1 / (std::cosh(2 * z.imaginary) - std::cos(2 * z.real));
  return {2 * std::sin(z.real) * std::cosh(z.imaginary) * scale,
          -2 * std::cos(z.real) * std::sinh(z.imaginary) * scale};
}
Complex cotangent(const Complex& z) {
  if (z.imaginary == 0) return {1 / std::tan(z.real), 0};
  const double scale = 1 / (std::cosh(2 * z.imaginary) - std::cos(2 * z.real));
  return {std::sin(2 * z.real) * scale, -(std::sinh(2 * z.imaginary) * scale)};
}
Complex hyperbolic_secant(const Complex& z) {
  if (z.imaginary == 0) return {1 / std::cosh(z.real), 0};
  const double scale = 1 / (std::cosh(2 * z.real) + std::cos(2 * z.imaginary));
  return {2 * std::cosh(z.real) * std::cos(z.imaginary) * scale,
          -(2 * std::sinh(z.real) * std::sin(z.imaginary) * scale)};
}
Complex hyperbolic_cosecant(const Complex& z) {
  if (z.imaginary == 0) return {1 / std::sinh(z.real), 0};
  const double scale = 1 / (std::cosh(2 * z.real) - std::cos(2 * z.imaginary));
  return {2 * std::sinh(z.real) * std::cos(z.imaginary) * scale,
          -(2 * std::cosh(z.real) * std::sin(z.imaginary) * scale)};
}

// --- Parts, and several numbers

Operand real_part(Call& call) { return call.finish(argument(call, 0).real); }
Operand imaginary_part(Call& call) { return call.finish(argument(call, 0).imaginary); }
Operand size(Call& call) { return call.finish(size_of(argument(call, 0))); }

Operand angle(Call& call) {
  const Complex z = argument(call, 0);
  if (!call.failed() && is_zero(z)) return Code::argument;
  return call.finish(angle_of(z));
}

Operand compose(Call& call) {
  Complex z{call.number(0), call.number(1), 'i'};
  if (call.given(2)) {
    const bool single = call[2].kind == Operand::Kind::value;
    const std::string_view unit = single ? call[2].value.text() : "";
    if (unit != "i" && unit != "j") return Error(Code::argument, "COMPLEX: the unit is i or j", 2);
    z.unit = unit[0];
  }
  return shown_complex(call, z);
}

Operand difference(Call& call) {
  const Complex a = argument(call, 0);
  const Complex b = argument(call, 1);
  return shown_complex(call,
                       {a.real - b.real, a.imaginary - b.imaginary, a.unit != 0 ? a.unit : b.unit});
}

Operand quotient(Call& call) {
  const Complex a = argument(call, 0);
  const Complex b = argument(call, 1);
  if (!call.failed() && is_zero(b)) return Code::argument;
  const double scale = 1 / (b.real * b.real + b.imaginary * b.imaginary);
  return shown_complex(
      call, {(a.real * b.real + a.imaginary * b.imaginary) * scale,
             (b.real * a.imaginary - a.real * b.imaginary) * scale, a.unit != 0 ? a.unit : b.unit});
}

Operand power(Call& call) {
  const double exponent = call.number(1);
  const Complex z = argument(call, 0);
  if (call.failed()) return call.failure();
  if (is_zero(z)) return exponent > 0 ? Operand::text("0") : Operand(Code::argument);
  const double length = std::pow(size_of(z), exponent);
  const double turned = angle_of(z) * exponent;
  return shown_complex(call, {std::cos(turned) * length, std::sin(turned) * length, z.unit});
}

// Joins the complex numbers of all arguments; empty cells and texts in ranges are passed over.
Operand folded(Call& call, Complex (*join)(const Complex&, const Complex&)) {
  std::optional<Complex> out;
  for (std::size_t i = 0; i < call.count(); ++i) {
    call.values(i, [&](const Value& value) {
      const bool blank = value.is_empty() || (value.is_text() && value.text().empty());
      if (!blank) {
        const Complex z = read_value(call, value);
        out = out ? join(*out, z) : z;
      }
      return !call.failed();
    });
  }
  return shown_complex(call, out.value_or(Complex{}));
}
Operand sum_of_all(Call& call) { return folded(call, sum); }
Operand product_of_all(Call& call) { return folded(call, product); }

constexpr StandardFunction kFunctions[] = {
    {"COMPLEX", compose, 2, 3, "nno", Group::large, false, 1, Counting::addin},
    {"IMABS", size, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMAGINARY", imaginary_part, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMARGUMENT", angle, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMCONJUGATE", of_complex<conjugate>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMCOS", of_angle<cosine, Angle::plain>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMCOSH", of_angle<hyperbolic_cosine, Angle::plain>, 1, 1, "s", Group::office, false, 1,
     Counting::addin},
    {"IMCOT", of_angle<cotangent, Angle::doubled>, 1, 1, "s", Group::large, false, 1,
     Counting::addin},
    {"IMCSC", of_angle<cosecant, Angle::doubled>, 1, 1, "s", Group::large, false, 1,
     Counting::addin},
    {"IMCSCH", of_angle<hyperbolic_cosecant, Angle::doubled>, 1, 1, "s", Group::large, false, 1,
     Counting::addin},
    {"IMDIV", quotient, 2, 2, "s", Group::large, false, 1, Counting::addin},
    {"IMEXP", of_complex<exponential>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMLN", not_of_zero<logarithm>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMLOG10", not_of_zero<logarithm_10>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMLOG2", not_of_zero<logarithm_2>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMPOWER", power, 2, 2, "sn", Group::large, false, 1, Counting::addin},
    {"IMPRODUCT", product_of_all, 1, -1, "to", Group::large, false, 1, Counting::addin},
    {"IMREAL", real_part, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMSEC", of_angle<secant, Angle::doubled>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMSECH", of_angle<hyperbolic_secant, Angle::doubled>, 1, 1, "s", Group::large, false, 1,
     Counting::addin},
    {"IMSIN", of_angle<sine, Angle::plain>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMSINH", of_angle<hyperbolic_sine, Angle::plain>, 1, 1, "s", Group::office, false, 1,
     Counting::addin},
    {"IMSQRT", of_complex<root>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMSUB", difference, 2, 2, "s", Group::large, false, 1, Counting::addin},
    {"IMSUM", sum_of_all, 1, -1, "to", Group::large, false, 1, Counting::addin},
    {"IMTAN", of_angle<tangent, Angle::doubled>, 1, 1, "s", Group::large, false, 1,
     Counting::addin},
};

}  // namespace

StandardFunctions complex_functions() { return kFunctions; }

}  // namespace loftledger::standard
