#include "bench/stiff_solver.h"

#include <stdexcept>

#ifdef SILLION_SUNDIALS
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_version.h>
#include <sunlinsol/sunlinsol_band.h>
#include <sunmatrix/sunmatrix_band.h>

#include <algorithm>
#include <utility>
#include <vector>

#include "tests/support/lines_driver.h"

namespace bench {
namespace {

using support::LineGrid;
using support::RowEquations;
using support::State;

void append_line(const LineGrid& grid, std::vector<std::size_t>& order) {
  const auto cells = static_cast<std::size_t>(grid.cells);
  for (std::size_t cell = 0; cell < cells; ++cell) {
    order.push_back(grid.pressure_at + cell);
    order.push_back(grid.flow_at + cell);
    for (std::size_t term = 0; term < static_cast<std::size_t>(grid.terms); ++term)
      order.push_back(grid.memory_at + term * cells + cell);
  }
  order.push_back(grid.pressure_at + cells);
}

/// For each place in the solver's vector, the place in the state of the equations.
std::vector<std::size_t> cell_by_cell(const RowEquations& row) {
  std::vector<std::size_t> order = {RowEquations::kInlet};
  append_line(row.hose(), order);
  for (const std::size_t valve : {RowEquations::kCurrent, RowEquations::kForceCurrent,
                                  RowEquations::kLift, RowEquations::kSpeed})
    order.push_back(valve);
  append_line(row.tube(), order);
  order.push_back(RowEquations::kJet);
  return order;
}

// The explicit integrator takes as many for the train of the comparison: whoever needs more is not
// the cheapest.
constexpr int kMostSteps = 20'000;

// A first step is of first order. It has to be short against the shortest rebound, which is 2 us.
constexpr double kFirstStep_s = 1e-7;

void require(int flag, const char* what) {
  if (flag < 0) throw std::runtime_error(std::string("CVODE: ") + what);
}

/// CVODE as a stepper of lines_driver.h.
class CvodeStepper {
 public:
  CvodeStepper(RowEquations& row, const StiffSetup& setup)
      : row_(row), order_(cell_by_cell(row)), y_(row.still()), rate_(y_.size()) {
    const auto size = static_cast<sunindextype>(y_.size());
    // The widest coupling is one cell's states, or the valve's between both lines.
    half_width_ = std::max(5, 1 + std::max(row.hose().terms, row.tube().terms));
    require(SUNContext_Create(nullptr, &context_), "no context");
    vector_ = N_VNew_Serial(size, context_);
    between_ = N_VNew_Serial(size, context_);
    matrix_ = SUNBandMatrix(size, half_width_, half_width_, context_);
    linear_ = SUNLinSol_Band(vector_, matrix_, context_);
    solver_ = CVodeCreate(CV_BDF, context_);
    put(y_, vector_);
    require(CVodeInit(solver_, rates, 0.0, vector_), "no start");
    require(CVodeSetErrFile(solver_, nullptr), "no silence");
    require(CVodeSetUserData(solver_, this), "no equations");
    const double tolerance_ratio = setup.lines.tolerance_ratio;
    require(CVodeSStolerances(solver_, tolerance_ratio, tolerance_ratio), "no tolerances");
    require(CVodeSetMaxOrd(solver_, setup.highest_order), "no such order");
    require(CVodeSetLinearSolver(solver_, linear_, matrix_), "no linear solver");
  }
  ~CvodeStepper() {
    CVodeFree(&solver_);
    SUNLinSolFree(linear_);
    SUNMatDestroy(matrix_);
    N_VDestroy(between_);
    N_VDestroy(vector_);
    SUNContext_Free(&context_);
  }
  CvodeStepper(const CvodeStepper&) = delete;
  CvodeStepper& operator=(const CvodeStepper&) = delete;

