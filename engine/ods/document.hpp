// Reading and writing spreadsheets: .ods and .ots packages and flat .fods.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "engine/base/result.hpp"
#include "engine/sheet/workbook.hpp"

namespace loftledger::ods {

// A document as it was read: its workbook, and the original bytes from which a copy is written that
// differs only in what was calculated or set.
class Document {
 public:
  // Reads by content, not by name. The error's sentence says what is wrong and where.
  static Result<Document> open(const std::string& path);
  // The same from bytes; `name` is for sentences.
  static Result<Document> read(std::string bytes, const std::string& name);

  Document(Document&&) noexcept;
  Document& operator=(Document&&) noexcept;
  ~Document();

  sheet::Workbook& workbook();
  const sheet::Workbook& workbook() const;

  // What of the file was passed over, a sentence each: values beyond the size of a sheet.
  const std::vector<std::string>& remarks() const;

  // Writes .ods, .ots or .fods by the name's ending: the original with the values (and shown texts)
  // of formula cells and of set cells brought up to date, everything else as it was. The target is
  // replaced in one step or not at all.
  Outcome save(const std::string& path) const;
  // The bytes that save() would write.
  Result<std::string> bytes(const std::string& ending) const;

 private:
  struct Impl;
  explicit Document(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace loftledger::ods
