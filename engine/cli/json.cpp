#include "engine/cli/json.hpp"

namespace loftledger::cli {

Json plain(const Value& value) {
  switch (value.kind()) {
    case Value::Kind::empty:
      return nullptr;
    case Value::Kind::number:
      return value.number();
    case Value::Kind::boolean:
      return value.number() != 0;
    case Value::Kind::text:
      return std::string(value.text());
    case Value::Kind::error:
      return shown(value.code());
  }
  return nullptr;
}

Json typed(const Value& value) {
  const auto type = [&] {
    switch (value.kind()) {
      case Value::Kind::number:
        return "number";
      case Value::Kind::boolean:
        return "boolean";
      case Value::Kind::text:
        return "text";
      case Value::Kind::error:
        return "error";
      default:
        return "empty";
    }
  };
  return {{"type", type()}, {"value", plain(value)}};
}

std::string print(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace loftledger::cli
