#include "model/row/row_flat.h"

#include "model/row/row_visit.h"
#include "shared/check.h"

namespace model {
namespace {

class Lister {
 public:
  explicit Lister(FlatRow& into) : into_(into) {}
  void real(double number_ratio) { into_.reals.push_back(number_ratio); }
  void reals(const std::vector<double>& numbers) {
    into_.wholes.push_back(static_cast<std::int64_t>(numbers.size()));
    into_.reals.insert(into_.reals.end(), numbers.begin(), numbers.end());
  }
  template <class Whole>
  void whole(Whole number) {
    into_.wholes.push_back(static_cast<std::int64_t>(number));
  }
  void longest(int number) { into_.owns.push_back(number); }
  void own_whole(int number) { into_.owns.push_back(number); }
  template <class Many>
  void resize(const Many& many) {
    into_.wholes.push_back(static_cast<std::int64_t>(many.size()));
  }
  void flag(bool up) { into_.reals.push_back(up ? 1.0 : 0.0); }
  void flags(const std::vector<std::int64_t>& flags) {
    into_.wholes.push_back(static_cast<std::int64_t>(flags.size()));
    for (const std::int64_t one : flags) flag(raised(one));
  }

 private:
  FlatRow& into_;
};

class Restorer {
 public:
  explicit Restorer(const FlatRow& from) : from_(from) {}
  void real(double& number_ratio) { number_ratio = from_.reals.at(real_++); }
  void reals(std::vector<double>& numbers) {
    EXPECTS(next() == static_cast<std::int64_t>(numbers.size()));
    for (double& one_ratio : numbers) real(one_ratio);
  }
  template <class Whole>
  void whole(Whole& number) {
    number = static_cast<Whole>(next());
  }
  void flag(bool& up) { up = from_.reals.at(real_++) > 0.5; }
  void flags(std::vector<std::int64_t>& flags) {
    EXPECTS(next() == static_cast<std::int64_t>(flags.size()));
    for (std::int64_t& one : flags) put_flag(one, from_.reals.at(real_++) > 0.5);
  }

 private:
  std::int64_t next() { return from_.wholes.at(whole_++); }

  const FlatRow& from_;
  std::size_t real_ = 0;
  std::size_t whole_ = 0;
};

void sum_up(LineState<double>& line) {
  line.holding = false;
  for (const std::int64_t flag : line.holds) line.holding |= raised(flag);
}

}  // namespace

void FlatRow::add_real(double number_ratio) { reals.push_back(number_ratio); }

FlatRow flat(RowPlan& plan) {
  FlatRow row;
  Lister lister(row);
  visit(static_cast<RowPlanOf<double>&>(plan), lister);
  return row;
}

FlatRow flat(RowState& state) {
  FlatRow row;
  Lister lister(row);
  visit(static_cast<RowStateOf<double>&>(state), lister);
  return row;
}

void restore(const FlatRow& from, RowState& into) {
  Restorer restorer(from);
  visit(static_cast<RowStateOf<double>&>(into), restorer);
  sum_up(into.hose);
  sum_up(into.tube);
}

}  // namespace model
