#include "sim/output/html.h"
#include "sim/study/run/sections.h"

namespace sim::run {

std::string provenance_section(const std::string& name, std::uint64_t rng_key,
                               const output::RunHashes& hashes) {
  output::Table table{"What these results were made of; equal hashes mean equal bytes.", {}, {}, 2};
  table.lines = {{"Name", name},
                 {"Random key", std::to_string(rng_key)},
                 {"Scenario", hashes.scenario},
                 {"Parameters", hashes.parameters},
                 {"Controller", hashes.controller},
                 {"Program", hashes.program},
                 {"Result", hashes.result}};
  return output::section_html("Origin of these figures", output::table_html(table));
}

}  // namespace sim::run
