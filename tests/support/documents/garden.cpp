#include "tests/support/documents/garden.hpp"

#include <fmt/format.h>

#include <random>
#include <string_view>
#include <vector>

namespace loftledger::support {

namespace {

constexpr std::string_view kNamespaces =
    " xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\""
    " xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\""
    " xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\""
    " xmlns:style=\"urn:oasis:names:tc:opendocument:xmlns:style:1.0\""
    " xmlns:draw=\"urn:oasis:names:tc:opendocument:xmlns:drawing:1.0\""
    " xmlns:svg=\"urn:oasis:names:tc:opendocument:xmlns:svg-compatible:1.0\""
    " xmlns:fo=\"urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0\""
    " xmlns:chart=\"urn:oasis:names:tc:opendocument:xmlns:chart:1.0\""
    " xmlns:number=\"urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0\""
    " xmlns:config=\"urn:oasis:names:tc:opendocument:xmlns:config:1.0\""
    " xmlns:meta=\"urn:oasis:names:tc:opendocument:xmlns:meta:1.0\""
    " xmlns:dc=\"http://purl.org/dc/elements/1.1/\""
    " xmlns:xlink=\"http://www.w3.org/1999/xlink\""
    " xmlns:of=\"urn:oasis:names:tc:opendocument:xmlns:of:1.2\""
    " xmlns:calcext=\"urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0\""
    " xmlns:toy=\"urn:example:toy-bench\"";

class Garden {
 public:
  explicit Garden(const GardenWishes& wishes) : wishes_(wishes), random_(wishes.seed) {}

  std::string document() {
    std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" + outside();
    out += fmt::format(
        "<office:document{} office:version=\"1.3\" toy:shelf='3 > 2' office:mimetype=\"{}\">",
        kNamespaces, wishes_.mimetype);
    const std::string parts[] = {
        "<office:meta><meta:generator>by "
        "hand</meta:generator><dc:title>B&amp;B</dc:title></office:meta>",
        "<office:settings><config:config-item-set config:name=\"toy:view\"><config:config-item "
        "config:name=\"Zoom\" config:type=\"int\">80</config:config-item></config:config-item-set>"
        "</office:settings>",
        "<office:scripts><toy:script>if (a &lt; b) <![CDATA[a && "
        "b]]></toy:script></office:scripts>",
        "<office:font-face-decls><style:font-face style:name=\"Plain\" svg:font-family=\"Plain\"/>"
        "</office:font-face-decls>",
        "<office:styles><style:default-style style:family=\"table-cell\"/><draw:fill-image "
        "draw:name=\"felt\">" +
            picture() + "</draw:fill-image></office:styles>",
        "<office:automatic-styles><style:style style:name=\"ce1\" style:family=\"table-cell\"/>"
        "<style:page-layout "
        "style:name=\"pm1\"><style:page-layout-properties><style:background-image>" +
            picture() +
            "</style:background-image></style:page-layout-properties></style:page-layout>"
            "</office:automatic-styles>",
        "<office:master-styles><style:master-page style:name=\"Default\" "
        "style:page-layout-name=\"pm1\"><style:header><text:p>Plan</text:p></style:header>"
        "</style:master-page></office:master-styles>",
    };
    for (const std::string& part : parts) out += part + between();
    if (wishes_.between_parts && chance(2))
      out += "<toy:part a='1'><toy:b/>" + text() + "</toy:part>";
    out += "<office:body><office:spreadsheet>" + noise();
    out +=
        "<table:tracked-changes><table:cell-content-change table:id='c1'><table:previous>"
        "<table:change-track-table-cell office:value-type='float' office:value='3'/>"
        "</table:previous></table:cell-content-change></table:tracked-changes>"
        "<table:content-validations><table:content-validation table:name='v1' "
        "table:condition='of:cell-content()&gt;0'><table:error-message><text:p>More.</text:p>"
        "</table:error-message></table:content-validation></table:content-validations>";
    for (int i = 1 + pick(2); i > 0; --i) out += sheet(fmt::format("S{}", i));
    out +=
        "<table:named-expressions><table:named-range table:name='mass' "
        "table:cell-range-address='$S1.$A$1'/></table:named-expressions>" +
        noise() +
        "<table:database-ranges><table:database-range table:name='db' "
        "table:target-range-address='S1.A1:S1.B3'/></table:database-ranges>"
        "</office:spreadsheet></office:body>" +
        between() + "</office:document>" + outside();
    return out;
  }

 private:
  int pick(int below) { return static_cast<int>(random_() % static_cast<unsigned>(below)); }
  bool chance(int of) { return pick(of) == 0; }
  template <std::size_t N>
  std::string one_of(const std::string_view (&list)[N]) {
    return std::string(list[static_cast<std::size_t>(pick(static_cast<int>(N)))]);
  }

