// Rows side by side: 2, 4 or 8 rows in double, or 4, 8 or 16 in float, advance in one step of wide
// registers.
//
// In double every row has bit for bit the results of RowUnit::step. In float its results are those
// of single precision; model/README.md has the errors in mm. Rows fit side by side when the
// stations of their lines stand alike and they have the same parts (gas, creep, chopper, leak, kind
// of solenoid); the length behind the last station, liquid, pressure, bores, valve and step may
// differ from row to row.
//
// Use      RowLanes takes the states of its rows, steps them, and gives the states back at its end.
//          Until then a row's step and come_to_rest must not be called; all else may.
// Shapes   rows.size() <= width() of the form; one input and one output per row
// Errors   EXPECTS rows that fit side by side; a row's fault is in its output, and leaves its
//          neighbours as they were
// Checked  tests/model/row/row_lanes_test.cc
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "model/row/row_unit.h"

namespace model {

/// One row's plan or state as the lists that visitors of row_visit.h fill.
struct FlatRow {
  std::vector<double> reals;         // tidy: unit is that of the value
  std::vector<std::int64_t> wholes;  // in which rows side by side have to agree
  std::vector<std::int64_t> owns;    // in which they need not

  /// Not inline: a copy that is compiled for a newer processor must not serve other files.
  void add_real(double number_ratio);
};

/// Lanes of one width and number: what is compiled for each kind of processor.
class LaneSteps {
 public:
  virtual ~LaneSteps() = default;
  virtual void load(int lane, const FlatRow& plan, const FlatRow& state) = 0;
  virtual void load_plan(int lane, const FlatRow& plan) = 0;
  virtual FlatRow store(int lane) const = 0;
  virtual double wave_at_supply_pa(int lane) const = 0;
  virtual void step(const RowStepInput* inputs, RowStepOutput* outputs, int rows) = 0;
};

/// A form that this processor can run.
struct LaneForm {
  const char* name;  // such as "8 rows, double, AVX-512"
  int width;
  bool single;  // float
  std::unique_ptr<LaneSteps> (*make)();
};
/// In double, then in float; the widest of each is its last.
std::span<const LaneForm> lane_forms();
/// The widest form in double that `rows` rows fill at least by half; none for one row.
const LaneForm* lane_form_for(std::size_t rows);

class RowLanes {
 public:
  RowLanes(const LaneForm& form, std::span<RowUnit* const> rows);
  ~RowLanes();
  RowLanes(const RowLanes&) = delete;
  RowLanes& operator=(const RowLanes&) = delete;

  /// Whether two rows fit side by side; they must stand at the same step.
  static bool fit(const RowUnit& a, const RowUnit& b);
  void step(std::span<const RowStepInput> inputs, std::span<RowStepOutput> outputs);

 private:
  std::vector<RowUnit*> rows_;
  std::unique_ptr<LaneSteps> steps_;
};

}  // namespace model
