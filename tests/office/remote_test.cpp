// Asked of a running office: what its function wizard has to show, formulas as a user types them,
// and what follows a change.
#include <gtest/gtest.h>

#include <com/sun/star/beans/PropertyValue.hpp>
#include <com/sun/star/container/XIndexAccess.hpp>
#include <com/sun/star/frame/XComponentLoader.hpp>
#include <com/sun/star/sheet/FunctionArgument.hpp>
#include <com/sun/star/sheet/XFunctionDescriptions.hpp>
#include <com/sun/star/sheet/XSpreadsheet.hpp>
#include <com/sun/star/sheet/XSpreadsheetDocument.hpp>
#include <com/sun/star/table/XCell.hpp>
#include <com/sun/star/text/XTextRange.hpp>
#include <map>
#include <memory>

#include "addin/render/render.hpp"
#include "addin/uno/text.hpp"
#include "engine/planning/catalogue.hpp"
#include "tests/office/visit.hpp"
#include "tests/support/remote/remote.hpp"

namespace loftledger::office {
namespace {

using com::sun::star::beans::PropertyValue;
using com::sun::star::container::XIndexAccess;
using com::sun::star::frame::XComponentLoader;
using com::sun::star::sheet::FunctionArgument;
using com::sun::star::sheet::XFunctionDescriptions;
using com::sun::star::sheet::XSpreadsheet;
using com::sun::star::sheet::XSpreadsheetDocument;
using com::sun::star::table::XCell;
using com::sun::star::text::XTextRange;
using com::sun::star::uno::Any;
using com::sun::star::uno::Reference;
using com::sun::star::uno::Sequence;
using com::sun::star::uno::UNO_QUERY;
using uno::from_utf8;
using uno::to_utf8;

struct Described {
  std::string text;
  Sequence<FunctionArgument> arguments;
  int times = 0;
};

std::map<std::string, Described> descriptions(const Reference<XFunctionDescriptions>& all) {
  std::map<std::string, Described> out;
  const sal_Int32 count = all->getCount();
  for (sal_Int32 i = 0; i < count; ++i) {
    Sequence<PropertyValue> properties;
    all->getByIndex(i) >>= properties;
    std::string name;
    Described described;
    for (const PropertyValue& property : properties) {
      rtl::OUString text;
      if (property.Name == "Name" && (property.Value >>= text)) name = to_utf8(text);
      if (property.Name == "Description" && (property.Value >>= text)) {
        described.text = to_utf8(text);
      }
      if (property.Name == "Arguments") property.Value >>= described.arguments;
    }
    described.times = out[name].times + 1;
    out[name] = described;
  }
  return out;
}

void expect_texts(const catalogue::Function& f, const Described& described) {
  SCOPED_TRACE(std::string(f.record.name));
  // No function of Calc's own has the name.
  EXPECT_EQ(described.times, 1);
  EXPECT_TRUE(described.text.starts_with(f.record.summary)) << described.text;
  ASSERT_EQ(static_cast<std::size_t>(described.arguments.getLength()), f.parameters.size());
  for (std::size_t i = 0; i < f.parameters.size(); ++i) {
    const FunctionArgument& argument = described.arguments[static_cast<sal_Int32>(i)];
    EXPECT_EQ(to_utf8(argument.Name), f.parameters[i].name);
    EXPECT_EQ(to_utf8(argument.Description), render::argument_help(f, i));
  }
}

class OfficeRemote : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    remote_ = std::make_unique<Remote>(Visit::get().office());
    connected_ = remote_->connect();
  }
  static void TearDownTestSuite() { remote_.reset(); }

  void SetUp() override {
    ASSERT_TRUE(connected_);
    const Reference<XComponentLoader> loader(remote_->service("com.sun.star.frame.Desktop"),
                                             UNO_QUERY);
    ASSERT_TRUE(loader.is());
    PropertyValue hidden;
    hidden.Name = from_utf8("Hidden");
    hidden.Value <<= true;
    const Reference<XSpreadsheetDocument> document(
        loader->loadComponentFromURL(from_utf8("private:factory/scalc"), from_utf8("_blank"), 0,
                                     Sequence<PropertyValue>(&hidden, 1)),
        UNO_QUERY);
    ASSERT_TRUE(document.is());
    const Reference<XIndexAccess> sheets(document->getSheets(), UNO_QUERY);
    sheet_.set(sheets->getByIndex(0), UNO_QUERY);
    ASSERT_TRUE(sheet_.is());
    type(0, 0, "=LOFTFACTOR(2;15)");
  }

  // Into column and row, counted from 0.
  void type(sal_Int32 column, sal_Int32 row, const char* formula) {
    sheet_->getCellByPosition(column, row)->setFormula(from_utf8(formula));
  }
  std::string text(sal_Int32 column, sal_Int32 row) {
    const Reference<XTextRange> cell(sheet_->getCellByPosition(column, row), UNO_QUERY);
    return cell.is() ? to_utf8(cell->getString()) : "";
  }

  static std::unique_ptr<Remote> remote_;
  static bool connected_;
  Reference<XSpreadsheet> sheet_;
};
std::unique_ptr<Remote> OfficeRemote::remote_;
bool OfficeRemote::connected_ = false;

TEST_F(OfficeRemote, CalculatesByTheNameThatUsersType) {
  const Reference<XCell> cell = sheet_->getCellByPosition(0, 0);
  EXPECT_EQ(cell->getError(), 0);
  EXPECT_EQ(cell->getValue(), 7.5);
}

TEST_F(OfficeRemote, TheReasonFollowsAChangeThatLeavesTheErrorAsItIs) {
  type(0, 1, "0");
  type(1, 1, "=LOFTFACTOR(A2;15)");
  type(2, 1, "=B2+1");
  type(3, 1, "=REASON(C2)");
  EXPECT_NE(text(3, 1).find("packed volume is 0;"), std::string::npos) << text(3, 1);
  type(0, 1, "-3");
  EXPECT_NE(text(3, 1).find("packed volume is -3;"), std::string::npos) << text(3, 1);
  type(0, 1, "2");
  EXPECT_EQ(text(3, 1), "");
}

// Calc sees no circle where a function takes a reference and reads the cell by itself: what the
// circle shows is of no use, but the office goes on.
TEST_F(OfficeRemote, AReasonOfItselfDoesNoHarm) {
  type(0, 1, "=REASON(A2)");
  type(0, 2, "=LOFTFACTOR(B3;15)");
  type(1, 2, "=LEN(REASON(A3))");
  type(0, 3, "=LOFTFACTOR(0;15)");
  type(1, 3, "=REASON(A4)");
  EXPECT_NE(text(1, 3).find("packed volume is 0;"), std::string::npos) << text(1, 3);
}

TEST_F(OfficeRemote, TheWizardShowsEveryFunctionWithItsTexts) {
  const Reference<XFunctionDescriptions> all(
      remote_->service("com.sun.star.sheet.FunctionDescriptions"), UNO_QUERY);
  ASSERT_TRUE(all.is());
  std::map<std::string, Described> described = descriptions(all);
  EXPECT_GT(described.size(), 400U);
  for (const catalogue::Function* f : planning::catalogue().functions()) {
    expect_texts(*f, described[std::string(f->record.name)]);
  }
}

}  // namespace
}  // namespace loftledger::office
