// Any bytes as a document: it is refused with a sentence, or it survives being written. Bytes that
// begin neither a package nor a whole document are taken as the content of a sheet.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "engine/ods/document.hpp"
#include "tests/support/documents/flat_text.hpp"

namespace {

using loftledger::CellAddress;
using loftledger::Value;
using loftledger::ods::Document;
using loftledger::sheet::Workbook;

constexpr std::int32_t kRows = 40;  // that are compared
constexpr std::int32_t kColumns = 12;

void require(bool fine) {
  if (!fine) std::abort();
}

// Every cell that is looked at, but the one that was set, is as it was.
void require_same(const Workbook& a, const Workbook& b, CellAddress but) {
  require(a.sheets() == b.sheets());
  for (std::int32_t s = 0; s < a.sheets(); ++s) {
    for (std::int32_t row = 0; row < kRows; ++row) {
      for (std::int32_t column = 0; column < kColumns; ++column) {
        const CellAddress here{s, row, column};
        if (here == but) continue;
        const Value& x = a.get(here);
        const Value& y = b.get(here);
        // A truth value may come back as its number where its cell has no such format.
        require(x.is_numeric() ? y.is_numeric() && x.number() == y.number() : x.identical(y));
      }
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  // NOLINTNEXTLINE(cppcoreguidelines-pro-type-reinterpret-cast): bytes are what a text is made of.
  std::string bytes(reinterpret_cast<const char*>(data), size);
  const bool utf16 = bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF");
  const bool whole = bytes.starts_with("<?xml") || bytes.starts_with("PK") || utf16;
  if (!whole) bytes = loftledger::support::flat_rows(bytes);
  auto document = Document::read(bytes, "fuzz");
  if (!document) {
    require(document.error().sentence.starts_with("fuzz: "));
    return 0;
  }
  const std::string own = bytes.starts_with("PK") ? ".ods" : ".fods";
  const auto copy = document->bytes(own);
  require(copy.ok() && *copy == bytes);
  if (document->workbook().sheets() == 0) return 0;
  const CellAddress set{0, static_cast<std::int32_t>(size % kRows),
                        static_cast<std::int32_t>(size % kColumns)};
  const Workbook& before = document->workbook();
  document->workbook().put(set, "set & <so>");
  for (const char* ending : {".fods", ".ods"}) {
    const auto written = document->bytes(ending);
    if (!written) continue;  // a document whose cells cannot be written says so
    auto again = Document::read(*written, "again");
    require(again.ok());
    require(again->workbook().get(set).text() == "set & <so>");
    require_same(before, again->workbook(), set);
  }
  return 0;
}
