// Writes one rendered text to a file, and leaves the file alone where it says the same already.
#include <filesystem>
#include <fstream>
#include <iostream>
#include <sstream>
#include <string_view>

#include "addin/render/render.hpp"
#include "engine/planning/catalogue.hpp"

namespace {

using loftledger::render::Functions;

std::string signature_list(Functions functions) {
  std::string out;
  for (const std::string& line : loftledger::render::method_signatures(functions)) {
    out += line + "\n";
  }
  return out;
}

struct Text {
  std::string_view name;
  std::string (*make)(Functions);
};

constexpr Text kTexts[] = {
    {"interface", loftledger::render::interface_description},
    {"reference", loftledger::render::reference},
    {"standard-reference", [](Functions) { return loftledger::render::standard_reference(); }},
    {"methods", loftledger::render::methods},
    {"configuration", loftledger::render::configuration},
    {"signatures", signature_list},
};

std::string content_of(const char* path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

int usage() {
  std::cerr << "usage: loftledger_render [--check] TEXT FILE\n  TEXT is one of:";
  for (const Text& text : kTexts) std::cerr << ' ' << text.name;
  std::cerr << "\n  --check changes nothing and fails where FILE is not current\n";
  return 2;
}

}  // namespace

int main(int count, char** words) {
  const bool check = count == 4 && std::string_view(words[1]) == "--check";
  if (!check && count != 3) return usage();
  const std::string_view name = words[count - 2];
  const char* path = words[count - 1];
  for (const Text& text : kTexts) {
    if (text.name != name) continue;
    const std::string made = text.make(loftledger::planning::catalogue().functions());
    if (content_of(path) == made) return 0;
    if (check) {
      std::cerr << path
                << " is not current: build the target \"render\" and look at what changed\n";
      return 1;
    }
    std::error_code ignored;
    std::filesystem::create_directories(std::filesystem::path(path).parent_path(), ignored);
    std::ofstream out(path, std::ios::binary);
    out << made;
    out.close();
    if (out) return 0;
    std::cerr << "cannot write " << path << '\n';
    return 2;
  }
  return usage();
}
