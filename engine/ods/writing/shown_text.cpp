#include "engine/ods/writing/shown_text.hpp"

#include "engine/format/general.hpp"

namespace loftledger::ods {

std::string shown_text(const Value& value, const NumberStyle* style, std::int64_t null_date) {
  switch (value.kind()) {
    case Value::Kind::empty:
      return {};
    case Value::Kind::text:
      if (style == nullptr || style->kind != NumberStyle::Kind::text) {
        return std::string(value.text());
      }
      return style->format->format(value.text());
    case Value::Kind::error:
      return shown(value.code());
    case Value::Kind::boolean:
      if (style == nullptr) return value.number() != 0 ? "TRUE" : "FALSE";
      break;
    case Value::Kind::number:
      break;
  }
  if (style == nullptr || style->general) return cell_text(value.number());
  return style->format->format(value.number(), null_date).value_or(std::string(kNotShown));
}

}  // namespace loftledger::ods