  std::string between() { return wishes_.between_parts && chance(2) ? noise() : std::string(); }

  // What may stand before and behind the root.
  std::string outside() {
    static constexpr std::string_view kOutside[] = {"", "\n", "<!-- outside -->",
                                                    "<?toy-style href=\"a.css\"?>\r\n"};
    return wishes_.between_parts ? one_of(kOutside) : std::string();
  }
  // What may stand between any two elements.
  std::string noise() {
    static constexpr std::string_view kNoise[] = {
        "",
        "",
        "\n",
        "\r\n  ",
        "<!-- a > b & c - d -->",
        "<?toy data=\"<&>\"?>",
        "<toy:tag toy:a='1>0' b=\"&lt;&#10;\"><toy:in/>&#x20AC;<![CDATA[<x>]]></toy:tag >",
        "<q:z xmlns:q='urn:example:other' q:r=''/>"};
    return one_of(kNoise);
  }
  std::string text() {
    static constexpr std::string_view kTexts[] = {
        "fibre",
        "a &amp; b",
        "<![CDATA[x < y & z]]>",
        "&#x20AC;&#233;",
        "\xC3\xA9\xE2\x82\xAC",
        "<text:span text:style-name='T1'>sp<text:s text:c='2'/>an</text:span>",
        "<text:a xlink:href='https://example.org/?a=1&amp;b=2' xlink:type='simple'>link</text:a>",
        "]]&gt; <!-- in a text --> tail",
        "<text:tab/>\n  lines"};
    return one_of(kTexts);
  }
  // Base64 in lines, as programs write it.
  std::string picture() {
    static constexpr std::string_view kPictures[] = {
        "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR4nGP4z8AAAAMBAQBfY3dY\n"
        "      AAAAAElFTkSuQmCC",
        "R0lGODlhAQABAAAAACH5BAEKAAEALAAAAAABAAEAAAICTAEAOw==", "/9j/4AAQSkZJRg==", "AAECAwQF"};
    return "<office:binary-data>" + one_of(kPictures) + "</office:binary-data>";
  }
  std::string chart() {
    return fmt::format(
        "<draw:frame draw:name='chart {}' svg:x='1cm' svg:width='8cm' "
        "svg:height='6cm'><draw:object "
        "draw:notify-on-update-of-ranges='S1.A1:S1.B3'><office:document "
        "office:mimetype='application/vnd.oasis.opendocument.chart' office:version='1.3'>"
        "<office:automatic-styles><style:style style:name='ch1' style:family='chart'/>"
        "</office:automatic-styles><office:body><office:chart><chart:chart chart:class='chart:bar'>"
        "{}<chart:plot-area><chart:series chart:values-cell-range-address='S1.A1:S1.A3'/>"
        "</chart:plot-area><table:table table:name='local-table'><table:table-rows>"
        "<table:table-row><table:table-cell office:value-type='float' office:value='1' "
        "table:formula='of:=1'><text:p>1</text:p></table:table-cell></table:table-row>"
        "</table:table-rows></table:table></chart:chart></office:chart></office:body>"
        "</office:document></draw:object><draw:image>{}</draw:image></draw:frame>",
        pick(100), noise(), picture());
  }
  std::string drawing() {
    switch (pick(4)) {
      case 0:
        return chart();
      case 1:
        return "<draw:frame><draw:image>" + picture() + "</draw:image></draw:frame>";
      case 2:
        return "<draw:custom-shape svg:width='1cm'><text:p>" + text() +
               "</text:p><draw:enhanced-geometry draw:type='rectangle'/></draw:custom-shape>";
      default:
        return "<draw:frame><draw:object><toy:inside/></draw:object></draw:frame>";
    }
  }

  std::string value() {
    static constexpr std::string_view kValues[] = {
        " office:value-type='float' office:value='12.5'><text:p>12.50</text:p>",
        "\n office:value-type = \"float\" office:value=\"3\" "
        "calcext:value-type=\"float\"><text:p>3</text:p>",
        " office:value-type='percentage' office:value='0.04'><text:p>4 %</text:p>",
        " office:value-type='currency' office:currency='EUR' office:value='7'><text:p>7</text:p>",
        " office:value-type='date' office:date-value='2024-02-29'><text:p>29.2.</text:p>",
        " office:value-type='time' office:time-value='PT02H30M00S'><text:p>2:30</text:p>",
        " office:value-type='boolean' office:boolean-value='true'><text:p>TRUE</text:p>",
        " office:value-type='string' office:string-value='kept'><text:p>shown</text:p>",
        " office:value-type='string' calcext:value-type='error'><text:p>#DIV/0!</text:p>",
        ">"};
    if (chance(5)) return " office:value-type='string'><text:p>" + text() + "</text:p>";
    return one_of(kValues);
  }
  std::string attributes() {
    static constexpr std::string_view kAttributes[] = {
        "",
        "",
        " table:style-name='ce1'",
        " table:content-validation-name='v1'",
        " toy:note='a > b'",
        "\t\n table:number-columns-spanned='2'  table:number-rows-spanned='1'",
        " xml:id='i1'",
        " table:protected=\"true\""};
    return one_of(kAttributes);
  }
  std::string extras() {
    std::string out;
    if (chance(6)) {
      out +=
          "<office:annotation office:display='true' svg:width='3cm'><dc:date>2024-01-31T12:00:00"
          "</dc:date><text:p>" +
          text() + "</text:p><text:p>2</text:p></office:annotation>";
    }
    if (chance(8)) out += drawing();
    if (chance(8))
      out += "<table:detective><table:operation table:name='trace-errors'/></table:detective>";
    if (chance(8)) out += "<toy:cell>" + text() + "</toy:cell>";
    if (chance(8)) out += "<!-- in a cell -->";
    return out;
  }

