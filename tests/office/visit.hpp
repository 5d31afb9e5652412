// One visit to the office for all tests of this program: documents are registered before it, and
// calculated together.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <string>

#include "tests/support/office/calculated.hpp"
#include "tests/support/office/office.hpp"

namespace loftledger::office {

using support::calculated_by_engine;
using support::FlatCells;
using support::FlatDocument;

class Visit {
 public:
  static Visit& get();

  void add(std::string name, std::function<FlatDocument()> make);

  // The calculated values of a registered document; the first call starts the office. What went
  // wrong stands in problem().
  const FlatCells& cells(const std::string& name);
  const std::string& problem();
  // The document as the office saved it.
  std::string saved(const std::string& name);

  // Whether the component's library was in the office's memory, with these documents, and with one
  // that uses no planning function.
  bool loaded_with_functions();
  bool loaded_without_functions();

  // The installed office, for a test that needs a start of its own.
  support::Office& office();

 private:
  void make();

  std::map<std::string, std::function<FlatDocument()>> makers_;
  std::map<std::string, FlatCells> results_;
  std::map<std::string, std::string> saved_;
  std::unique_ptr<support::Office> office_;
  std::string problem_;
  bool visited_ = false;
  bool with_ = false;
  bool without_ = false;
};

// const Registered kMine("mine", make_mine); at namespace scope.
struct Registered {
  Registered(std::string name, std::function<FlatDocument()> make) {
    Visit::get().add(std::move(name), std::move(make));
  }
};

}  // namespace loftledger::office
