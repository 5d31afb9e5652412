// Texts between the office (UTF-16) and the engine (UTF-8).
#pragma once

#include <rtl/ustring.hxx>
#include <string>
#include <string_view>

namespace loftledger::uno {

inline std::string to_utf8(const rtl::OUString& text) {
  const rtl::OString bytes = rtl::OUStringToOString(text, RTL_TEXTENCODING_UTF8);
  return {bytes.getStr(), static_cast<std::size_t>(bytes.getLength())};
}

inline rtl::OUString from_utf8(std::string_view text) {
  return {text.data(), static_cast<sal_Int32>(text.size()), RTL_TEXTENCODING_UTF8};
}

}  // namespace loftledger::uno
