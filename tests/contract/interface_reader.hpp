// Reads the committed interface description the way the tests need it.
#pragma once

#include <string>
#include <vector>

namespace loftledger::contract {

struct MethodParameter {
  std::string type;
  std::string name;
};

struct Method {
  std::string result;
  std::string name;
  std::vector<MethodParameter> parameters;
  std::vector<std::string> raises;
};

// Comments are passed over; "[in]" must stand before each parameter. Empty where the text is not of
// that form.
std::vector<Method> read_interface(const std::string& text);

std::string read_file(const std::string& path_in_project);

}  // namespace loftledger::contract