  std::string cell() {
    const bool covered = chance(8);
    const std::string_view name = covered ? "table:covered-table-cell" : "table:table-cell";
    if (chance(4)) {
      return fmt::format("<{}{}/>", name,
                         chance(2) ? fmt::format(" table:number-columns-repeated='{}'", 1 + pick(4))
                                   : attributes());
    }
    std::string formula;
    if (chance(2)) {
      static constexpr std::string_view kFormulas[] = {
          " table:formula='of:=[.A1]+1'",
          "\n  table:formula=\"of:=IF([.B2]&lt;&quot;a&quot;;1;2)\"",
          " table:formula='of:=SUM([S1.A1:.C3])'", " table:formula='msoxl:=A1'"};
      formula = one_of(kFormulas);
    } else if (chance(5)) {
      return fmt::format("<{} table:number-columns-repeated='2'{}{}</{}>", name, attributes(),
                         value(), name);
    }
    // Notes and drawings stand before or behind the paragraphs.
    std::string inside = value();
    const std::size_t tag_end = inside.rfind('>', inside.find("<text:p>"));
    if (chance(2)) {
      inside.insert(tag_end + 1, extras());
    } else {
      inside += extras();
    }
    return fmt::format("<{}{}{}{}</{}{}>", name, attributes(), formula, inside, name,
                       chance(9) ? " " : "");
  }

  std::string row() {
    std::string out = "<table:table-row";
    if (chance(5)) out += " table:style-name='ro1'";
    if (chance(8)) out += " table:visibility='filter'";
    const bool repeated = chance(6);
    if (repeated) out += fmt::format(" table:number-rows-repeated='{}'", 2 + pick(4));
    if (repeated) {
      return out + "><table:table-cell office:value-type='float' office:value='2'/>" + noise() +
             "<table:table-cell table:number-columns-repeated='3'/></table:table-row>";
    }
    if (chance(10)) return out + "/>";
    out += ">";
    for (int i = 1 + pick(5); i > 0; --i) out += noise() + cell();
    return out + noise() + "</table:table-row>";
  }
  std::string rows(int level) {
    std::string out;
    for (int i = 1 + pick(3); i > 0; --i) {
      out += noise();
      switch (level > 2 ? 5 : pick(8)) {
        case 0:
          out += "<table:table-row-group table:display='false'>" + rows(level + 1) +
                 "</table:table-row-group>";
          break;
        case 1:
          out += "<table:table-header-rows>" + rows(3) + "</table:table-header-rows>";
          break;
        case 2:
          out += "<table:table-rows>" + rows(3) + "</table:table-rows>";
          break;
        case 3:
          out += "<text:soft-page-break/>" + row();
          break;
        default:
          out += row();
      }
    }
    return out;
  }
  std::string sheet(const std::string& name) {
    std::string out = fmt::format("<table:table table:name='{}' table:print-ranges='{}.A1:{}.C9'>",
                                  name, name, name);
    if (chance(2)) out += "<office:forms form='x'><toy:form/></office:forms>";
    if (chance(2)) out += "<table:shapes>" + drawing() + noise() + drawing() + "</table:shapes>";
    out +=
        noise() +
        "<table:table-column-group><table:table-column table:default-cell-style-name='ce1'/>"
        "</table:table-column-group><table:table-header-columns><table:table-column/>"
        "</table:table-header-columns><table:table-column table:number-columns-repeated='1022'/>";
    out += rows(0) + row() + rows(0) + noise();
    if (chance(2)) out += "<table:named-expressions/>";
    if (chance(2)) {
      out +=
          "<calcext:conditional-formats><calcext:conditional-format "
          "calcext:target-range-address='S1.A1'/></calcext:conditional-formats>";
    }
    return out + "</table:table>";
  }

  const GardenWishes& wishes_;
  std::mt19937 random_;
};

}  // namespace

std::string garden(const GardenWishes& wishes) { return Garden(wishes).document(); }

}  // namespace loftledger::support
