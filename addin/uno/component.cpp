// What the office looks for in the library: one function an implementation, named in
// loftledger.components.
#include <com/sun/star/uno/Sequence.hxx>
#include <com/sun/star/uno/XComponentContext.hpp>

#include "addin/uno/planning.hpp"

extern "C" SAL_DLLPUBLIC_EXPORT com::sun::star::uno::XInterface* loftledger_make_planning(
    com::sun::star::uno::XComponentContext*,
    const com::sun::star::uno::Sequence<com::sun::star::uno::Any>&) {
  try {
    return cppu::acquire(new loftledger::uno::Planning);
  } catch (...) {
    return nullptr;
  }
}
