// Writing documents back: what did not change keeps its bytes, what did is read back as it was set.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "engine/ods/csv.hpp"
#include "engine/ods/document.hpp"
#include "engine/ods/file.hpp"
#include "engine/ods/package/zip.hpp"
#include "tests/support/documents/flat_text.hpp"

namespace loftledger::ods {
namespace {

using support::flat_rows;
using support::flat_text;

const std::string kData = LOFTLEDGER_SOURCE "/tests/data/ods/";

Document read(const std::string& bytes) {
  Result<Document> document = Document::read(bytes, "test");
  EXPECT_TRUE(document) << document.error().sentence;
  if (!document) std::abort();
  return std::move(*document);
}

std::string written(const Document& document, const std::string& ending = ".fods") {
  Result<std::string> bytes = document.bytes(ending);
  EXPECT_TRUE(bytes) << bytes.error().sentence;
  return bytes ? *bytes : std::string();
}

// Sets a value as a calculation does: the cell is not edited.
void calculate(Document& document, std::string_view cell, Value value) {
  const CellAddress a = *parse_cell(cell);
  document.workbook().sheet(a.sheet).set(a.row, a.column, std::move(value));
}

void put(Document& document, std::string_view cell, Value value) {
  document.workbook().put(*parse_cell(cell), std::move(value));
}

// The row of a sheet of one row, after the change.
template <class Change>
std::string changed_row(const std::string& row, Change&& change) {
  const std::string before = flat_rows(row);
  Document document = read(before);
  change(document);
  const std::string after = written(document);
  const std::size_t at = before.find(row);
  const std::size_t tail = before.size() - at - row.size();
  // Nothing but the row may differ.
  EXPECT_EQ(after.substr(0, at), before.substr(0, at));
  EXPECT_EQ(after.substr(after.size() - tail), before.substr(at + row.size()));
  return after.substr(at, after.size() - tail - at);
}

std::vector<std::filesystem::path> documents() {
  std::vector<std::filesystem::path> out;
  for (const char* folder : {"/tests/data/ods", "/templates", "/examples"}) {
    for (const auto& entry :
         std::filesystem::directory_iterator(std::string(LOFTLEDGER_SOURCE) + folder)) {
      const auto ending = entry.path().extension();
      if (ending == ".fods" || ending == ".ods") out.push_back(entry.path());
    }
  }
  return out;
}

TEST(WriteUnchanged, KeepsEveryByte) {
  ASSERT_GE(documents().size(), 5u);
  for (const auto& path : documents()) {
    SCOPED_TRACE(path);
    const std::string bytes = *read_file(path);
    EXPECT_EQ(written(read(bytes), path.extension()), bytes);
  }
}

TEST(WriteUnchanged, KeepsWhatComesOutTheSame) {
  // Calc writes fifteen digits, dates to a hundredth of a second, and nothing for an empty text.
  const std::string row =
      "<table:table-row><table:table-cell table:formula=\"of:=1/3\" office:value-type=\"float\" "
      "office:value=\"0.333333333333333\"/><table:table-cell table:formula=\"of:=[.Z1]\" "
      "office:value-type=\"date\" office:date-value=\"2023-03-15T02:57:46.67\"/><table:table-cell "
      "table:formula=\"of:=&quot;&quot;\"><text:p/></table:table-cell><table:table-cell "
      "table:formula=\"of:=1=1\" office:value-type=\"float\" "
      "office:value=\"1\"/></table:table-row>";
  EXPECT_EQ(changed_row(row,
                        [](Document& document) {
                          calculate(document, "A1", 1.0 / 3);
                          calculate(document, "B1", 45000.123456789);
                          calculate(document, "C1", "");
                          calculate(document, "D1", Value::boolean(true));
                          put(document, "F1", {});
                        }),
            row);
}

TEST(WriteChanged, ReplacesTheValueAndItsTextOnly) {
  EXPECT_EQ(
      changed_row("<table:table-row ><table:table-cell  table:style-name='x' "
                  "table:formula='of:=[.B1]' office:value-type='float'\n office:value='1' "
                  "calcext:value-type='float' other='kept'><text:p>1</text:p></table:table-cell>"
                  "<!-- kept --><table:table-cell/></table:table-row>",
                  [](Document& document) { calculate(document, "A1", 2.5); }),
      "<table:table-row ><table:table-cell  table:style-name='x' table:formula='of:=[.B1]' "
      "office:value-type=\"float\" office:value=\"2.5\" calcext:value-type=\"float\" other='kept'>"
      "<text:p>2.5</text:p></table:table-cell><!-- kept --><table:table-cell/></table:table-row>");
}

TEST(WriteChanged, KeepsNotesAndForeignElements) {
  EXPECT_EQ(
      changed_row("<table:table-row><table:table-cell table:formula='of:=[.B1]' "
                  "office:value-type='string' office:string-value='old'><office:annotation>"
                  "<text:p>note</text:p></office:annotation><text:p>o<text:span>l</text:span>d"
                  "</text:p>\n<text:p>line</text:p><draw:frame/></table:table-cell>"
                  "</table:table-row>",
                  [](Document& document) { calculate(document, "A1", "a & b\n  c"); }),
      "<table:table-row><table:table-cell table:formula='of:=[.B1]' office:value-type=\"string\" "
      "office:string-value=\"a &amp; b&#xa;  c\" calcext:value-type=\"string\"><office:annotation>"
      "<text:p>note</text:p></office:annotation><text:p>a &amp; "
      "b</text:p><text:p><text:s/><text:s/>"
      "c</text:p><draw:frame/></table:table-cell></table:table-row>");
}

struct TypeCase {
  const char* before;
  Value value;
  const char* after;
};

TEST(WriteChanged, KeepsTheTypeWhereItCan) {
  const TypeCase cases[] = {
      {"office:value-type='percentage' office:value='0.5'", 0.25,
       "office:value-type=\"percentage\" office:value=\"0.25\""},
      {"office:value-type='currency' office:currency='EUR' office:value='5'", 6.0,
       "office:value-type=\"currency\" office:value=\"6\""},
      {"office:value-type='date' office:date-value='2024-01-31'", 45351.75,
       "office:value-type=\"date\" office:date-value=\"2024-02-29T18:00:00\""},
      {"office:value-type='date' office:date-value='2024-01-31'", -709591.0,
       "office:value-type=\"date\" office:date-value=\"-0044-03-15\""},
      {"office:value-type='date' office:date-value='2024-01-31'", 1e9,
       "office:value-type=\"float\" office:value=\"1000000000\""},
      {"office:value-type='time' office:time-value='PT1H'", -1.25,
       "office:value-type=\"time\" office:time-value=\"-PT30H00M00S\""},
      {"office:value-type='boolean' office:boolean-value='true'", Value::boolean(false),
       "office:value-type=\"boolean\" office:boolean-value=\"false\""},
      {"office:value-type='float' office:value='3'", Value::boolean(true),
       "office:value-type=\"float\" office:value=\"1\""},
      {"office:value-type='float' office:value='3'", Value(Code::argument),
       "office:value-type=\"string\" office:string-value=\"\" calcext:value-type=\"error\" "
       "table:formula='of:=[.B1]'><text:p>Err:502</text:p>"},
      {"office:value-type='string' office:string-value='' calcext:value-type='error'", 3.0,
       "office:value-type=\"float\" office:value=\"3\" calcext:value-type=\"float\" "
       "table:formula='of:=[.B1]'><text:p>3<"},
      {"office:value-type='float' office:value='3'", "", "'of:=[.B1]'><text:p/><"},
      {"office:value-type='float' office:value='3'", Value(),
       "office:value-type=\"float\" office:value=\"0\""},
      {"", Value::boolean(true), "office:value-type=\"boolean\" office:boolean-value=\"true\""},
  };
  for (const TypeCase& c : cases) {
    const std::string row = fmt::format(
        "<table:table-row><table:table-cell {} table:formula='of:=[.B1]'/></table:table-row>",
        c.before);
    const std::string after =
        changed_row(row, [&](Document& document) { calculate(document, "A1", c.value); });
    EXPECT_NE(after.find(c.after), std::string::npos) << after;
  }
}

TEST(WriteChanged, ShowsValuesInTheCellsFormat) {
  const std::string styles =
      "<office:automatic-styles><number:percentage-style style:name='N1'><number:number "
      "number:decimal-places='1' number:min-integer-digits='1'/><number:text> %</number:text>"
      "</number:percentage-style><style:style style:name='c' style:family='table-cell' "
      "style:data-style-name='N1'/></office:automatic-styles>";
  Document document = read(flat_rows(
      "<table:table-column table:default-cell-style-name='c'/><table:table-row><table:table-cell "
      "table:formula='of:=[.B1]'/></table:table-row>",
      styles));
  calculate(document, "A1", 0.1234);
  EXPECT_NE(written(document).find("office:value-type=\"percentage\" office:value=\"0.1234\" "
                                   "calcext:value-type=\"percentage\"><text:p>12.3 %</text:p>"),
            std::string::npos);
}

// A number style's kind and content, a value, and the text that LibreOffice Calc 7.4.7 writes for
// it.
struct Shown {
  const char* kind;
  const char* content;
  double value;
  const char* text;
};

// Every attribute of the style's digits but how many decimals it has at most and at least, and how
// many digits before the point.
#define DIGITS(most, least, whole)                                                      \
  "<number:number number:decimal-places='" #most "' number:min-decimal-places='" #least \
  "' number:min-integer-digits='" #whole "'/>"
#define TEXT(words) "<number:text>" words "</number:text>"

TEST(WriteChanged, ShowsValuesAsTheOfficeDoes) {
  const char* const kGrouped =
      "<number:number number:decimal-places='6' number:min-decimal-places='0' "
      "number:min-integer-digits='1' number:grouping='true'/>";
  const char* const kGeneral = "<number:number number:min-integer-digits='1'/>";
  const char* const kThousands =
      "<number:number number:decimal-places='1' number:min-decimal-places='1' "
      "number:min-integer-digits='1' number:display-factor='1000'/>";
  const char* const kScientific =
      "<number:scientific-number number:decimal-places='2' number:min-integer-digits='1' "
      "number:min-exponent-digits='2'/>";
  const char* const kStepped =
      "<number:scientific-number number:decimal-places='1' number:min-integer-digits='1' "
      "number:min-exponent-digits='1' number:exponent-interval='3' "
      "number:forced-exponent-sign='false'/>";
  const char* const kDashes =
      "<number:number number:decimal-places='2' number:decimal-replacement='--' "
      "number:min-integer-digits='1'/>";
  const char* const kEmbedded =
      "<number:number number:decimal-places='0' number:min-integer-digits='7'>"
      "<number:embedded-text number:position='4'>-</number:embedded-text></number:number>";
  const char* const kDay =
      "<number:day/>" TEXT(". ") "<number:month number:textual='true'/>" TEXT(" ") "<number:year/>";
  const char* const kLongDay =
      "<number:day-of-week number:style='long'/>" TEXT(", ")
      "<number:month number:style='long' number:textual='true'/>" TEXT(" ")
      "<number:day number:style='long'/>" TEXT(", ") "<number:year number:style='long'/>";
  const char* const kQuarter = "<number:day-of-week/>" TEXT(" ") "<number:quarter/>" TEXT(
      " ") "<number:quarter number:style='long'/>" TEXT(" w") "<number:week-of-year/>";
  const char* const kClock =
      "<number:hours number:style='long'/>" TEXT(":") "<number:minutes number:style='long'/>" TEXT(
          ":") "<number:seconds number:style='long'/>";
  const char* const kHalfDay = "<number:hours/>" TEXT(
      ":") "<number:minutes number:style='long'/>" TEXT(" ") "<number:am-pm/>";
  const char* const kMinutes =
      "<number:minutes number:style='long'/>" TEXT(":") "<number:seconds number:style='long'/>";
  const char* const kHundredths = "<number:minutes number:style='long'/>" TEXT(
      ":") "<number:seconds number:style='long' number:decimal-places='2'/>";
  const Shown kShown[] = {
      {"number", DIGITS(2, 2, 1), 99.995, "100.00"},
      {"number", DIGITS(2, 2, 1), -0.5, "-0.50"},
      {"number", DIGITS(0, 0, 1), 2.4999999999999996, "2"},
      {"number", DIGITS(2, 2, 0), 0.5, ".50"},
      {"number", DIGITS(3, 1, 4) TEXT(" kg"), 1.0 / 3, "0000.333 kg"},
      {"number", kGrouped, 1234.567, "1,234.567"},
      {"number", kGeneral, 1e-10, "1E-10"},
      {"number", kGeneral, 1e16, "1E+016"},
      {"number", kGeneral, 0.000012345678912345, "1.2345678912345E-05"},
      {"number", kGeneral, 1234567890123456, "1234567890123456"},
      {"number", kThousands, 1234.567, "1.2"},
      {"number", kScientific, -1234.567, "-1.23E+03"},
      {"number", kStepped, 1234.567, "1.2E3"},
      {"number", kStepped, 9999999, "10.0E6"},
      {"number", kDashes, 5, "5.--"},
      {"number", kDashes, 0.5, "0.50"},
      {"number", kEmbedded, 1234.567, "000-1235"},
      {"date", kDay, 45658.5, "1. Jan 25"},
      {"date", kLongDay, 45658.5, "Wednesday, January 01, 2025"},
      {"date", kLongDay, 12345678.9, "#FMT"},
      {"date", kQuarter, 45658.5, "Wed Q1 1st quarter w1"},
      {"time", kClock, -0.25, "18:00:00"},
      {"time", kHalfDay, 44000.75, "6:00 PM"},
      {"running time", kClock, 1.5, "36:00:00"},
      {"running time", kClock, -0.25, "-06:00:00"},
      {"running time", kMinutes, 1.5, "2160:00"},
      {"time", kHundredths, 0.000012345678912345, "00:01.07"},
      // What another style shows, and what is left: without a sign, unless it is the style's own.
      {"number",
       DIGITS(0, 0, 1) "<style:map style:condition='value()&gt;=1000' "
                       "style:apply-style-name='two'/>",
       1234.567, "1234.57"},
      {"number",
       DIGITS(0, 0, 1) "<style:map style:condition='value()&gt;=1000' "
                       "style:apply-style-name='two'/>",
       -5, "5"},
      {"number",
       TEXT("(") DIGITS(0, 0, 1)
           TEXT(")") "<style:map "
                     "style:condition='value()&gt;=0' style:apply-style-name='two'/>",
       -5, "(5)"},
  };
  for (const Shown& each : kShown) {
    const std::string_view kind(each.kind);
    const bool runs_on = kind == "running time";
    const std::string element = fmt::format("number:{}-style", runs_on ? "time" : kind);
    const std::string_view rest = runs_on ? " number:truncate-on-overflow='false'" : "";
    const std::string styles = fmt::format(
        "<office:automatic-styles><number:number-style style:name='two'>{0}</number:number-style>"
        "<{1} style:name='N1'{2}>{3}</{1}><style:style style:name='c' "
        "style:family='table-cell' style:data-style-name='N1'/></office:automatic-styles>",
        DIGITS(2, 2, 1), element, rest, each.content);
    Document document = read(flat_rows(
        "<table:table-row><table:table-cell table:style-name='c' table:formula='of:=[.B1]'/>"
        "</table:table-row>",
        styles));
    calculate(document, "A1", each.value);
    EXPECT_NE(written(document).find(fmt::format("<text:p>{}</text:p>", each.text)),
              std::string::npos)
        << each.content << '\n'
        << written(document);
  }
}
#undef DIGITS
#undef TEXT

TEST(WriteEdited, TakesTheFormulaAway) {
  EXPECT_EQ(changed_row("<table:table-row><table:table-cell table:formula='of:={1;2}' "
                        "table:number-matrix-columns-spanned='2' "
                        "table:number-matrix-rows-spanned='1' office:value-type='float' "
                        "office:value='1'/><table:table-cell office:value-type='float' "
                        "office:value='2'/></table:table-row>",
                        [](Document& document) { put(document, "A1", 1.0); }),
            "<table:table-row><table:table-cell office:value-type=\"float\" office:value=\"1\" "
            "calcext:value-type=\"float\"><text:p>1</text:p></table:table-cell><table:table-cell "
            "office:value-type='float' office:value='2'/></table:table-row>");
}

TEST(WriteEdited, EmptiesAndFillsCells) {
  EXPECT_EQ(changed_row("<table:table-row><table:table-cell table:style-name='s' "
                        "office:value-type='float' office:value='1'><text:p>1</text:p>"
                        "</table:table-cell></table:table-row>",
                        [](Document& document) {
                          put(document, "A1", {});
                          put(document, "D1", "new");
                        }),
            "<table:table-row><table:table-cell table:style-name='s'/><table:table-cell "
            "table:number-columns-repeated=\"2\"/><table:table-cell office:value-type=\"string\" "
            "office:string-value=\"new\" calcext:value-type=\"string\"><text:p>new</text:p>"
            "</table:table-cell></table:table-row>");
}

TEST(WriteEdited, OpensRowsAndSheetsThatCloseThemselves) {
  EXPECT_EQ(changed_row("<table:table-row table:style-name='r'/>",
                        [](Document& document) { put(document, "A1", 1.0); }),
            "<table:table-row table:style-name='r'><table:table-cell office:value-type=\"float\" "
            "office:value=\"1\" calcext:value-type=\"float\"><text:p>1</text:p></table:table-cell>"
            "</table:table-row>");
  Document document = read(flat_text("<table:table table:name='S'/><table:table table:name='T'/>"));
  put(document, "B2", 1.0);
  const Document again = read(written(document));
  EXPECT_EQ(again.workbook().get({0, 1, 1}).number(), 1.0);
  EXPECT_NE(written(document).find("<table:table table:name='T'/>"), std::string::npos);
}

TEST(WriteEdited, PutsNewRowsBehindTheLastOne) {
  const std::string rows =
      "<table:table-row-group><table:table-row><table:table-cell/></table:table-row>"
      "</table:table-row-group><table:named-expressions/>";
  const std::string after = changed_row(rows, [](Document& document) { put(document, "A4", 7.0); });
  EXPECT_EQ(after,
            "<table:table-row-group><table:table-row><table:table-cell/></table:table-row>"
            "</table:table-row-group><table:table-row table:number-rows-repeated=\"2\">"
            "<table:table-cell/></table:table-row><table:table-row><table:table-cell "
            "office:value-type=\"float\" office:value=\"7\" calcext:value-type=\"float\"><text:p>7"
            "</text:p></table:table-cell></table:table-row><table:named-expressions/>");
}

TEST(WriteRepeated, SplitsWhatNowDiffersAndMovesFormulas) {
  const std::string row =
      "<table:table-row table:number-rows-repeated='4'><table:table-cell "
      "table:number-columns-repeated='3' table:formula='of:=[.A9]*[.$B$9]' "
      "office:value-type='float' office:value='1'/></table:table-row>";
  const std::string after = changed_row(row, [](Document& document) {
    calculate(document, "B2", 5.0);
    calculate(document, "C2", 5.0);
  });
  const std::string same = "office:value-type='float' office:value='1'/>";
  EXPECT_EQ(
      after,
      "<table:table-row><table:table-cell table:number-columns-repeated='3' "
      "table:formula='of:=[.A9]*[.$B$9]' " +
          same +
          "</table:table-row>"
          "<table:table-row><table:table-cell table:formula=\"of:=[.A10]*[.$B$9]\" " +
          same +
          "<table:table-cell table:number-columns-repeated=\"2\" "
          "table:formula=\"of:=[.B10]*[.$B$9]\" office:value-type=\"float\" office:value=\"5\" "
          "calcext:value-type=\"float\"><text:p>5</text:p></table:table-cell></table:table-row>"
          "<table:table-row table:number-rows-repeated=\"2\"><table:table-cell "
          "table:number-columns-repeated='3' table:formula=\"of:=[.A11]*[.$B$9]\" " +
          same + "</table:table-row>");
}

TEST(WriteRepeated, FillsAMatrixWhoseResultsWereNotThere) {
  Document document = read(
      flat_rows("<table:table-row><table:table-cell table:formula='of:={1;2|3;4}' "
                "table:number-matrix-columns-spanned='2' table:number-matrix-rows-spanned='2'/>"
                "</table:table-row>"));
  for (const char* cell : {"A1", "B1", "A2", "B2"}) calculate(document, cell, 8.0);
  const Document again = read(written(document));
  for (const char* cell : {"A1", "B1", "A2", "B2"}) {
    EXPECT_EQ(again.workbook().get(*parse_cell(cell)).number(), 8.0) << cell;
  }
  EXPECT_EQ(again.workbook().sheet(0).matrices().size(), 1u);
}

// --- Any sheet, any changes: what is read back is what the workbook held.

class Model {
 public:
  explicit Model(unsigned seed) : random_(seed) {}

