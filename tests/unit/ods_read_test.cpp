// Reading documents: every cell with its value at its true address, and what is no cell passed
// over.
#include <gtest/gtest.h>

#include <filesystem>
#include <string>

#include "engine/ods/document.hpp"
#include "engine/ods/file.hpp"
#include "engine/ods/package/zip.hpp"
#include "engine/ods/reading/office_value.hpp"
#include "tests/support/documents/flat_text.hpp"

namespace loftledger::ods {
namespace {

using support::flat_rows;
using support::flat_text;

const std::string kData = LOFTLEDGER_SOURCE "/tests/data/ods/";

Document read(const std::string& text) {
  Result<Document> document = Document::read(text, "test");
  EXPECT_TRUE(document) << document.error().sentence;
  if (!document) std::abort();
  return std::move(*document);
}

std::string complaint(const std::string& bytes) {
  const Result<Document> document = Document::read(bytes, "plan.ods");
  return document ? "none" : document.error().sentence;
}

Value at(const Document& document, std::string_view cell) {
  CellAddress address = *parse_cell(cell);
  return document.workbook().get(address);
}

std::string formula_at(const Document& document, std::int32_t row, std::int32_t column) {
  const sheet::Column* held = document.workbook().sheet(0).column(column);
  const sheet::Run* run = held == nullptr ? nullptr : held->run_at(row);
  if (run == nullptr) return {};
  const sheet::Shape& shape = document.workbook().shape(run->shape);
  return sheet::moved_formula(shape.text, shape.base, {0, row, column});
}

// One cell's value.
Value cell(std::string_view attributes, std::string_view content = {}) {
  const std::string text = "<table:table-row><table:table-cell " + std::string(attributes) + ">" +
                           std::string(content) + "</table:table-cell></table:table-row>";
  return at(read(flat_rows(text)), "A1");
}

TEST(ReadValues, OfEveryType) {
  EXPECT_TRUE(cell("office:value-type='float' office:value='12.5'").identical(Value(12.5)));
  EXPECT_TRUE(cell("office:value-type='float' office:value=' -3e2 '").identical(Value(-300.0)));
  EXPECT_TRUE(cell("office:value-type='percentage' office:value='0.04'").identical(Value(0.04)));
  EXPECT_TRUE(cell("office:value-type='currency' office:currency='EUR' office:value='7'")
                  .identical(Value(7.0)));
  EXPECT_TRUE(cell("office:value-type='string'", "<text:p>fibre</text:p>").text() == "fibre");
  EXPECT_EQ(
      cell("office:value-type='string' office:string-value='kept'", "<text:p>x</text:p>").text(),
      "kept");
  EXPECT_EQ(cell("", "<text:p>no type</text:p>").text(), "no type");
  EXPECT_TRUE(cell("office:value-type='string'").is_empty());
  EXPECT_TRUE(cell("office:value-type='string' office:string-value=''").is_empty());
  // A paragraph makes a text of nothing, as in Calc 7.4.7.
  EXPECT_TRUE(cell("office:value-type='string'", "<text:p/>").is_text());
  EXPECT_TRUE(cell("", "<text:p/>").is_text());
  EXPECT_TRUE(cell("office:value='3'").is_empty());
}

// The serial numbers are Calc's (7.4.7), read from what it made of the same files.
TEST(ReadValues, DatesAndTimesAsSerialNumbers) {
  const auto date = [](std::string_view text) {
    return cell("office:value-type='date' office:date-value='" + std::string(text) + "'").number();
  };
  EXPECT_EQ(date("1899-12-30"), 0.0);
  EXPECT_EQ(date("2024-01-31"), 45322.0);
  EXPECT_DOUBLE_EQ(date("2024-01-31T12:30:00Z"), 45322 + 12.5 / 24);
  EXPECT_EQ(date("2024-02-03T24:00:00"), 45326.0);
  EXPECT_EQ(date("-0044-03-15"), -709591.0);
  EXPECT_EQ(date("-0018-06-18"), -700000.0);
  const auto time = [](std::string_view text) {
    return cell("office:value-type='time' office:time-value='" + std::string(text) + "'").number();
  };
  EXPECT_DOUBLE_EQ(time("PT12H00M00S"), 0.5);
  EXPECT_DOUBLE_EQ(time("-PT06H00M00S"), -0.25);
  EXPECT_DOUBLE_EQ(time("PT26H57M46.6665696S"), 1.123456789);
  EXPECT_DOUBLE_EQ(time("P1DT1H"), 25.0 / 24);
  EXPECT_DOUBLE_EQ(time("PT10M"), 10.0 / 1440);
}

TEST(ReadValues, DatesCountFromTheDocumentsNullDate) {
  const std::string sheet =
      "<table:table table:name='S'><table:table-row><table:table-cell office:value-type='date' "
      "office:date-value='1904-01-02'/></table:table-row></table:table>";
  EXPECT_EQ(at(read(flat_text("<table:calculation-settings><table:null-date "
                              "table:date-value='1904-01-01'/></table:calculation-settings>" +
                              sheet)),
               "A1")
                .number(),
            1.0);
}

// As Calc does: without the format, a truth value is a number.
TEST(ReadValues, BooleansByTheirFormat) {
  const std::string styles =
      "<office:automatic-styles><number:boolean-style style:name='N9'><number:boolean/>"
      "</number:boolean-style><style:style style:name='b' style:family='table-cell' "
      "style:data-style-name='N9'/><style:style style:name='c' style:family='table-cell' "
      "style:parent-style-name='b'/></office:automatic-styles>";
  const Document document = read(flat_rows(
      "<table:table-column/><table:table-column/><table:table-column "
      "table:number-columns-repeated='2' table:default-cell-style-name='c'/>"
      "<table:table-row><table:table-cell office:value-type='boolean' office:boolean-value='true'/>"
      "<table:table-cell table:style-name='b' office:value-type='boolean' "
      "office:boolean-value='false'/><table:table-cell/>"
      "<table:table-cell office:value-type='boolean' office:boolean-value='true'/>"
      "</table:table-row>",
      styles));
  EXPECT_TRUE(at(document, "A1").identical(Value(1.0)));
  EXPECT_TRUE(at(document, "B1").identical(Value::boolean(false)));
  EXPECT_TRUE(at(document, "D1").identical(Value::boolean(true)));
}

TEST(ReadValues, WhatCannotBeReadIsAnErrorAndNotZero) {
  const Value number = cell("office:value-type='float' office:value='12abc'");
  EXPECT_EQ(number.code(), Code::value);
  EXPECT_EQ(number.error().sentence, "the file gives \"12abc\" where a number is due");
  EXPECT_EQ(cell("office:value-type='float'").error().sentence,
            "the file gives no number for the cell");
  EXPECT_EQ(cell("office:value-type='date' office:date-value='2024-02-30'").error().sentence,
            "the file gives \"2024-02-30\" where a date is due");
  EXPECT_TRUE(cell("office:value-type='time' office:time-value='P1M'").is_error());
  EXPECT_TRUE(cell("office:value-type='float' office:value='1e400'").is_error());
  EXPECT_TRUE(cell("office:value-type='float' office:value='NaN'").is_error());
}

TEST(ReadValues, CachedErrorsOfFormulas) {
  const auto cached = [](std::string_view formula, std::string_view shown_error) {
    return cell(std::string(formula) +
                    " office:value-type='string' office:string-value='' "
                    "calcext:value-type='error'",
                "<text:p>" + std::string(shown_error) + "</text:p>");
  };
  const std::string_view formula = "table:formula='of:=[.B1]'";
  EXPECT_EQ(cached(formula, "#DIV/0!").code(), Code::division);
  EXPECT_EQ(cached(formula, "Err:502").code(), Code::argument);
  EXPECT_EQ(cached(formula, "Err:520").code(), static_cast<Code>(520));
  EXPECT_EQ(cached(formula, "#WERT!").code(), Code::value);  // another tongue's
  EXPECT_EQ(cached("", "#N/A").text(), "#N/A");              // without a formula it is a text
}

TEST(ReadTexts, ParagraphsSpansAndSpelledBlanks) {
  const std::string_view type = "office:value-type='string'";
  EXPECT_EQ(cell(type,
                 "<text:p>a<text:s/><text:s text:c='2'/>b<text:tab/>c<text:line-break/>d"
                 "</text:p><text:p/><text:p>e</text:p>")
                .text(),
            "a   b\tc\nd\n\ne");
  EXPECT_EQ(cell(type,
                 "<text:p>x<text:span>y<text:span>z</text:span></text:span><text:a>w</text:a>"
                 "</text:p>")
                .text(),
            "xyzw");
  EXPECT_EQ(cell(type, "<text:p>&lt;&#x20AC;&gt;<![CDATA[ & ]]></text:p>").text(), "<\u20AC> & ");
}

TEST(ReadTexts, NotesAndDrawingsAreNotTheCellsText) {
  EXPECT_EQ(
      cell("office:value-type='string'",
           "<office:annotation><text:p>a note</text:p></office:annotation><text:p>own</text:p>"
           "<draw:frame><draw:text-box><text:p>drawn</text:p></draw:text-box></draw:frame>"
           "<table:table table:name='inner'><table:table-row><table:table-cell>"
           "<text:p>nested</text:p></table:table-cell></table:table-row></table:table>")
          .text(),
      "own");
}

TEST(ReadTexts, EqualTextsAreHeldOnce) {
  const Document document = read(flat_rows(
      "<table:table-row><table:table-cell office:value-type='string'><text:p>kilogram of loose "
      "fibre</text:p></table:table-cell><table:table-cell office:value-type='string'><text:p>"
      "kilogram of loose fibre</text:p></table:table-cell></table:table-row>"));
  EXPECT_EQ(at(document, "A1").text().data(), at(document, "B1").text().data());
}

TEST(ReadSheets, RepeatedRowsAndColumns) {
  const Document document = read(flat_rows(
      "<table:table-row table:number-rows-repeated='3'><table:table-cell "
      "table:number-columns-repeated='2'/><table:table-cell table:number-columns-repeated='2' "
      "office:value-type='float' office:value='4'/></table:table-row>"
      "<table:table-row table:number-rows-repeated='1048572'><table:table-cell "
      "table:number-columns-repeated='1024'/></table:table-row>"
      "<table:table-row><table:covered-table-cell/><table:table-cell office:value-type='string'>"
      "<text:p>last</text:p></table:table-cell></table:table-row>"));
  EXPECT_TRUE(at(document, "B3").is_empty());
  EXPECT_EQ(at(document, "C3").number(), 4.0);
  EXPECT_EQ(at(document, "D1").number(), 4.0);
  EXPECT_TRUE(at(document, "C4").is_empty());
  EXPECT_EQ(at(document, "B1048576").text(), "last");
  EXPECT_EQ(document.workbook().sheet(0).columns(), 4);
  EXPECT_EQ(document.workbook().sheet(0).column(2)->pages(), 1);  // empty rows cost nothing
}

TEST(ReadSheets, RepeatedFormulasMoveTheirReferences) {
  const Document document = read(flat_rows(
      "<table:table-row/><table:table-row table:number-rows-repeated='3'><table:table-cell/>"
      "<table:table-cell table:number-columns-repeated='2' table:formula='of:=[.A1]+[.$A$1]'/>"
      "</table:table-row>"));
  EXPECT_EQ(formula_at(document, 1, 1), "[.A1]+[.$A$1]");
  EXPECT_EQ(formula_at(document, 3, 2), "[.B3]+[.$A$1]");
  EXPECT_EQ(formula_at(document, 4, 2), "");
  EXPECT_EQ(document.workbook().shapes(), 1u);
}

TEST(ReadSheets, GroupsAndHeadersDoNotShiftAddresses) {
  const Document document = read(flat_rows(
      "<table:title>t</table:title><table:shapes><draw:frame><draw:object><office:document>"
      "<office:body><table:table table:name='local-table'><table:table-row><table:table-cell "
      "office:value-type='float' office:value='99'/></table:table-row></table:table></office:body>"
      "</office:document></draw:object></draw:frame></table:shapes>"
      "<table:table-column-group><table:table-header-columns><table:table-column/>"
      "</table:table-header-columns></table:table-column-group>"
      "<table:table-header-rows><table:table-row><table:table-cell office:value-type='float' "
      "office:value='1'/></table:table-row></table:table-header-rows>"
      "<table:table-row-group><table:table-row table:visibility='collapse'/><text:soft-page-break/>"
      "<table:table-row-group><table:table-row table:visibility='filter'><table:table-cell "
      "office:value-type='float' office:value='3'/></table:table-row></table:table-row-group>"
      "</table:table-row-group>"
      "<table:table-rows><table:table-row><table:table-cell office:value-type='float' "
      "office:value='4'/></table:table-row></table:table-rows>"));
  EXPECT_EQ(document.workbook().sheets(), 1);
  EXPECT_EQ(at(document, "A1").number(), 1.0);
  EXPECT_EQ(at(document, "A3").number(), 3.0);
  EXPECT_EQ(at(document, "A4").number(), 4.0);
  const sheet::Sheet& sheet = document.workbook().sheet(0);
  EXPECT_TRUE(sheet.hidden(1, false));
  EXPECT_FALSE(sheet.hidden(1, true));
  EXPECT_TRUE(sheet.hidden(2, true));
  EXPECT_FALSE(sheet.hidden(3, false));
}

TEST(ReadSheets, OnlySheetsAreSheets) {
  const std::string cell_of_9 =
      "<table:table-row><table:table-cell office:value-type='float' office:value='9'/>"
      "</table:table-row>";
  const Document document = read(flat_text(
      "<table:tracked-changes><table:cell-content-change><table:previous><table:table-cell "
      "office:value-type='float' office:value='9'/></table:previous></table:cell-content-change>"
      "</table:tracked-changes><table:table table:name='Plan'/>"
      "<table:table table:name=\"'file:///old.ods'#$Prices\"><table:table-source/>" +
      cell_of_9 + "</table:table><table:table table:name='Linked'><table:table-source/>" +
      cell_of_9 +
      "</table:table><table:dde-links><table:dde-link><office:dde-source/><table:table>" +
      cell_of_9 + "</table:table></table:dde-link></table:dde-links>"));
  ASSERT_EQ(document.workbook().sheets(), 2);
  EXPECT_EQ(document.workbook().sheet(0).name(), "Plan");
  EXPECT_EQ(document.workbook().sheet(1).name(), "Linked");
  EXPECT_EQ(document.workbook().get({1, 0, 0}).number(), 9.0);
}

TEST(ReadSheets, PassesOverWhatLiesBeyondASheetAndSaysSo) {
  const Document document = read(flat_rows(
      "<table:table-row><table:table-cell table:number-columns-repeated='16384'/><table:table-cell "
      "office:value-type='float' office:value='1'/></table:table-row>"
      "<table:table-row><table:table-cell office:value-type='float' office:value='2'/>"
      "<table:table-cell table:number-columns-repeated='99999'/></table:table-row>"
      "<table:table-row table:number-rows-repeated='2000000'/>"
      "<table:table-row><table:table-cell office:value-type='float' office:value='1'/>"
      "</table:table-row>"));
  EXPECT_EQ(at(document, "A2").number(), 2.0);
  EXPECT_EQ(document.remarks(),
            (std::vector<std::string>{
                "\"S\" has values right of column XFD or below row 1048576, which are not read"}));
}

TEST(ReadFormulas, InTheirOwnLanguageWhateverItsPrefix) {
  EXPECT_EQ(formula_at(read(flat_rows("<table:table-row><table:table-cell "
                                      "table:formula='=1+2'/></table:table-row>")),
                       0, 0),
            "1+2");
  const std::string other =
      "<table:table-row xmlns:f='urn:oasis:names:tc:opendocument:xmlns:of:1.2'><table:table-cell "
      "table:formula='f:=1&lt;2'/></table:table-row>";
  EXPECT_EQ(formula_at(read(flat_rows(other)), 0, 0), "1<2");
  const Document old = read(
      flat_rows("<table:table-row xmlns:oooc='http://openoffice.org/2004/calc'><table:table-cell "
                "table:formula='oooc:=[.B1]*2' office:value-type='float' office:value='8'/>"
                "</table:table-row>"));
  ASSERT_EQ(old.workbook().shapes(), 1u);
  EXPECT_TRUE(old.workbook().shape(0).syntax);
  EXPECT_EQ(at(old, "A1").number(), 8.0);  // the value stays until something is calculated
}

TEST(ReadFormulas, MatricesWithTheirSpans) {
  const Document document = read(flat_rows(
      "<table:table-row><table:table-cell/><table:table-cell table:formula='of:={1;2|3;4}' "
      "table:number-matrix-columns-spanned='2' table:number-matrix-rows-spanned='2' "
      "office:value-type='float' office:value='1'/><table:table-cell office:value-type='float' "
      "office:value='2'/></table:table-row>"));
  ASSERT_EQ(document.workbook().sheet(0).matrices().size(), 1u);
  EXPECT_EQ(document.workbook().sheet(0).matrices()[0].span, (Area{0, 0, 0, 1, 1, 2}));
  EXPECT_EQ(formula_at(document, 0, 1), "");  // a matrix is no formula of one cell
  EXPECT_EQ(at(document, "C1").number(), 2.0);
}

TEST(ReadFormulas, AnEmptyTextAsResultIsNoMissingResult) {
  EXPECT_TRUE(cell("table:formula='of:=\"\"'", "<text:p/>").is_text());
  EXPECT_TRUE(cell("table:formula='of:=\"\"'").is_empty());
}

TEST(ReadNames, GlobalLocalAndOfDatabases) {
  const Document document = read(flat_text(
      "<table:table table:name='A'><table:named-expressions><table:named-range "
      "table:name='price' table:base-cell-address=\"$'B x'.$C$3\" "
      "table:cell-range-address='$A.$A$1:.$B$2'/></table:named-expressions></table:table>"
      "<table:table table:name='B x'/><table:named-expressions><table:named-range "
      "table:name='price' table:base-cell-address='$A.$A$1' table:cell-range-address='$A.$A$9'/>"
      "<table:named-expression table:name='twice' table:base-cell-address='$A.$B$4' "
      "table:expression='of:=[.A4]*2'/></table:named-expressions><table:database-ranges>"
      "<table:database-range table:name='sizes' table:target-range-address=\"A.A1:'B x'.B4\"/>"
      "<table:database-range table:name='price' table:target-range-address='A.A1:A.B4'/>"
      "</table:database-ranges>"));
  const sheet::Workbook& book = document.workbook();
  EXPECT_EQ(book.find_name("PRICE", 0)->expression, "[$A.$A$1:.$B$2]");
  EXPECT_EQ(book.find_name("price", 0)->base, (CellAddress{1, 2, 2}));
  EXPECT_EQ(book.find_name("price", 1)->expression, "[$A.$A$9]");
  EXPECT_EQ(book.find_name("twice", 1)->expression, "[.A4]*2");
  EXPECT_EQ(book.find_name("twice", 1)->base, (CellAddress{0, 3, 1}));
  EXPECT_EQ(book.find_name("sizes", 0)->expression, "[$A.$A$1:$'B x'.$B$4]");
}

TEST(ReadSettings, AndTheStandardsOwnWhereTheyAreMissing) {
  const sheet::Settings none = read(flat_rows("")).workbook().settings;
  EXPECT_TRUE(none.case_sensitive);
  EXPECT_TRUE(none.whole_cell);
  EXPECT_TRUE(none.regular_expressions);
  EXPECT_FALSE(none.wildcards);
  EXPECT_FALSE(none.precision_as_shown);
  EXPECT_FALSE(none.iteration);
  EXPECT_EQ(none.null_year, 1930);
  EXPECT_EQ(none.null_date, -25569);
  const sheet::Settings set =
      read(flat_text("<table:calculation-settings table:case-sensitive='false' "
                     "table:search-criteria-must-apply-to-whole-cell='false' "
                     "table:use-regular-expressions='false' table:use-wildcards='true' "
                     "table:precision-as-shown='true' table:null-year='1950'>"
                     "<table:null-date table:date-value='1900-01-01'/><table:iteration "
                     "table:status='enable' table:steps='7' table:maximum-difference='0.5'/>"
                     "</table:calculation-settings>"))
          .workbook()
          .settings;
  EXPECT_FALSE(set.case_sensitive);
  EXPECT_FALSE(set.whole_cell);
  EXPECT_FALSE(set.regular_expressions);
  EXPECT_TRUE(set.wildcards);
  EXPECT_TRUE(set.precision_as_shown);
  EXPECT_EQ(set.null_year, 1950);
  EXPECT_EQ(set.null_date, -25567);
  EXPECT_TRUE(set.iteration);
  EXPECT_EQ(set.iteration_steps, 7);
  EXPECT_EQ(set.iteration_change, 0.5);
}

TEST(ReadNamespaces, OtherPrefixesAndADefaultOne) {
  const Document document = read(
      "<o:document xmlns:o='urn:oasis:names:tc:opendocument:xmlns:office:1.0' "
      "xmlns='urn:oasis:names:tc:opendocument:xmlns:table:1.0' "
      "xmlns:t='urn:oasis:names:tc:opendocument:xmlns:table:1.0' "
      "xmlns:x='urn:oasis:names:tc:opendocument:xmlns:text:1.0'><o:body><o:spreadsheet>"
      "<table t:name='S'><table-row><table-cell o:value-type='float' o:value='5'/>"
      "<t:table-cell o:value-type='string'><x:p>text</x:p></t:table-cell></table-row></table>"
      "</o:spreadsheet></o:body></o:document>");
  EXPECT_EQ(at(document, "A1").number(), 5.0);
  EXPECT_EQ(at(document, "B1").text(), "text");
}

// --- Packages.

std::string package(std::string_view content, std::string_view type, std::string_view manifest) {
  ZipWriter out;
  if (!type.empty()) out.store("mimetype", type);
  EXPECT_TRUE(out.deflate("content.xml", content));
  if (!manifest.empty()) {
    EXPECT_TRUE(out.deflate("META-INF/manifest.xml", manifest));
  }
  return *out.finish();
}

std::string content_text(std::string_view rows) {
  std::string out = flat_rows(rows);
  for (const std::string_view from : {"<office:document ", "</office:document>"}) {
    std::string to(from);
    to.insert(from.size() - 1, "-content");
    out.replace(out.find(from), from.size(), to);
  }
  const std::size_t type = out.find("office:mimetype");
  out.erase(type, out.find('>', type) - type);
  return out;
}

constexpr std::string_view kType = "application/vnd.oasis.opendocument.spreadsheet";
const std::string kOneCell = content_text(
    "<table:table-row><table:table-cell office:value-type='float' office:value='6'/>"
    "</table:table-row>");

TEST(ReadPackages, OfWorkbooksAndTemplates) {
  EXPECT_EQ(at(read(package(kOneCell, kType, "")), "A1").number(), 6.0);
  EXPECT_EQ(at(read(package(kOneCell, std::string(kType) + "-template", "")), "A1").number(), 6.0);
  EXPECT_EQ(at(read(package(kOneCell, "", "")), "A1").number(), 6.0);
}

TEST(ReadPackages, SayWhatIsWrong) {
  EXPECT_EQ(complaint(""), "plan.ods: the file is empty");
  EXPECT_EQ(complaint("a,b\n1,2\n"),
            "plan.ods: the file is neither an OpenDocument package nor XML");
  EXPECT_EQ(complaint("PK\3\4"), "plan.ods: the package is cut short");
  EXPECT_EQ(complaint("PK" + std::string(100, 'x')),
            "plan.ods: the package has no directory at its end: it is cut short, or no package");
  EXPECT_EQ(complaint(package(kOneCell, "application/vnd.oasis.opendocument.text", "")),
            "plan.ods: this is a document of the type application/vnd.oasis.opendocument.text, no "
            "spreadsheet");
  EXPECT_EQ(complaint(package("<office:document-content xmlns:office="
                              "'urn:oasis:names:tc:opendocument:xmlns:office:1.0'>\n<b></a>",
                              kType, "")),
            "plan.ods: content.xml, line 2, column 4: </a> stands where </b> is due");
  ZipWriter empty;
  empty.store("mimetype", kType);
  EXPECT_EQ(complaint(*empty.finish()),
            "plan.ods: the package has no content.xml: it is no OpenDocument file");
  const std::string locked =
      "<manifest:manifest xmlns:manifest='urn:oasis:names:tc:opendocument:xmlns:manifest:1.0'>"
      "<manifest:file-entry manifest:full-path='content.xml'><manifest:encryption-data/>"
      "</manifest:file-entry></manifest:manifest>";
  EXPECT_EQ(complaint(package("\x13\x37", kType, locked)),
            "plan.ods: the document is protected with a password, and cannot be read");
}

TEST(ReadFlat, SaysWhatIsWrong) {
  EXPECT_EQ(complaint("<html/>"), "plan.ods: line 1, column 1: this is no OpenDocument file");
  std::string text(support::kFlatHead);
  EXPECT_EQ(complaint(text + "<office:body><office:text/></office:body></office:document>"),
            "plan.ods: line 3, column 14: the document holds something other than one spreadsheet");
  EXPECT_EQ(complaint(text + "<office:body/></office:document>"),
            "plan.ods: line 3, column 15: the document holds no spreadsheet");
  EXPECT_EQ(complaint(text + "</office:document>"),
            "plan.ods: line 3, column 19: the document has no content");
  EXPECT_EQ(complaint(text), "plan.ods: line 3, column 1: the text ends before </office:document>");
  text.replace(text.find("spreadsheet\">"), 11, "text");
  EXPECT_EQ(complaint(text + "</office:document>"),
            "plan.ods: line 2, column 1: this is a document of the type "
            "application/vnd.oasis.opendocument.text, no spreadsheet");
}

TEST(ReadFlat, InOtherEncodings) {
  const std::string body = flat_rows(
      "<table:table-row><table:table-cell office:value-type='string'><text:p>\xC3\x84hre</text:p>"
      "</table:table-cell></table:table-row>");
  EXPECT_EQ(at(read("\xEF\xBB\xBF" + body), "A1").text(), "\xC3\x84hre");
  std::string latin = body;
  latin.replace(latin.find("UTF-8"), 5, "ISO-8859-1");
  latin.replace(latin.find("\xC3\x84"), 2, "\xC4");
  EXPECT_EQ(at(read(latin), "A1").text(), "\xC3\x84hre");
}

// A few hundred bytes that would stand for more than a thousand million cells.
TEST(ReadLimits, RefuseMoreCellsThanMemoryHolds) {
  EXPECT_EQ(
      complaint(flat_rows("<table:table-row table:number-rows-repeated='1048576'>"
                          "<table:table-cell table:number-columns-repeated='1024' "
                          "office:value-type='float' office:value='1'/></table:table-row>")),
      "plan.ods: the document holds more than 100000000 cells with values, which is more than "
      "is read");
}

// Hundreds of megabytes of nothing in a small package: read in blocks, and without holding them.
TEST(ReadLimits, BlanksThatInflateCostNoMemory) {
  ZipWriter out;
  ASSERT_TRUE(out.begin("content.xml"));
  const std::size_t root = kOneCell.find('>', kOneCell.find("<office:document-content"));
  out.add(kOneCell.substr(0, root + 1));
  const std::string blanks(1 << 20, ' ');
  for (int i = 0; i < 200; ++i) out.add(blanks);
  out.add(kOneCell.substr(root + 1));
  ASSERT_TRUE(out.end());
  const std::string bytes = *out.finish();
  EXPECT_LT(bytes.size(), 300000u);
  EXPECT_EQ(at(read(bytes), "A1").number(), 6.0);
}

TEST(ReadDamaged, EveryCutIsRefusedAndNoneCrashes) {
  const std::string bytes = *read_file(kData + "toys-by-calc.ods");
  for (std::size_t size = 0; size < bytes.size(); size += 13) {
    ASSERT_FALSE(Document::read(bytes.substr(0, size), "cut")) << size;
  }
  const std::string flat = *read_file(kData + "toys.fods");
  for (std::size_t size = 0; size < flat.size() - 2; size += 7) {
    ASSERT_FALSE(Document::read(flat.substr(0, size), "cut")) << size;
  }
}

TEST(ReadDamaged, AnyByteMayBeWrong) {
  const std::string bytes = *read_file(kData + "toys-by-calc.ods");
  int read_all_the_same = 0;
  for (std::size_t i = 0; i < bytes.size(); i += 11) {
    std::string damaged = bytes;
    damaged[i] = static_cast<char>(damaged[i] ^ 0x55);
    const Result<Document> document = Document::read(damaged, "damaged");
    if (document) {
      ++read_all_the_same;
    } else {
      ASSERT_TRUE(document.error().sentence.starts_with("damaged: "));
    }
  }
  // Pictures and settings are not looked at, so that damage there does not show.
  EXPECT_GT(read_all_the_same, 0);
}

TEST(ReadDamaged, AChecksumThatDoesNotFit) {
  std::string bytes = package(kOneCell, kType, "");
  const std::size_t record = bytes.rfind("PK\1\2");
  bytes[record + 16] = static_cast<char>(bytes[record + 16] ^ 1);
  EXPECT_EQ(complaint(bytes), "plan.ods: content.xml is damaged: its checksum does not fit");
}

TEST(ReadFile, SaysThatItIsNotThere) {
  EXPECT_EQ(Document::open("/no/such/plan.ods").error().sentence,
            "/no/such/plan.ods: cannot be opened: No such file or directory");
  EXPECT_EQ(Document::open("/").error().sentence, "/: cannot be read: Is a directory");
}

// What Calc wrote, in both forms, holds the same.
TEST(ReadCalcs, PackageAndFlatDocumentAgree) {
  const Result<Document> flat = Document::open(kData + "toys-by-calc.fods");
  const Result<Document> package_of_same = Document::open(kData + "toys-by-calc.ods");
  ASSERT_TRUE(flat && package_of_same);
  const sheet::Workbook& a = flat->workbook();
  const sheet::Workbook& b = package_of_same->workbook();
  ASSERT_EQ(a.sheets(), 2);
  ASSERT_EQ(b.sheets(), 2);
  int filled = 0;
  for (std::int32_t s = 0; s < 2; ++s) {
    ASSERT_EQ(a.sheet(s).rows_end(), b.sheet(s).rows_end());
    for (std::int32_t row = 0; row < a.sheet(s).rows_end(); ++row) {
      for (std::int32_t column = 0; column < 6; ++column) {
        ASSERT_TRUE(a.get({s, row, column}).identical(b.get({s, row, column})));
        filled += !a.get({s, row, column}).is_empty();
      }
    }
  }
  EXPECT_EQ(filled, 24);
  EXPECT_EQ(at(*flat, "A10").text(), "two spans\nand lines");
  EXPECT_DOUBLE_EQ(at(*flat, "B10").number(), 45413.8);  // 2024-05-01 and 0.8 of a day
  EXPECT_EQ(at(*flat, "C10").code(), Code::division);
  EXPECT_TRUE(at(*flat, "D7").is_boolean());
  EXPECT_EQ(a.names().size(), 4u);
}

}  // namespace
}  // namespace loftledger::ods
