#include "sim/study/sweep/study_stop.h"

#include <algorithm>
#include <iterator>

#include "sim/scenario/requirements.h"
#include "sim/text/nearest.h"
#include "sim/text/reader.h"

namespace sim::sweep {
namespace {

constexpr std::int64_t kMostRuns = 100'000;
const std::string kSamplings[] = {"grid", "random", "low-discrepancy"};

scenario::Sampling sampling_of(const text::Node& node) {
  const std::string& word = text::read_text_value(node, "sampling");
  const auto found = std::find(std::begin(kSamplings), std::end(kSamplings), word);
  if (found == std::end(kSamplings))
    text::fail(node.place, "sampling",
               "\"" + word + "\" is not one of grid, random and low-discrepancy",
               text::nearest_name(word, kSamplings));
  return static_cast<scenario::Sampling>(found - std::begin(kSamplings));
}

bool draws(const scenario::StudyAxis& axis) {
  return axis.draw.shape != scenario::DrawShape::kNone;
}

}  // namespace

void read_sampling(const text::Node& document, const text::Place& file, Study& study) {
  const text::Node* sampling = document.find("sampling");
  const text::Node* samples = document.find("samples");
  if (sampling != nullptr) study.sampling = sampling_of(*sampling);
  const auto drawn = std::find_if(study.axes.begin(), study.axes.end(), draws);
  if (study.sampling == scenario::Sampling::kGrid) {
    if (drawn != study.axes.end())
      text::fail(
          document.find("axes")->find(drawn->key)->place, "axes." + drawn->key,
          "a distribution needs sampling = \"random\" or \"low-discrepancy\", and samples = N");
    if (samples != nullptr)
      text::fail(
          samples->place, "samples",
          "needs sampling = \"random\" or \"low-discrepancy\"; a grid has as many cells as its "
          "axes give");
    return;
  }
  const text::Place& place = sampling->place;
  if (drawn == study.axes.end())
    text::fail(
        place, "sampling",
        "no axis is drawn: give one a distribution, {uniform = [from, to]} or {normal = {mean = "
        "..., sd = ...}}");
  if (samples == nullptr)
    text::fail(file, "samples", "is missing: it states how many samples are drawn");
  study.samples = static_cast<int>(text::read_whole(*samples, "samples", 1, kMostRuns));
}

void read_stop(const text::Node& node, Study& study) {
  static const std::string kKnown[] = {"metric", "half_width", "most"};
  const std::string form = "{metric = \"within_10mm_sensed\", half_width = \"1 %\", most = 20}";
  if (node.kind != text::NodeKind::kTable)
    text::fail(node.place, "stop", "must be a table such as " + form);
  text::refuse_other_keys(node, "stop.", kKnown);
  for (const char* key : {"metric", "half_width"}) {
    if (node.find(key) == nullptr)
      text::fail(node.place, std::string("stop.") + key, "is missing: write " + form);
  }
  const scenario::MetricName& metric = scenario::read_metric(*node.find("metric"), "stop.metric");
  study.stop.metric = metric.name;
  study.stop.half_width_si =
      text::read_quantity_si(*node.find("half_width"), "stop.half_width",
                             scenario::kind_of_metric(metric.unit), {0.0, 1e30, true});
  const text::Node* most = node.find("most");
  if (most == nullptr) return;
  study.stop.most = static_cast<int>(text::read_whole(*most, "stop.most", 1, kMostRuns));
  const bool grid = study.sampling == scenario::Sampling::kGrid;
  const int batch = grid ? study.replicas : study.samples;
  const std::string batches =
      "batches of " + std::to_string(batch) + (grid ? " passes (replicas)" : " samples (samples)");
  if (study.stop.most < batch)
    text::fail(most->place, "stop.most",
               std::to_string(study.stop.most) + " is less than one batch: it runs in " + batches);
  if (study.stop.most % batch != 0)
    text::fail(most->place, "stop.most",
               std::to_string(study.stop.most) + " is not a whole number of " + batches);
  const int looked_at = study.sampling == scenario::Sampling::kLowDiscrepancy
                            ? study.stop.most / batch
                            : study.stop.most;
  if (looked_at < 2)
    text::fail(most->place, "stop.most",
               "an interval needs two " +
                   std::string(grid ? "passes" : "samples, or nets of them") +
                   " at least: raise it");
}

}  // namespace sim::sweep
