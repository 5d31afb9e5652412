#include "addin/uno/planning.hpp"

#include <com/sun/star/lang/IllegalArgumentException.hpp>
#include <com/sun/star/sheet/NoConvergenceException.hpp>
#include <exception>
#include <stdexcept>
#include <vector>

#include "addin/uno/convert.hpp"
#include "addin/uno/reason.hpp"
#include "addin/uno/text.hpp"
#include "engine/planning/catalogue.hpp"

namespace loftledger::uno {

using com::sun::star::lang::IllegalArgumentException;
using com::sun::star::sheet::NoConvergenceException;
using com::sun::star::uno::Sequence;
using com::sun::star::uno::UNO_QUERY;

namespace {

// The names of loftledger.components and CalcAddIns.xcu.
constexpr char kService[] = "loftledger.Planning";
constexpr char kImplementation[] = "loftledger.uno.Planning";

catalogue::Answer evaluate(
    const catalogue::Function& function, std::initializer_list<com::sun::star::uno::Any> arguments,
    const com::sun::star::uno::Reference<com::sun::star::beans::XPropertySet>& document) {
  std::vector<Received> received;
  received.reserve(arguments.size());
  for (const com::sun::star::uno::Any& any : arguments) {
    received.emplace_back(any);
    if (received.back().is_object()) {
      const com::sun::star::uno::Reference<com::sun::star::table::XCellRange> cell(any, UNO_QUERY);
      received.back().set_cell(state_of(document, cell));
    }
  }
  std::vector<catalogue::Argument> passed;
  passed.reserve(received.size());
  for (const Received& each : received) passed.push_back(each.argument());
  return catalogue::call(function, passed);
}

}  // namespace

const catalogue::Function& Planning::function_of(std::string_view id) {
  const catalogue::Function* found = planning::catalogue().find(id);
  if (found == nullptr) throw std::logic_error("a method without a function");
  return *found;
}

com::sun::star::uno::Any Planning::answer(const Function& function,
                                          std::initializer_list<Any> arguments,
                                          const Reference<XPropertySet>& document) {
  Error error(Code::internal);
  try {
    const catalogue::Answer answer = evaluate(function, arguments, document);
    const Value* value = std::get_if<Value>(&answer);
    if (value == nullptr || !value->is_error()) return to_any(answer);
    error = value->error();
  } catch (...) {
    // Out of memory, or the document went away under our hands: the cell shows an error.
  }
  switch (exit_of(error.code)) {
    case Exit::illegal_argument:
      throw IllegalArgumentException(from_utf8(error.text()), *this,
                                     static_cast<sal_Int16>(error.argument));
    case Exit::no_convergence:
      throw NoConvergenceException(from_utf8(error.text()), *this);
    case Exit::number:
      break;
  }
  return Any(error_number(error.code));
}

rtl::OUString Planning::getImplementationName() { return kImplementation; }

sal_Bool Planning::supportsService(const rtl::OUString& name) { return name == kService; }

Sequence<rtl::OUString> Planning::getSupportedServiceNames() {
  const rtl::OUString service(kService);
  return {&service, 1};
}

}  // namespace loftledger::uno
