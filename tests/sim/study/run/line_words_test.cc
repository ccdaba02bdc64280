#include "sim/study/run/line_words.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sim::run {
namespace {

using testing::HasSubstr;
using testing::Not;

bench::FormChoice judged() {
  bench::FormChoice form;
  form.judged = true;
  form.limit_m = 0.15e-3;
  form.asked =
      form.taken = {.places_m = 0.02e-3, .largest_m = 0.05e-3, .dose_ratio = 0.001, .compared = 6};
  return form;
}

TEST(LineWords, SayWhereFrictionActsAndByHowMuchBandsMove) {
  const std::string words = line_words(judged(), output::Units::kMetric);
  EXPECT_THAT(words, HasSubstr("6 places of the hose and 12 of the tube"));
  EXPECT_THAT(words, HasSubstr("0.02 mm (root mean square; 0.05 mm at most) and doses by 0.10 %"));
  EXPECT_THAT(words, Not(HasSubstr("usual number")));
  EXPECT_THAT(words, Not(HasSubstr("time step")));
}

TEST(LineWords, NameWhatTheUsualNumberOfPlacesWouldHaveCost) {
  bench::FormChoice form = judged();
  form.asked.places_m = 0.36e-3;
  form.solver.tube_stations = 48;
  EXPECT_THAT(line_words(form, output::Units::kMetric),
              HasSubstr("with the usual number of places by 0.36 mm"));
  form.solver.form = model::LineForm::kDense;
  EXPECT_THAT(line_words(form, output::Units::kMetric), HasSubstr("Every faster form"));
}

TEST(LineWords, NameARowThatDependsOnTheStep) {
  bench::FormChoice form = judged();
  form.own = {.places_m = 0.9e-3, .largest_m = 2e-3, .dose_ratio = 0.03, .compared = 6};
  form.vapour = true;
  EXPECT_THAT(line_words(form, output::Units::kMetric), HasSubstr("move by 0.90 mm"));
  EXPECT_THAT(step_words(form, output::Units::kMetric), HasSubstr("vapour opens and closes"));
}

TEST(LineWords, SayNoMoreOfAFormThatWasStated) {
  EXPECT_THAT(line_words({}, output::Units::kMetric), Not(HasSubstr("bands")));
}

}  // namespace
}  // namespace sim::run
