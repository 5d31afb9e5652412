// A document that is another one but for what a derived class changes.
#pragma once

#include "engine/standard/call/cells.hpp"

namespace loftledger::standard {

class ForwardedCells : public Cells {
 public:
  explicit ForwardedCells(Cells& all) : all_(all) {}

  Value at(CellAddress address) override { return all_.at(address); }
  void each(const Area& area, FunctionRef<bool(CellAddress, std::span<const double>)> numbers,
            FunctionRef<bool(CellAddress, const Value&)> others) override {
    all_.each(area, numbers, others);
  }
  std::optional<Area> used(const Area& area) const override { return all_.used(area); }
  std::int32_t sheets() const override { return all_.sheets(); }
  std::optional<std::int32_t> find_sheet(std::string_view name) const override {
    return all_.find_sheet(name);
  }
  std::string_view sheet_name(std::int32_t sheet) const override { return all_.sheet_name(sheet); }
  bool is_formula(CellAddress address) const override { return all_.is_formula(address); }
  bool is_total(CellAddress address) const override { return all_.is_total(address); }
  std::string formula_text(CellAddress address) const override {
    return all_.formula_text(address);
  }
  Operand resolve(std::string_view text, CellAddress from) override {
    return all_.resolve(text, from);
  }
  Value with_replaced(CellAddress formula, std::span<const Replacement> replaced) override {
    return all_.with_replaced(formula, replaced);
  }
  bool hidden(std::int32_t sheet, std::int32_t row, bool by_filter) const override {
    return all_.hidden(sheet, row, by_filter);
  }
  const StandardFunction* function(std::string_view name) const override {
    return all_.function(name);
  }
  const sheet::Settings& settings() const override { return all_.settings(); }
  double now() const override { return all_.now(); }
  double random() override { return all_.random(); }

 protected:
  Cells& all() const { return all_; }

 private:
  Cells& all_;
};

}  // namespace loftledger::standard
