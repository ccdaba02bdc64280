// The task data as a general-purpose open library for ISO 11783-10 reads it: the npm package
// `isoxml`, which is fetched into a folder of the test's own. Without npm, node or the package the
// test skips.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "sim/study/map/task_file.h"
#include "tests/support/made_result.h"
#include "tests/support/map_reader.h"

namespace {

using support::figure_of;
using support::ScratchFolder;

constexpr const char* kReader = R"js(
const fs = require('fs'), path = require('path'), {ISOXMLManager} = require('isoxml');
const JSZip = require('jszip');
(async () => {
  const folder = process.argv[2], zip = new JSZip();
  for (const name of fs.readdirSync(folder))
    zip.file('TASKDATA/' + name, fs.readFileSync(path.join(folder, name)));
  const manager = new ISOXMLManager({});
  const bytes = await zip.generateAsync({type: 'uint8array'});
  await manager.parseISOXMLFile(bytes, 'application/zip', {});
  const task = manager.rootElement.attributes.Task[0];
  const log = task.attributes.TimeLog[0].parseBinaryFile();
  const rows = manager.rootElement.attributes.Device[0].attributes.DeviceElement
      .filter(e => e.attributes.DeviceElementType === '4').map(e =>
          manager.getReferenceByEntity(e).xmlId);
  let volume = 0;
  for (let k = 0; k + 1 < log.timeLogs.length; ++k)
    for (const row of rows) {
      const here = log.timeLogs[k].values, there = log.timeLogs[k + 1].values;
      volume += here['0002_' + row] * 1e-11 * Number(process.argv[3]) *
          (there['0075_' + row] - here['0075_' + row]) * 1e-3;
    }
  // The library looks for `.bin` and finds `.BIN`, as the standard has it.
  console.log('warnings ' + JSON.stringify(
      manager.getWarnings().filter(words => !words.startsWith('Letter case'))));
  console.log('errors ' + JSON.stringify(task.attributes.TimeLog[0].parsingErrors));
  console.log('records ' + log.timeLogs.length);
  console.log('rows ' + rows.length);
  console.log('rate_volume_m3 ' + volume);
  console.log('statuses ' + [...new Set(log.timeLogs.map(t => t.position.PositionStatus))]);
  console.log('north ' + log.timeLogs[0].position.PositionNorth);
})();
)js";

TEST(TaskReader, AnOpenLibraryReadsTheSameTotal) {
  const ScratchFolder scratch;
  const auto node = scratch.path() / "node";
  std::filesystem::create_directories(node);
  if (support::run_program({"npm", "install", "--silent", "--no-audit", "--no-fund", "--prefix",
                            node.string(), "isoxml@1.11.2", "jszip@3"})
          .code != 0)
    GTEST_SKIP() << "npm cannot install the package isoxml here";
  const support::MadeResult made{.rows = 4, .seconds = 50, .bands_in_second = 20};
  support::write_made_result(scratch.path() / "run", made);
  const sim::map::KeptRun run = sim::map::read_kept_run(scratch.path() / "run");
  sim::output::StreamedFolder folder(scratch.path() / "map");
  sim::map::write_task_file(run, sim::map::FieldPlace::laid(run, {.origin = {45.5, -93.5}}),
                            folder);
  folder.finish();
  std::ofstream(node / "read.js", std::ios::binary) << kReader;
  const support::Ended ended = support::run_program({"node", (node / "read.js").string(),
                                                     (scratch.path() / "map" / "TASKDATA").string(),
                                                     std::to_string(made.width_m)});
  ASSERT_EQ(ended.code, 0) << ended.err;
  const double volume_m3 = std::stod(figure_of(ended.out, "rate_volume_m3"));
  EXPECT_NEAR(volume_m3, made.volume_m3(), made.volume_m3() * 1e-3) << ended.out;
  EXPECT_EQ(figure_of(ended.out, "records"), "51");
  EXPECT_EQ(figure_of(ended.out, "rows"), "4");
  EXPECT_EQ(figure_of(ended.out, "statuses"), "8");
  EXPECT_EQ(figure_of(ended.out, "errors"), "[]");
  EXPECT_EQ(figure_of(ended.out, "warnings"), "[]");
  EXPECT_NEAR(std::stod(figure_of(ended.out, "north")), 45.5, 1e-7);
}

}  // namespace
