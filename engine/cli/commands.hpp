// The commands of the program; each registers itself with the parser and says what to do.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>

#include "engine/engine.hpp"

namespace loftledger::cli {

inline constexpr int kFine = 0;
inline constexpr int kBadInput = 2;

// Prints "loftledger: sentence" on standard error.
int complain(std::string_view sentence);

// The present moment, read once for the whole run.
Moment moment();

// Each adds its subcommand; `run` is set to what is to be done when it was chosen.
void add_calc(CLI::App& app, std::function<int()>& run);
void add_eval(CLI::App& app, std::function<int()>& run);
void add_functions(CLI::App& app, std::function<int()>& run);

}  // namespace loftledger::cli
