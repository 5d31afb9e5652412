#include "tests/office/visit.hpp"

#include "engine/ods/file.hpp"

namespace loftledger::office {

namespace {

FlatDocument unrelated() {
  FlatDocument document;
  document.value(0, 0, Value(2.0));
  document.formula(0, 1, "of:=SUM([.A1];3)");
  return document;
}

}  // namespace

Visit& Visit::get() {
  static Visit only;
  return only;
}

void Visit::add(std::string name, std::function<FlatDocument()> make) {
  makers_[std::move(name)] = std::move(make);
}

support::Office& Visit::office() {
  if (!office_) office_ = std::make_unique<support::Office>(LOFTLEDGER_PACKAGE);
  return *office_;
}

void Visit::make() {
  if (visited_) return;
  visited_ = true;
  const std::filesystem::path folder = office().folder();
  const std::filesystem::path plain = folder / "unrelated.fods";
  support::write_file(plain, unrelated().xml());
  support::Office::Converted first = office().convert({plain}, "fods");
  problem_ = first.problem;
  if (!problem_.empty()) return;
  without_ = first.loaded_extension;
  const Value sum = support::read_flat(first.files[0].string()).at("Sheet1", 0, 1);
  if (sum.number() != 5) problem_ = "the office did not calculate a plain sum";

  std::vector<std::filesystem::path> files;
  for (const auto& [name, make] : makers_) {
    files.push_back(folder / (name + ".fods"));
    support::write_file(files.back(), make().xml());
  }
  support::Office::Converted second = office().convert(files, "fods");
  if (!second.problem.empty()) {
    problem_ = second.problem;
    return;
  }
  with_ = second.loaded_extension;
  for (const std::filesystem::path& file : second.files) {
    FlatCells cells = support::read_flat(file.string());
    if (!cells.problem.empty()) problem_ = cells.problem;
    results_[file.stem().string()] = std::move(cells);
    Result<std::string> bytes = ods::read_file(file.string());
    if (bytes) saved_[file.stem().string()] = *std::move(bytes);
  }
}

const FlatCells& Visit::cells(const std::string& name) {
  make();
  return results_[name];
}

const std::string& Visit::problem() {
  make();
  return problem_;
}

std::string Visit::saved(const std::string& name) {
  make();
  return saved_[name];
}

bool Visit::loaded_with_functions() {
  make();
  return with_;
}

bool Visit::loaded_without_functions() {
  make();
  return without_;
}

}  // namespace loftledger::office
