// Complex numbers as texts: "3+4i" (OpenFormula 6.8). What is calculated with them is the C++
// library's.
#include <fmt/format.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <optional>
#include <string>
#include <string_view>

#include "engine/base/ascii.hpp"
#include "engine/base/number_text.hpp"
#include "engine/standard/call/numbers.hpp"
#include "engine/standard/maths/functions.hpp"

namespace loftledger::standard {

namespace {

using Number = std::complex<double>;

struct Complex {
  Number z;
  char unit = 0;  // i or j; 0 where none was written
};

bool is_unit(char c) { return c == 'i' || c == 'j'; }
bool is_sign(char c) { return c == '+' || c == '-'; }

// How many characters at the front of the text are a number: a sign, digits with a point or a comma
// among them, a power of ten; 0 where there is none. As in the office a lone point is one, and so
// is a power without digits.
std::size_t number_length(std::string_view text) {
  std::size_t at = 0;
  const auto digits = [&] {
    const std::size_t from = at;
    while (at < text.size() && ascii::is_digit(text[at])) ++at;
    return at > from;
  };
  const auto one_of = [&](std::string_view any) {
    const bool found = at < text.size() && any.find(text[at]) != std::string_view::npos;
    if (found) ++at;
    return found;
  };
  one_of("+-");
  const bool whole = digits();
  const bool point = one_of(".,");
  if (!whole && !point) return 0;
  if (point) digits();
  if (one_of("eE")) {
    one_of("+-");
    digits();
  }
  return at;
}

// Takes a number off the front of the text; nothing where there is none, or none that is finite.
std::optional<double> take_number(std::string_view& text) {
  const std::size_t length = number_length(text);
  if (length == 0) return std::nullopt;
  // A zero on each side of what may stand alone leaves the number as it is.
  std::string plain;
  for (const char c : text.substr(0, length)) {
    if (c == '+' && plain.empty()) continue;
    const bool opens = c == '.' || c == ',';
    const bool after_digit = !plain.empty() && ascii::is_digit(plain.back());
    if ((opens || c == 'e' || c == 'E') && !after_digit) plain += '0';
    plain += opens ? '.' : c;
  }
  if (!ascii::is_digit(plain.back())) plain += '0';
  text.remove_prefix(length);
  const auto number = read_number(plain);
  if (!number || !std::isfinite(*number)) return std::nullopt;
  return number;
}

// What stands before the unit at the end of a text: a number, or a sign, or nothing, for 1.
std::optional<double> imaginary_size(std::string_view text) {
  if (text.empty() || text == "+") return 1;
  if (text == "-") return -1;
  const auto number = take_number(text);
  return text.empty() ? number : std::nullopt;
}

std::optional<Complex> parse_complex(std::string_view text) {
  if (text.empty()) return std::nullopt;
  const char last = text.back();
  if (!is_unit(last)) {
    const auto number = take_number(text);
    if (!number || !text.empty()) return std::nullopt;
    return Complex{{*number, 0}, 0};
  }
  text.remove_suffix(1);
  if (const auto size = imaginary_size(text)) return Complex{{0, *size}, last};
  const auto real = take_number(text);
  if (!real || text.empty() || !is_sign(text[0])) return std::nullopt;
  const auto size = imaginary_size(text);
  if (!size) return std::nullopt;
  return Complex{{*real, *size}, last};
}

Complex read_value(Call& call, const Value& value) {
  if (value.is_error()) call.fail(value);
  if (value.is_numeric()) return {value.number(), 0};
  const auto read = parse_complex(value.text());
  if (!read) call.fail(Error(Code::argument, "the text is no complex number"));
  return read.value_or(Complex{});
}

Complex argument(Call& call, std::size_t index) { return read_value(call, call.scalar(index)); }

// Without the sign of a 0.
std::string shown_part(double number) { return fmt::format("{:.15g}", number + 0.0); }

Operand shown_complex(Call& call, const Complex& number) {
  if (call.failed()) return call.failure();
  const double real = number.z.real();
  const double imaginary = number.z.imag();
  if (!std::isfinite(real) || !std::isfinite(imaginary)) return call.not_finite();
  if (imaginary == 0) return Operand::text(shown_part(real));
  std::string out;
  if (real != 0) out = shown_part(real) + (imaginary > 0 ? "+" : "");
  if (imaginary == -1) {
    out += '-';
  } else if (imaginary != 1) {
    out += shown_part(imaginary);
  }
  out += number.unit == 0 ? 'i' : number.unit;
  return Operand::text(std::move(out));
}

// The unit of a result is that of the first operand that names one.
char unit_of(const Complex& a, const Complex& b) { return a.unit != 0 ? a.unit : b.unit; }

// With a plain product and quotient: what is too large for a number is refused, whichever part it
// is.
Complex product(const Complex& a, const Complex& b) { return {a.z * b.z, unit_of(a, b)}; }
Complex sum(const Complex& a, const Complex& b) { return {a.z + b.z, unit_of(a, b)}; }

// --- Functions of one complex number

using Function = Number (*)(const Number&);

template <Function function>
Operand of_complex(Call& call) {
  const Complex given = argument(call, 0);
  if (call.failed()) return call.failure();
  return shown_complex(call, {function(given.z), given.unit});
}

// As above, and an error where the real part is so large an angle that one bit of it is many turns.
// Some functions double it, unless the number is real.
enum class Angle { plain, doubled };
template <Function function, Angle angle>
Operand of_angle(Call& call) {
  constexpr double kLargest = 0x1p64;
  const Number z = argument(call, 0).z;
  const double turned = angle == Angle::doubled && z.imag() != 0 ? 2 * z.real() : z.real();
  if (!call.failed() && std::fabs(turned) > kLargest) return Code::argument;
  return of_complex<function>(call);
}

// As of_complex, and an error for 0.
template <Function function>
Operand not_of_zero(Call& call) {
  if (argument(call, 0).z == 0.0 && !call.failed()) return Code::argument;
  return of_complex<function>(call);
}

// The C++ library's, each with the signs that the standard's principal values have; the others are
// their inverses (DLMF 4.14 and 4.28). Of a real number they are real.
template <Number (*function)(const Number&), double (*of_real)(double)>
Number principal(const Number& z) {
  return z.imag() == 0 ? Number(of_real(z.real())) : function(z);
}
Number conjugate(const Number& z) { return std::conj(z); }
Number exponential(const Number& z) { return std::exp(z); }
Number logarithm(const Number& z) { return std::log(z); }
Number logarithm_10(const Number& z) { return std::log10(z); }
Number logarithm_2(const Number& z) { return std::log(z) * std::numbers::log2e; }
Number root(const Number& z) { return std::sqrt(z); }
Number sine(const Number& z) { return principal<std::sin<double>, std::sin>(z); }
Number cosine(const Number& z) { return principal<std::cos<double>, std::cos>(z); }
Number tangent(const Number& z) { return principal<std::tan<double>, std::tan>(z); }
Number hyperbolic_sine(const Number& z) { return principal<std::sinh<double>, std::sinh>(z); }
Number hyperbolic_cosine(const Number& z) { return principal<std::cosh<double>, std::cosh>(z); }
template <Function function>
Number inverse_of(const Number& z) {
  return 1.0 / function(z);
}

// --- Parts, and several numbers

Operand real_part(Call& call) { return call.finish(argument(call, 0).z.real()); }
Operand imaginary_part(Call& call) { return call.finish(argument(call, 0).z.imag()); }
Operand size(Call& call) { return call.finish(std::abs(argument(call, 0).z)); }

Operand angle(Call& call) {
  const Number z = argument(call, 0).z;
  if (!call.failed() && z == 0.0) return Code::argument;
  return call.finish(std::arg(z));
}

Operand compose(Call& call) {
  Complex out{{call.number(0), call.number(1)}, 'i'};
  if (call.given(2)) {
    const bool single = call[2].kind == Operand::Kind::value;
    const std::string_view unit = single ? call[2].value.text() : "";
    if (unit != "i" && unit != "j") return Error(Code::argument, "COMPLEX: the unit is i or j", 2);
    out.unit = unit[0];
  }
  return shown_complex(call, out);
}

Operand difference(Call& call) {
  const Complex a = argument(call, 0);
  const Complex b = argument(call, 1);
  return shown_complex(call, {a.z - b.z, unit_of(a, b)});
}

Operand quotient(Call& call) {
  const Complex a = argument(call, 0);
  const Complex b = argument(call, 1);
  if (!call.failed() && b.z == 0.0) return Code::argument;
  return shown_complex(call, {a.z / b.z, unit_of(a, b)});
}

Operand power(Call& call) {
  const double exponent = call.number(1);
  const Complex base = argument(call, 0);
  if (call.failed()) return call.failure();
  if (base.z == 0.0) return exponent > 0 ? Operand::text("0") : Operand(Code::argument);
  const Number out = std::polar(std::pow(std::abs(base.z), exponent), std::arg(base.z) * exponent);
  return shown_complex(call, {out, base.unit});
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
    {"IMCOT", of_angle<inverse_of<tangent>, Angle::doubled>, 1, 1, "s", Group::large, false, 1,
     Counting::addin},
    {"IMCSC", of_angle<inverse_of<sine>, Angle::doubled>, 1, 1, "s", Group::large, false, 1,
     Counting::addin},
    {"IMCSCH", of_angle<inverse_of<hyperbolic_sine>, Angle::doubled>, 1, 1, "s", Group::large,
     false, 1, Counting::addin},
    {"IMDIV", quotient, 2, 2, "s", Group::large, false, 1, Counting::addin},
    {"IMEXP", of_complex<exponential>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMLN", not_of_zero<logarithm>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMLOG10", not_of_zero<logarithm_10>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMLOG2", not_of_zero<logarithm_2>, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMPOWER", power, 2, 2, "sn", Group::large, false, 1, Counting::addin},
    {"IMPRODUCT", product_of_all, 1, -1, "to", Group::large, false, 1, Counting::addin},
    {"IMREAL", real_part, 1, 1, "s", Group::large, false, 1, Counting::addin},
    {"IMSEC", of_angle<inverse_of<cosine>, Angle::doubled>, 1, 1, "s", Group::large, false, 1,
     Counting::addin},
    {"IMSECH", of_angle<inverse_of<hyperbolic_cosine>, Angle::doubled>, 1, 1, "s", Group::large,
     false, 1, Counting::addin},
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
