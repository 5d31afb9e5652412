#include "engine/base/value.hpp"

namespace loftledger {

bool Value::identical(const Value& other) const {
  if (kind_ != other.kind_) return false;
  switch (kind_) {
    case Kind::empty:
      return true;
    case Kind::number:
    case Kind::boolean:
      return bits_ == other.bits_;
    case Kind::text:
      return text_ == other.text_ || text_->content == other.text_->content;
    case Kind::error:
      return code_ == other.code_ && error().sentence == other.error().sentence;
  }
  return false;
}

}  // namespace loftledger
