#include "tests/contract/interface_reader.hpp"

#include <fstream>
#include <regex>
#include <sstream>

namespace loftledger::contract {

namespace {

std::vector<std::string> parts(const std::string& list) {
  std::vector<std::string> out;
  std::istringstream in(list);
  for (std::string part; std::getline(in, part, ',');) {
    const std::size_t first = part.find_first_not_of(" \n");
    const std::size_t last = part.find_last_not_of(" \n");
    if (first != std::string::npos) out.push_back(part.substr(first, last - first + 1));
  }
  return out;
}

}  // namespace

std::string read_file(const std::string& path_in_project) {
  std::ifstream in(std::string(LOFTLEDGER_SOURCE) + "/" + path_in_project, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

std::vector<Method> read_interface(const std::string& text) {
  static const std::regex kComment(R"(//[^\n]*|/\*[^*]*\*+(?:[^/*][^*]*\*+)*/)");
  static const std::regex kMethod(
      R"(([A-Za-z]+)\s+([A-Za-z0-9]+)\s*\(([^)]*)\)\s*raises\s*\(([^)]*)\)\s*;)");
  static const std::regex kParameter(R"(\[in\]\s+([A-Za-z:]+)\s+([A-Za-z0-9]+))");
  const std::string code = std::regex_replace(text, kComment, " ");
  std::vector<Method> out;
  for (std::sregex_iterator each(code.begin(), code.end(), kMethod), end; each != end; ++each) {
    Method method{(*each)[1], (*each)[2], {}, parts((*each)[4])};
    for (const std::string& part : parts((*each)[3])) {
      std::smatch found;
      if (!std::regex_match(part, found, kParameter)) return {};
      method.parameters.push_back({found[1], found[2]});
    }
    out.push_back(std::move(method));
  }
  return out;
}

}  // namespace loftledger::contract
