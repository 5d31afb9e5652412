#include "engine/standard/values/conversions.hpp"

#include "engine/standard/values/text_number.hpp"

namespace loftledger::standard {

Value to_number(const Value& value, const sheet::Settings& settings) {
  switch (value.kind()) {
    case Value::Kind::number:
    case Value::Kind::error:
      return value;
    case Value::Kind::boolean:
      return Value(value.number());
    case Value::Kind::empty:
      return Value(0.0);
    case Value::Kind::text:
      break;
  }
  if (const auto read = read_typed(value.text(), settings)) return Value(read->value);
  return Value(Code::value);
}

Value to_truth(const Value& value, const sheet::Settings& settings) {
  Value number = to_number(value, settings);
  if (number.is_error()) return number;
  return Value::boolean(number.number() != 0);
}

std::string to_text(const Value& value) {
  if (value.is_numeric()) return general_text(value.number());
  return std::string(value.text());
}

}  // namespace loftledger::standard
