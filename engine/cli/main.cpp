#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <ctime>

#include "engine/cli/commands.hpp"

namespace loftledger::cli {

int complain(std::string_view sentence) {
  fmt::print(stderr, "loftledger: {}\n", sentence);
  return kBadInput;
}

Moment moment() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  const auto fraction = std::chrono::system_clock::now().time_since_epoch();
  return {static_cast<double>(now) + static_cast<double>(local.tm_gmtoff),
          static_cast<std::uint64_t>(fraction.count())};
}

}  // namespace loftledger::cli

int main(int count, char** arguments) {
  using namespace loftledger::cli;
  // A file beyond the size that is allowed is an error to tell, not the end of the program.
  std::signal(SIGXFSZ, SIG_IGN);
  CLI::App app(
      "Plans for shops where customers stuff soft toys: calculates the workbooks and "
      "formulas of Loftledger without the office suite.",
      "loftledger");
  app.set_version_flag("--version", "loftledger " LOFTLEDGER_VERSION);
  app.require_subcommand(1);
  std::function<int()> run;
  add_calc(app, run);
  add_eval(app, run);
  add_functions(app, run);
  const auto commands = app.get_subcommands([](const CLI::App*) { return true; });
  if (count > 1 && arguments[1][0] != '-' &&
      std::none_of(commands.begin(), commands.end(),
                   [&](const CLI::App* each) { return each->get_name() == arguments[1]; })) {
    return complain(
        fmt::format("there is no command {}; loftledger --help lists them", arguments[1]));
  }
  try {
    app.parse(count, arguments);
    return run();
  } catch (const CLI::Success& wish) {  // --help, --version
    return app.exit(wish);
  } catch (const CLI::ParseError& problem) {
    return complain(fmt::format("{} (see loftledger --help)", problem.what()));
  } catch (const std::bad_alloc&) {
    return complain("there is not enough memory for this");
  } catch (const std::exception& problem) {
    return complain(fmt::format("this should not have happened: {}", problem.what()));
  }
}
