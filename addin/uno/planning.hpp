// The component: every planning function as a method that Calc calls.
#pragma once

#include <com/sun/star/beans/XPropertySet.hpp>
#include <com/sun/star/lang/XServiceInfo.hpp>
#include <com/sun/star/table/XCellRange.hpp>
#include <cppuhelper/implbase2.hxx>
#include <initializer_list>
#include <loftledger/XPlanning.hpp>
#include <string_view>

#include "engine/catalogue/function.hpp"

namespace loftledger::uno {

class Planning
    : public cppu::WeakImplHelper2<::loftledger::XPlanning, com::sun::star::lang::XServiceInfo> {
  using Any = com::sun::star::uno::Any;
  using XPropertySet = com::sun::star::beans::XPropertySet;
  using XCellRange = com::sun::star::table::XCellRange;
  template <class T>
  using Reference = com::sun::star::uno::Reference<T>;
  using Function = catalogue::Function;

 public:
#include "planning_methods.inc"

  rtl::OUString SAL_CALL getImplementationName() override;
  sal_Bool SAL_CALL supportsService(const rtl::OUString& name) override;
  com::sun::star::uno::Sequence<rtl::OUString> SAL_CALL getSupportedServiceNames() override;

 private:
  static const Function& function_of(std::string_view id);
  // Calls the function; what it refuses becomes an exception or a number that Calc knows. Nothing
  // else leaves, whatever goes wrong inside.
  Any answer(const Function& function, std::initializer_list<Any> arguments,
             const Reference<XPropertySet>& document = {});
};

}  // namespace loftledger::uno
