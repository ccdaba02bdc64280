#include "sim/output/html.h"
#include "sim/study/run/sections.h"

namespace sim {

std::string provenance_section(const std::string& name, std::uint64_t rng_key,
                               const RunHashes& hashes) {
  Table table{"What these results were made of; equal hashes mean equal bytes.", {}, {}, 2};
  table.lines = {{"Name", name},
                 {"Random key", std::to_string(rng_key)},
                 {"Scenario", hashes.scenario},
                 {"Parameters", hashes.parameters},
                 {"Controller", hashes.controller},
                 {"Program", hashes.program},
                 {"Result", hashes.result}};
  return section_html("Origin of these figures", table_html(table));
}

}  // namespace sim
