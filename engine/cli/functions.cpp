// loftledger functions: the planning functions, all or one, from their records.
#include <fmt/format.h>

#include <memory>

#include "engine/base/number_text.hpp"
#include "engine/cli/commands.hpp"
#include "engine/cli/json.hpp"
#include "engine/cli/table.hpp"

namespace loftledger::cli {

namespace {

using catalogue::Function;
using catalogue::Parameter;

struct Wish {
  std::string name;
  std::string format = "table";
};

std::string fallback_text(const Function& f, std::size_t index) {
  const auto& fallback = f.parameters[index].fallback;
  if (const double* number = std::get_if<double>(&fallback)) {
    const std::string_view unit = catalogue::unit_of(f, index);
    return unit.empty() ? plain_number(*number) : fmt::format("{} {}", plain_number(*number), unit);
  }
  if (const auto* text = std::get_if<std::string_view>(&fallback)) return std::string(*text);
  return {};
}

std::string expected_text(const catalogue::Expected& expected) {
  struct Words {
    std::string operator()(double number) const { return number_text(number); }
    std::string operator()(std::string_view text) const { return fmt::format("\"{}\"", text); }
    std::string operator()(bool truth) const { return truth ? "TRUE" : "FALSE"; }
    std::string operator()(Code code) const { return shown(code); }
  };
  return std::visit(Words{}, expected);
}

Json json_of(const Function& f) {
  Json parameters = Json::array();
  for (std::size_t i = 0; i < f.parameters.size(); ++i) {
    const Parameter& p = f.parameters[i];
    parameters.push_back({{"name", p.name},
                          {"text", p.text},
                          {"unit", catalogue::unit_of(f, i)},
                          {"required", i < f.required},
                          {"default", fallback_text(f, i)},
                          {"rule", p.rule == catalogue::Rule::any ? std::string_view()
                                                                  : catalogue::rule_text(p.rule)}});
  }
  Json examples = Json::array();
  for (const catalogue::Example& e : f.examples) {
    examples.push_back({{"formula", e.formula}, {"result", expected_text(e.expected)}});
  }
  return {{"name", f.record.name},
          {"stored_name", catalogue::stored_name(f)},
          {"group", catalogue::group_name(f.record.group)},
          {"signature", catalogue::signature(f)},
          {"summary", f.record.summary},
          {"parameters", std::move(parameters)},
          {"returns", f.record.returns},
          {"unit", catalogue::result_unit(f)},
          {"array", f.returns_array},
          {"detail", f.record.detail},
          {"caution", f.record.caution},
          {"source", f.record.source},
          {"examples", std::move(examples)}};
}

void print_one(const Function& f) {
  fmt::print("{}\n  {}\n", catalogue::signature(f), f.record.summary);
  for (std::size_t i = 0; i < f.parameters.size(); ++i) {
    const Parameter& p = f.parameters[i];
    std::string line = fmt::format("  {}: {}", p.name, p.text);
    if (const std::string_view unit = catalogue::unit_of(f, i); !unit.empty()) {
      line += fmt::format(" A bare number is in {}.", unit);
    }
    if (p.rule != catalogue::Rule::any)
      line += fmt::format(" It {}.", catalogue::rule_text(p.rule));
    if (const std::string fallback = fallback_text(f, i); !fallback.empty()) {
      line += fmt::format(" Left out: {}.", fallback);
    } else if (i >= f.required) {
      line += " May be left out.";
    }
    fmt::print("{}\n", line);
  }
  fmt::print("  Returns {}.\n", f.record.returns);
  if (!f.record.detail.empty()) fmt::print("  {}\n", f.record.detail);
  if (!f.record.caution.empty()) fmt::print("  Caution: {}\n", f.record.caution);
  fmt::print("  Source: {}.\n", f.record.source);
  for (const catalogue::Example& e : f.examples) {
    fmt::print("  {}  gives  {}\n", e.formula, expected_text(e.expected));
  }
}

int list(const Wish& wish) {
  const catalogue::Catalogue& all = planning_functions();
  std::vector<const Function*> chosen;
  if (wish.name.empty()) {
    chosen.assign(all.functions().begin(), all.functions().end());
  } else if (const Function* f = all.find(wish.name)) {
    chosen.push_back(f);
  } else {
    return complain(
        fmt::format("there is no planning function {}; \"loftledger functions\" lists "
                    "them",
                    wish.name));
  }
  if (wish.format == "json") {
    Json out = Json::array();
    for (const Function* f : chosen) out.push_back(json_of(*f));
    fmt::print("{}\n", print(out));
  } else if (!wish.name.empty()) {
    print_one(*chosen[0]);
  } else {
    Table table({"group", "function", "what it computes"});
    for (const Function* f : chosen) {
      table.add({std::string(catalogue::group_name(f->record.group)), std::string(f->record.name),
                 std::string(f->record.summary)});
    }
    fmt::print("{}", table.text());
  }
  return kFine;
}

}  // namespace

void add_functions(CLI::App& app, std::function<int()>& run) {
  auto wish = std::make_shared<Wish>();
  CLI::App* command =
      app.add_subcommand("functions", "List the planning functions, or describe one");
  command->add_option("NAME", wish->name, "one function, such as BODIESPERCASE");
  command->add_option("--format", wish->format, "table or json")
      ->check(CLI::IsMember({"table", "json"}));
  command->callback([wish, &run] { run = [wish] { return list(*wish); }; });
}

}  // namespace loftledger::cli
