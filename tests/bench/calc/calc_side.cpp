#include "tests/bench/calc/calc_side.hpp"

#include <chrono>
#include <com/sun/star/beans/PropertyValue.hpp>
#include <com/sun/star/container/XIndexAccess.hpp>
#include <com/sun/star/frame/XComponentLoader.hpp>
#include <com/sun/star/frame/XStorable.hpp>
#include <com/sun/star/sheet/XCalculatable.hpp>
#include <com/sun/star/sheet/XSpreadsheet.hpp>
#include <com/sun/star/sheet/XSpreadsheetDocument.hpp>
#include <com/sun/star/util/XCloseable.hpp>

#include "addin/uno/text.hpp"
#include "tests/support/remote/remote.hpp"

namespace loftledger::bench {

using com::sun::star::beans::PropertyValue;
using com::sun::star::container::XIndexAccess;
using com::sun::star::frame::XComponentLoader;
using com::sun::star::frame::XStorable;
using com::sun::star::sheet::XCalculatable;
using com::sun::star::sheet::XSpreadsheet;
using com::sun::star::sheet::XSpreadsheetDocument;
using com::sun::star::table::XCell;
using com::sun::star::uno::Exception;
using com::sun::star::uno::Reference;
using com::sun::star::uno::Sequence;
using com::sun::star::uno::UNO_QUERY;
using com::sun::star::util::XCloseable;
using uno::from_utf8;
using uno::to_utf8;

namespace {

template <class T>
PropertyValue property(const char* name, const T& value) {
  PropertyValue out;
  out.Name = from_utf8(name);
  out.Value <<= value;
  return out;
}

}  // namespace

struct CalcSide::Impl {
  Impl(const std::filesystem::path& extension, support::Results results)
      : office(extension, results), problem(office.problem()) {
    if (!problem.empty()) return;
    remote = std::make_unique<office::Remote>(office);
    if (!remote->connect()) problem = "the office does not answer";
  }

  // How long the call takes; what it throws becomes the problem.
  template <class Call>
  Seconds timed(const char* what, Call call) {
    if (!problem.empty()) return 0;
    const auto start = std::chrono::steady_clock::now();
    try {
      call();
    } catch (const Exception& exception) {
      problem = std::string(what) + ": " + to_utf8(exception.Message);
    }
    return std::chrono::duration<Seconds>(std::chrono::steady_clock::now() - start).count();
  }

  Reference<XCell> cell(std::int32_t row, std::int32_t column) {
    return sheet->getCellByPosition(column, row);
  }

  support::Office office;
  std::unique_ptr<office::Remote> remote;
  Reference<XSpreadsheetDocument> document;
  Reference<XSpreadsheet> sheet;
  Reference<XCalculatable> calculatable;
  std::string problem;
};

CalcSide::CalcSide(const std::filesystem::path& extension, support::Results results)
    : impl_(std::make_unique<Impl>(extension, results)) {}

CalcSide::~CalcSide() { close(); }

const std::string& CalcSide::problem() const { return impl_->problem; }

Seconds CalcSide::open(const std::filesystem::path& file) {
  close();
  const Seconds out = impl_->timed("loading", [&] {
    const Reference<XComponentLoader> loader(impl_->remote->service("com.sun.star.frame.Desktop"),
                                             UNO_QUERY);
    const PropertyValue hidden = property("Hidden", true);
    impl_->document.set(
        loader->loadComponentFromURL(from_utf8("file://" + file.string()), from_utf8("_blank"), 0,
                                     Sequence<PropertyValue>(&hidden, 1)),
        UNO_QUERY);
  });
  if (!impl_->problem.empty()) return out;
  if (!impl_->document.is()) {
    impl_->problem = "the office cannot load " + file.string();
    return out;
  }
  impl_->calculatable.set(impl_->document, UNO_QUERY);
  choose_sheet(0);
  return out;
}

void CalcSide::choose_sheet(std::int32_t index) {
  impl_->timed("choosing a sheet", [&] {
    const Reference<XIndexAccess> sheets(impl_->document->getSheets(), UNO_QUERY);
    impl_->sheet.set(sheets->getByIndex(index), UNO_QUERY);
  });
}

Seconds CalcSide::save_as_ods(const std::filesystem::path& file) {
  return impl_->timed("saving", [&] {
    const Reference<XStorable> storable(impl_->document, UNO_QUERY);
    const PropertyValue filter = property("FilterName", from_utf8("calc8"));
    storable->storeToURL(from_utf8("file://" + file.string()), Sequence<PropertyValue>(&filter, 1));
  });
}

void CalcSide::close() {
  if (!impl_->document.is()) return;
  impl_->timed("closing", [&] {
    const Reference<XCloseable> closeable(impl_->document, UNO_QUERY);
    closeable->close(true);
  });
  impl_->calculatable.clear();
  impl_->sheet.clear();
  impl_->document.clear();
}

Seconds CalcSide::calculate_all() {
  return impl_->timed("calculating", [&] { impl_->calculatable->calculateAll(); });
}

Seconds CalcSide::call() {
  Reference<XCell> cell;
  impl_->timed("finding a cell", [&] { cell = impl_->cell(0, 0); });
  return impl_->timed("asking for a value", [&] { cell->getValue(); });
}

Seconds CalcSide::change(std::int32_t row, std::int32_t column, double number) {
  Reference<XCell> cell;
  impl_->timed("finding a cell", [&] { cell = impl_->cell(row, column); });
  return impl_->timed("changing a cell", [&] {
    cell->setValue(number);
    // The office puts off what nobody looks at: here it works out what the change left open.
    impl_->calculatable->calculate();
  });
}

double CalcSide::number(std::int32_t row, std::int32_t column) {
  double out = 0;
  impl_->timed("reading a cell", [&] { out = impl_->cell(row, column)->getValue(); });
  return out;
}

}  // namespace loftledger::bench
