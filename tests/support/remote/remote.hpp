// A running office without a window that is spoken to through a pipe.
#pragma once

#include <com/sun/star/uno/XComponentContext.hpp>
#include <string>

#include "tests/support/office/office.hpp"

namespace loftledger::office {

class Remote {
 public:
  // Starts the office with the profile of `office`, which must outlive this object.
  explicit Remote(const support::Office& office);
  // Asks the office to end, and waits for it.
  ~Remote();
  Remote(const Remote&) = delete;
  Remote& operator=(const Remote&) = delete;

  // False where the office did not answer in time.
  bool connect();

  // A service of the office; an empty reference before connect().
  com::sun::star::uno::Reference<com::sun::star::uno::XInterface> service(const char* name);

 private:
  std::string pipe_;
  support::Process process_;
  com::sun::star::uno::Reference<com::sun::star::uno::XComponentContext> context_;
};

}  // namespace loftledger::office
