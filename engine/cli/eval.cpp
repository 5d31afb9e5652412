// loftledger eval: one formula.
#include <fmt/format.h>

#include <memory>

#include "engine/cli/commands.hpp"
#include "engine/cli/table.hpp"

namespace loftledger::cli {

namespace {

int evaluate_formula(const std::string& formula) {
  const Matrix result = evaluate(formula, moment());
  if (result.size() == 1 && result.cells()[0].is_error()) {
    const Error error = result.cells()[0].error();
    return complain(fmt::format("{}: {}", shown(error.code), error.text()));
  }
  for (std::size_t r = 0; r < result.rows(); ++r) {
    for (std::size_t c = 0; c < result.columns(); ++c) {
      fmt::print("{}{}", c > 0 ? "\t" : "", full_words(result.at(r, c)));
    }
    fmt::print("\n");
  }
  return kFine;
}

}  // namespace

void add_eval(CLI::App& app, std::function<int()>& run) {
  auto formula = std::make_shared<std::string>();
  CLI::App* command = app.add_subcommand(
      "eval", "Evaluate one formula, such as 'BODIESPERCASE(\"10 kg\";\"160 g\";4%)'");
  command->add_option("FORMULA", *formula, "arguments stand between semicolons")->required();
  command->callback([formula, &run] { run = [formula] { return evaluate_formula(*formula); }; });
}

}  // namespace loftledger::cli
