#include "engine/sheet/column.hpp"

#include <algorithm>
#include <utility>

namespace loftledger::sheet {

namespace {
std::size_t at(std::int32_t index) { return static_cast<std::size_t>(index); }
}  // namespace

Page::~Page() = default;

Value Page::get(std::int32_t row) const {
  switch (kinds_[at(row)]) {
    case Value::Kind::number:
      return numbers_[at(row)];
    case Value::Kind::boolean:
      return Value::boolean(numbers_[at(row)] != 0);
    case Value::Kind::text:
    case Value::Kind::error:
      return (*others_)[at(row)];
    case Value::Kind::empty:
      break;
  }
  return {};
}

void Page::clear(std::int32_t row) {
  Value::Kind& kind = kinds_[at(row)];
  if (kind == Value::Kind::number) --plain_;
  if (kind == Value::Kind::text || kind == Value::Kind::error) (*others_)[at(row)] = Value();
  kind = Value::Kind::empty;
  numbers_[at(row)] = 0;
}

void Page::set_number(std::int32_t row, double number) {
  if (kinds_[at(row)] != Value::Kind::number) {
    clear(row);
    kinds_[at(row)] = Value::Kind::number;
    ++plain_;
  }
  numbers_[at(row)] = number;
}

void Page::set(std::int32_t row, Value value) {
  if (value.kind() == Value::Kind::number) return set_number(row, value.number());
  clear(row);
  kinds_[at(row)] = value.kind();
  if (value.is_boolean()) numbers_[at(row)] = value.number();
  if (value.is_text() || value.is_error()) {
    if (!others_) others_ = std::make_unique<std::array<Value, kPageRows>>();
    (*others_)[at(row)] = std::move(value);
  }
}

std::span<double> Page::block_to_write(std::int32_t first, std::int32_t rows, Value::Kind kind) {
  const auto out = std::span(numbers_).subspan(at(first), at(rows));
  const bool numbers = kind == Value::Kind::number;
  if (numbers && all_numbers()) return out;
  if (others_) {
    for (std::int32_t row = first; row < first + rows; ++row) clear(row);
  }
  const auto from = kinds_.begin() + first;
  const auto plain = std::count(from, from + rows, Value::Kind::number);
  plain_ += (numbers ? rows : 0) - static_cast<std::int32_t>(plain);
  std::fill(from, from + rows, kind);
  return out;
}

Value Column::get(std::int32_t row) const {
  const Page* held = page(row / kPageRows);
  return held == nullptr ? Value() : held->get(row % kPageRows);
}

Value::Kind Column::kind(std::int32_t row) const {
  const Page* held = page(row / kPageRows);
  return held == nullptr ? Value::Kind::empty : held->kind(row % kPageRows);
}

void Column::set(std::int32_t row, Value value) {
  // Emptying what is empty must not bring a page to life.
  if (value.is_empty() && page(row / kPageRows) == nullptr) return;
  if (!value.is_empty()) extend(row + 1);
  page_to_write(row / kPageRows).set(row % kPageRows, std::move(value));
}

const Page* Column::page(std::int32_t index) const {
  return index < pages() ? pages_[at(index)].get() : nullptr;
}

Page& Column::page_to_write(std::int32_t index) {
  if (index >= pages()) pages_.resize(at(index) + 1);
  std::unique_ptr<Page>& held = pages_[at(index)];
  if (!held) held = std::make_unique<Page>();
  return *held;
}

void Column::extend(std::int32_t end) { end_ = std::max(end_, end); }

const Run* Column::run_at(std::int32_t row) const {
  auto after = std::upper_bound(runs_.begin(), runs_.end(), row,
                                [](std::int32_t r, const Run& run) { return r < run.first_row; });
  if (after == runs_.begin()) return nullptr;
  const Run& run = *(after - 1);
  return row < run.end() ? &run : nullptr;
}

void Column::set_formula(std::int32_t row, ShapeId shape) {
  extend(row + 1);
  // Loading goes down the rows, so the end is where nearly all formulas arrive.
  if (runs_.empty() || row > runs_.back().end() ||
      (row == runs_.back().end() && runs_.back().shape != shape)) {
    runs_.push_back({row, 1, shape});
    return;
  }
  if (row == runs_.back().end()) {
    ++runs_.back().rows;
    return;
  }
  const Run* held = run_at(row);
  if (held != nullptr && held->shape == shape) return;
  if (held != nullptr) remove_formula(row);
  auto next = std::upper_bound(runs_.begin(), runs_.end(), row,
                               [](std::int32_t r, const Run& run) { return r < run.first_row; });
  const bool joins_next = next != runs_.end() && next->first_row == row + 1 && next->shape == shape;
  if (next != runs_.begin() && (next - 1)->end() == row && (next - 1)->shape == shape) {
    const auto before = next - 1;
    before->rows += 1 + (joins_next ? next->rows : 0);
    if (joins_next) runs_.erase(next);
  } else if (joins_next) {
    --next->first_row;
    ++next->rows;
  } else {
    runs_.insert(next, Run{row, 1, shape});
  }
}

void Column::remove_formula(std::int32_t row) {
  const Run* held = run_at(row);
  if (held == nullptr) return;
  const auto run = runs_.begin() + (held - runs_.data());
  const Run after{row + 1, run->end() - row - 1, run->shape};
  run->rows = row - run->first_row;
  if (run->rows == 0 && after.rows == 0) {
    runs_.erase(run);
  } else if (run->rows == 0) {
    *run = after;
  } else if (after.rows > 0) {
    runs_.insert(run + 1, after);
  }
}

}  // namespace loftledger::sheet
