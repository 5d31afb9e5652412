// What a function may ask of the document it is calculated in.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "engine/base/address.hpp"
#include "engine/base/function_ref.hpp"
#include "engine/base/value.hpp"
#include "engine/sheet/settings.hpp"
#include "engine/standard/call/operand.hpp"

namespace loftledger::standard {

// One cell that another stands for.
struct Replacement {
  CellAddress cell;
  CellAddress by;
};

struct StandardFunction;

class Cells {
 public:
  virtual ~Cells() = default;

  // The cell's calculated value; an error where the address is none.
  virtual Value at(CellAddress address) = 0;

  // The cells that are not empty, column by column from the top, sheet by sheet, until the visitor
  // says false. Runs of plain numbers come as blocks to `numbers`, all others one at a time; a
  // formula that hands on an empty cell comes as the number 0.
  virtual void each(const Area& area,
                    FunctionRef<bool(CellAddress first, std::span<const double>)> numbers,
                    FunctionRef<bool(CellAddress, const Value&)> others) = 0;

  // The part of the area inside the used part of its sheets; nothing where none is.
  virtual std::optional<Area> used(const Area& area) const = 0;

  virtual std::int32_t sheets() const = 0;
  virtual std::optional<std::int32_t> find_sheet(std::string_view name) const = 0;
  virtual std::string_view sheet_name(std::int32_t sheet) const = 0;
  virtual bool is_formula(CellAddress address) const = 0;
  // Whether its formula calls SUBTOTAL or AGGREGATE: such cells do not count in other totals.
  virtual bool is_total(CellAddress address) const = 0;
  // The formula as typed ("=SUM(A1:B2)"); empty where the cell has none.
  virtual std::string formula_text(CellAddress address) const = 0;
  // Reads a reference or name as typed, from the cell `from` (INDIRECT).
  virtual Operand resolve(std::string_view text, CellAddress from) = 0;
  // What the cell would hold if other cells stood for some (MULTIPLE.OPERATIONS).
  virtual Value with_replaced(CellAddress formula, std::span<const Replacement> replaced) = 0;
  // Whether the row is hidden, by a filter or by hand (SUBTOTAL).
  virtual bool hidden(std::int32_t sheet, std::int32_t row, bool by_filter) const = 0;

  // The spreadsheet function of that name, for those that call others (SUBTOTAL, DSUM).
  virtual const StandardFunction* function(std::string_view name) const = 0;

  virtual const sheet::Settings& settings() const = 0;
  // Seconds since 1970-01-01 in the document's local time, fixed for one recalculation.
  virtual double now() const = 0;
  // A number from 0 to below 1, a new one each time.
  virtual double random() = 0;
};

// Whether what `each` hands out is no number but a formula that hands on an empty cell, which is
// empty still in an array.
inline bool handed_on(Cells& cells, CellAddress address, const Value& value) {
  return value.kind() == Value::Kind::number && cells.at(address).is_empty();
}

// The cell as a single argument sees it: a formula that hands on an empty cell is 0.
inline Value counted_at(Cells& cells, CellAddress address) {
  Value value = cells.at(address);
  return value.is_empty() && cells.is_formula(address) ? Value(0.0) : value;
}

}  // namespace loftledger::standard
