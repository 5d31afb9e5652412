// Why a cell is in error, in words: for workbooks of ours and for those that the office holds.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/address.hpp"
#include "engine/base/error.hpp"
#include "engine/base/value.hpp"
#include "engine/calc/machine/sentence.hpp"
#include "engine/catalogue/catalogue.hpp"

namespace loftledger::calc {

// A document that somebody else calculates.
class OutsideCells {
 public:
  struct Name {
    std::string name;
    std::string expression;  // as typed, seen from `base`
    CellAddress base;
    std::int32_t scope = -1;
  };

  virtual ~OutsideCells() = default;
  virtual std::vector<std::string> sheet_names() const = 0;
  virtual std::vector<Name> names() const = 0;
  // "=SUM(A1:B2)" as typed, "{=…}" for an array formula; empty where the cell has none.
  virtual std::string formula(CellAddress address) const = 0;
  // What the cell shows; an error with its code.
  virtual Value value(CellAddress address) const = 0;
  // One past the last used row and column of the sheet.
  virtual CellAddress end(std::int32_t sheet) const = 0;
};

// Works the cell's formula out again, and those of the cells in error that it reads, and returns
// the sentence; empty where the cell is fine.
std::string reason(const OutsideCells& document, CellAddress cell,
                   const catalogue::Catalogue& planning);

}  // namespace loftledger::calc