  void initialize(const State& y, double now_s, double step_s) {
    put(y, vector_);
    at_s_ = now_s;
    y_ = y;
    require(CVodeReInit(solver_, now_s, vector_), "no new start");
    require(CVodeSetInitStep(solver_, std::min(step_s, kFirstStep_s)), "no first step");
  }
  template <class System>
  std::pair<double, double> do_step(const System&) {
    if (++steps_ > kMostSteps) throw std::runtime_error("CVODE: stopped after 20000 steps");
    from_s_ = at_s_;
    start_ = y_;
    corrected_ = false;
    require(CVode(solver_, from_s_ + 1.0, vector_, &at_s_, CV_ONE_STEP), "it gave up");
    get(vector_, y_);
    return {from_s_, at_s_};
  }
  const State& current_state() const { return y_; }
  double current_time_step() const {
    double step_s = 0.0;
    CVodeGetCurrentStep(solver_, &step_s);
    return step_s;
  }
  /// The solver's polynomial misses the start of its step by the step's error. A plunger that
  /// leaves a wall would seem to be beyond the wall, so that error is taken out, less towards the
  /// end.
  void calc_state(double at_s, State& y) {
    if (!corrected_) {
      require(CVodeGetDky(solver_, from_s_, 0, between_), "no value at the start of the step");
      get(between_, missed_);
      for (std::size_t i = 0; i < y_.size(); ++i) missed_[i] = start_[i] - missed_[i];
      corrected_ = true;
    }
    require(CVodeGetDky(solver_, at_s, 0, between_), "no value within the step");
    get(between_, y);
    const double left_ratio = (at_s_ - at_s) / (at_s_ - from_s_);
    for (std::size_t i = 0; i < y.size(); ++i) y[i] += left_ratio * missed_[i];
  }
  int half_width() const { return half_width_; }

 private:
  void put(const State& y, N_Vector to) const {
    double* const values = N_VGetArrayPointer(to);
    for (std::size_t i = 0; i < order_.size(); ++i) values[i] = y[order_[i]];
  }
  void get(N_Vector from, State& y) const {
    const double* const values = N_VGetArrayPointer(from);
    for (std::size_t i = 0; i < order_.size(); ++i) y[order_[i]] = values[i];
  }
  static int rates(double time_s, N_Vector y, N_Vector rate, void* of) {
    auto& self = *static_cast<CvodeStepper*>(of);
    self.get(y, self.input_);
    self.row_(self.input_, self.rate_, time_s);
    self.put(self.rate_, rate);
    return 0;
  }

  RowEquations& row_;
  std::vector<std::size_t> order_;
  State y_, rate_, start_ = y_, missed_ = y_, input_ = y_;
  bool corrected_ = false;
  double from_s_ = 0.0;
  int half_width_ = 0;
  int steps_ = 0;
  double at_s_ = 0.0;
  SUNContext context_ = nullptr;
  N_Vector vector_ = nullptr, between_ = nullptr;
  SUNMatrix matrix_ = nullptr;
  SUNLinearSolver linear_ = nullptr;
  void* solver_ = nullptr;
};

}  // namespace

std::string stiff_solver() {
  char version[32] = "";
  SUNDIALSGetVersion(version, sizeof(version));
  return std::string("CVODE BDF, SUNDIALS ") + version;
}

StiffRun run_stiff(const model::RowUnitParams& params, double supply_pressure_pa,
                   double supply_voltage_v, std::span<const support::OnOff> pulses, double end_s,
                   const StiffSetup& setup) {
  RowEquations row(params, supply_pressure_pa, supply_voltage_v, setup.lines);
  CvodeStepper stepper(row, setup);
  return {support::run_lines(row, stepper, nullptr, params.valve.plunger, pulses, end_s,
                             setup.lines, false),
          static_cast<int>(row.still().size()), stepper.half_width()};
}

}  // namespace bench

#else

namespace bench {

std::string stiff_solver() { return {}; }

StiffRun run_stiff(const model::RowUnitParams&, double, double, std::span<const support::OnOff>,
                   double, const StiffSetup&) {
  throw std::runtime_error("no stiff solver was compiled in");
}

}  // namespace bench
#endif
