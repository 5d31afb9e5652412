#include "tests/support/remote/remote.hpp"

#include <unistd.h>

#include <atomic>
#include <chrono>
#include <com/sun/star/bridge/XUnoUrlResolver.hpp>
#include <com/sun/star/frame/XDesktop.hpp>
#include <com/sun/star/lang/XMultiComponentFactory.hpp>
#include <cppuhelper/bootstrap.hxx>
#include <cstdlib>
#include <thread>
#include <vector>

#include "addin/uno/text.hpp"

namespace loftledger::office {

using com::sun::star::bridge::XUnoUrlResolver;
using com::sun::star::frame::XDesktop;
using com::sun::star::uno::Exception;
using com::sun::star::uno::Reference;
using com::sun::star::uno::UNO_QUERY;
using com::sun::star::uno::XComponentContext;
using com::sun::star::uno::XInterface;
using uno::from_utf8;

namespace {

constexpr std::chrono::seconds kStartLimit{600};
constexpr std::chrono::seconds kEndLimit{60};

std::string new_pipe() {
  static std::atomic<int> started = 0;
  return "loftledger" + std::to_string(getpid()) + "n" + std::to_string(++started);
}

std::vector<std::string> words(const support::Office& office, const std::string& pipe) {
  std::vector<std::string> out = office.command();
  out.insert(out.end(),
             {"--headless", "--norestore", "--nologo", "--accept=pipe,name=" + pipe + ";urp;"});
  return out;
}

}  // namespace

Remote::Remote(const support::Office& office) : pipe_(new_pipe()), process_(words(office, pipe_)) {}

Remote::~Remote() {
  try {
    const Reference<XDesktop> desktop(service("com.sun.star.frame.Desktop"), UNO_QUERY);
    if (desktop.is()) desktop->terminate();
  } catch (const Exception&) {
    // It is gone already; the process object ends what is left.
  }
  process_.wait(kEndLimit);
}

bool Remote::connect() {
  // The interfaces of the office itself are described outside of the runtime's own files.
  setenv("URE_MORE_TYPES", "file://" LOFTLEDGER_API_TYPES, 1);
  const Reference<XComponentContext> local =
      cppu::defaultBootstrap_InitialComponentContext(from_utf8("file://" LOFTLEDGER_UNO_SETTINGS));
  const Reference<XUnoUrlResolver> resolver(
      local->getServiceManager()->createInstanceWithContext(
          from_utf8("com.sun.star.bridge.UnoUrlResolver"), local),
      UNO_QUERY);
  const auto stop = std::chrono::steady_clock::now() + kStartLimit;
  while (process_.running() && std::chrono::steady_clock::now() < stop) {
    try {
      context_.set(resolver->resolve(
                       from_utf8("uno:pipe,name=" + pipe_ + ";urp;StarOffice.ComponentContext")),
                   UNO_QUERY);
      return context_.is();
    } catch (const Exception&) {
      std::this_thread::sleep_for(std::chrono::milliseconds(100));
    }
  }
  return false;
}

Reference<XInterface> Remote::service(const char* name) {
  if (!context_.is()) return {};
  return context_->getServiceManager()->createInstanceWithContext(from_utf8(name), context_);
}

}  // namespace loftledger::office