  std::string rows() {
    std::string out;
    for (int i = 0; i < 6; ++i) {
      out += fmt::format("<table:table-row{}>", repeated("rows", 4));
      for (int k = pick(5); k > 0; --k) out += cell();
      out += "</table:table-row>";
    }
    return out;
  }

  void change(Document& document) {
    sheet::Workbook& book = document.workbook();
    for (int i = pick(12); i > 0; --i) {
      const CellAddress a{0, pick(24), pick(12)};
      const sheet::Column* column = book.sheet(0).column(a.column);
      const bool formula = column != nullptr && column->run_at(a.row) != nullptr;
      if (formula && pick(2) == 0) {
        book.sheet(0).set(a.row, a.column, value());
      } else {
        book.put(a, value());
      }
    }
  }

 private:
  int pick(int below) { return static_cast<int>(random_() % static_cast<unsigned>(below)); }
  std::string repeated(std::string_view what, int most) {
    const int count = 1 + pick(most);
    if (count == 1 || pick(2) == 0) return {};
    return fmt::format(" table:number-{}-repeated='{}'", what, count);
  }
  std::string cell() {
    static constexpr std::string_view kCells[] = {
        "<table:table-cell{}/>",
        "<table:covered-table-cell{}/>",
        "<table:table-cell{} office:value-type='float' office:value='7'><text:p>7</text:p>"
        "</table:table-cell>",
        "<table:table-cell office:value-type='string'{}><text:p>text</text:p></table:table-cell>",
        "<table:table-cell table:formula='of:=[.A1]+[.$B2]'{}/>",
        "<table:table-cell{} table:formula='of:=[.C3]' office:value-type='float' office:value='4'>"
        "<office:annotation><text:p>n</text:p></office:annotation><text:p>4</text:p>"
        "</table:table-cell>",
    };
    return fmt::format(fmt::runtime(kCells[pick(6)]), repeated("columns", 3));
  }
  Value value() {
    switch (pick(5)) {
      case 0:
        return {};
      case 1:
        return fmt::format("a<{}>\n & b", pick(3));
      case 2:
        return Value(Code::division);
      default:
        return static_cast<double>(pick(4)) / 3;
    }
  }
  std::mt19937 random_;
};

// A formula that came out empty counts as 0; a constant that shows an error is a text.
bool reads_back(const Value& now, const Value& before, bool formula) {
  if (formula && before.is_empty()) return now.is_empty() || now.identical(Value(0.0));
  if (!formula && before.is_error()) return now.text() == shown(before.code());
  if (before.is_error()) return now.code() == before.code();
  return now.identical(before);
}

std::string formula_of(const sheet::Workbook& book, std::int32_t row, std::int32_t column) {
  const sheet::Column* held = book.sheet(0).column(column);
  const sheet::Run* run = held == nullptr ? nullptr : held->run_at(row);
  if (run == nullptr) return {};
  return sheet::moved_formula(book.shape(run->shape).text, book.shape(run->shape).base,
                              {0, row, column});
}

TEST(WriteAny, IsReadBackAsItWas) {
  for (unsigned seed = 0; seed < 1500; ++seed) {
    SCOPED_TRACE(seed);
    Model model(seed);
    const std::string text = flat_rows(model.rows());
    Document document = read(text);
    model.change(document);
    const std::string after = written(document);
    const Document again = read(after);
    const sheet::Workbook& a = document.workbook();
    const sheet::Workbook& b = again.workbook();
    for (std::int32_t row = 0; row < 30; ++row) {
      for (std::int32_t column = 0; column < 20; ++column) {
        const std::string formula = formula_of(a, row, column);
        ASSERT_EQ(formula_of(b, row, column), formula) << cell_name(row, column) << "\n" << after;
        ASSERT_TRUE(reads_back(b.get({0, row, column}), a.get({0, row, column}), !formula.empty()))
            << cell_name(row, column) << "\n"
            << text << "\n"
            << after;
      }
    }
    ASSERT_EQ(written(again), after);
  }
}

// --- Packages, and between the forms.

// The entries of a package by name, inflated.
std::map<std::string, std::string> entries(const std::string& bytes) {
  std::map<std::string, std::string> out;
  const Result<Archive> archive = Archive::open(bytes);
  EXPECT_TRUE(archive);
  if (!archive) return out;
  for (const ZipEntry& entry : archive->entries()) {
    EXPECT_TRUE(out.emplace(entry.name, *archive->unpack(entry)).second) << entry.name;
  }
  return out;
}

TEST(WritePackage, ChangesOnlyTheContent) {
  const std::string bytes = *read_file(kData + "toys-by-calc.ods");
  Document document = read(bytes);
  put(document, "B2", 600.0);
  const std::string after = written(document, ".ods");
  const Archive old = *Archive::open(bytes);
  const Archive now = *Archive::open(after);
  ASSERT_EQ(now.entries().size(), old.entries().size());
  for (std::size_t i = 0; i < old.entries().size(); ++i) {
    const ZipEntry& a = old.entries()[i];
    const ZipEntry& b = now.entries()[i];
    EXPECT_EQ(b.name, a.name);
    if (a.name == "content.xml") continue;
    EXPECT_EQ(b.data, a.data);  // not even packed anew
  }
  EXPECT_EQ(now.entries()[0].name, "mimetype");
  EXPECT_EQ(now.entries()[0].method, 0);
  EXPECT_EQ(after.substr(30, 8), "mimetype");  // where programs look for it
  EXPECT_EQ(read(after).workbook().get({0, 1, 1}).number(), 600.0);
}

TEST(WritePackage, AsATemplateAndBack) {
  const std::string bytes = *read_file(kData + "toys-by-calc.ods");
  const std::string as_template = written(read(bytes), ".ots");
  auto held = entries(as_template);
  EXPECT_EQ(held["mimetype"], "application/vnd.oasis.opendocument.spreadsheet-template");
  EXPECT_NE(held["META-INF/manifest.xml"].find(
                "manifest:full-path=\"/\" manifest:version=\"1.3\" manifest:media-type="
                "\"application/vnd.oasis.opendocument.spreadsheet-template\""),
            std::string::npos);
  EXPECT_EQ(entries(written(read(as_template), ".ods")), entries(bytes));
}

void expect_same_cells(const sheet::Workbook& a, const sheet::Workbook& b) {
  ASSERT_EQ(a.sheets(), b.sheets());
  for (std::int32_t s = 0; s < a.sheets(); ++s) {
    EXPECT_EQ(a.sheet(s).name(), b.sheet(s).name());
    for (std::int32_t row = 0; row < a.sheet(s).rows_end(); ++row) {
      for (std::int32_t column = 0; column < a.sheet(s).columns(); ++column) {
        ASSERT_TRUE(b.get({s, row, column}).identical(a.get({s, row, column})));
      }
    }
  }
}

TEST(Convert, FlatToPackageMovesPicturesAndDocumentsOut) {
  const Document flat = read(*read_file(kData + "toys-by-calc.fods"));
  const std::string bytes = written(flat, ".ods");
  auto held = entries(bytes);
  for (const char* name : {"mimetype", "content.xml", "styles.xml", "meta.xml", "settings.xml",
                           "Object 1/content.xml", "Object 1/styles.xml", "Pictures/1.png",
                           "ObjectReplacements/Object 1", "META-INF/manifest.xml"}) {
    EXPECT_EQ(held.count(name), 1u) << name;
  }
  EXPECT_TRUE(held["Pictures/1.png"].starts_with("\x89PNG"));
  EXPECT_EQ(held["content.xml"].find("binary-data"), std::string::npos);
  EXPECT_NE(held["content.xml"].find("xlink:href=\"./Object 1\""), std::string::npos);
  EXPECT_NE(held["Object 1/content.xml"].find("<chart:chart "), std::string::npos);
  EXPECT_EQ(held["content.xml"].find("<chart:chart "), std::string::npos);
  expect_same_cells(flat.workbook(), read(bytes).workbook());
}

TEST(Convert, PackageToFlatPutsThemIn) {
  const std::string bytes = *read_file(kData + "toys-by-calc.ods");
  const Document package_read = read(bytes);
  const std::string flat = written(package_read, ".fods");
  EXPECT_NE(flat.find("<chart:chart "), std::string::npos);
  EXPECT_NE(flat.find("iVBORw0KGgo"), std::string::npos);  // how a PNG begins in base64
  EXPECT_EQ(flat.find("Pictures/"), std::string::npos);
  expect_same_cells(package_read.workbook(), read(flat).workbook());
  // And out again: the same picture, the same chart.
  auto before = entries(bytes);
  auto after = entries(written(read(flat), ".ods"));
  const auto picture = std::find_if(before.begin(), before.end(), [](const auto& entry) {
    return entry.first.starts_with("Pictures/");
  });
  ASSERT_NE(picture, before.end());
  EXPECT_EQ(after["Pictures/1.png"], picture->second);
  EXPECT_EQ(after["ObjectReplacements/Object 1"], before["ObjectReplacements/Object 1"]);
}

TEST(Convert, RenamesStylesThatBothFilesHave) {
  const std::string root =
      " xmlns:office='urn:oasis:names:tc:opendocument:xmlns:office:1.0' "
      "xmlns:style='urn:oasis:names:tc:opendocument:xmlns:style:1.0' "
      "xmlns:table='urn:oasis:names:tc:opendocument:xmlns:table:1.0' "
      "xmlns:text='urn:oasis:names:tc:opendocument:xmlns:text:1.0'";
  ZipWriter out;
  ASSERT_TRUE(out.deflate(
      "content.xml",
      "<office:document-content" + root +
          "><office:automatic-styles><style:style style:name='P1' style:family='paragraph' a='1'/>"
          "<style:style style:name='T1' "
          "style:family='text'/></office:automatic-styles><office:body>"
          "<office:spreadsheet><table:table table:name='S'/></office:spreadsheet></office:body>"
          "</office:document-content>"));
  ASSERT_TRUE(out.deflate(
      "styles.xml",
      "<office:document-styles" + root +
          "><office:styles><style:style style:name='P1' style:family='table-cell'/></office:styles>"
          "<office:automatic-styles><style:style style:name='P1' style:family='paragraph' a='2'/>"
          "<style:style style:name='T1' style:family='text'/></office:automatic-styles>"
          "<office:master-styles><style:master-page style:name='M'><style:header><text:p "
          "text:style-name='P1'/></style:header></style:master-page></office:master-styles>"
          "</office:document-styles>"));
  const std::string flat = written(read(*out.finish()), ".fods");
  EXPECT_NE(flat.find("<office:automatic-styles><style:style style:name='P1' "
                      "style:family='paragraph' a='1'/><style:style style:name='T1' "
                      "style:family='text'/><style:style style:name='P1_of_pages' "
                      "style:family='paragraph' a='2'/></office:automatic-styles>"),
            std::string::npos)
      << flat;
  EXPECT_NE(flat.find("text:style-name='P1_of_pages'"), std::string::npos);
  EXPECT_NE(flat.find("<office:styles><style:style style:name='P1' "), std::string::npos);
}

TEST(Write, AsksForAKnownEnding) {
  const Document document = read(flat_rows(""));
  EXPECT_EQ(document.save("plan.xlsx").error().sentence,
            "plan.xlsx: the name must end in .ods, .ots or .fods, which tells the form in which "
            "the document is written");
  EXPECT_TRUE(document.bytes(".ODS"));
}

TEST(Csv, QuotesWhereItMust) {
  Document document = read(flat_text("<table:table table:name='S'/>"));
  put(document, "A1", "a,b");
  put(document, "B1", "say \"so\"");
  put(document, "C2", 0.1);
  put(document, "A3", Value::boolean(true));
  put(document, "B3", Value(Code::division));
  put(document, "C3", "two\nlines");
  put(document, "E9", 1.0);
  put(document, "E9", {});
  EXPECT_EQ(csv(document.workbook(), 0),
            "\"a,b\",\"say \"\"so\"\"\",\r\n,,0.1\r\nTRUE,#DIV/0!,\"two\nlines\"\r\n");
}

}  // namespace
}  // namespace loftledger::ods
