// What the page is answered: its own files, rows and seeds, saved scenarios, jobs; and what it is
// refused.
#include "sim/command/page_answers.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <unistd.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "sim/command/page_assets.h"
#include "sim/command/page_work.h"
#include "sim/scenario/loader.h"
#include "tests/support/parsed_command.h"
#include "tests/support/run_program.h"

namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using sim::command::PageResponse;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

struct Page {
  support::ScratchFolder scratch;
  std::atomic<bool> stop = false;
  sim::page::PageBase base{.file = SILLION_SOURCE_DIR "/scenarios/demo.toml",
                           .shown = "scenarios/demo.toml"};
  sim::command::PageAnswers answers{base, scratch.path() / "page", "/bin/true", stop};

  PageResponse get(const std::string& path) { return answers.answer("GET", path, ""); }
  PageResponse post(const std::string& path, const json& body) {
    return answers.answer("POST", path, body.dump());
  }
};

json settings_with(const json& more = json::array()) {
  json settings = json::array({json::array({"row.physics", "ideal"})});
  for (const json& one : more) settings.push_back(one);
  return settings;
}

// The goal of the project: a page below 500 kB that asks no other origin for anything.
TEST(PageAnswers, ThePageIsSmallAndAsksNobodyElse) {
  std::size_t size = 0;
  for (const auto& asset : sim::command::page_assets()) {
    size += asset.bytes.size();
    std::string text(asset.bytes);
    for (std::size_t at = 0; (at = text.find("http://www.w3.org/2000/svg")) != text.npos;)
      text.erase(at, 26);  // the name of a namespace, which nothing fetches
    EXPECT_EQ(text.find("//www"), text.npos) << asset.name;
    EXPECT_EQ(text.find("http:"), text.npos) << asset.name;
    EXPECT_EQ(text.find("https:"), text.npos) << asset.name;
    EXPECT_EQ(text.find("innerHTML"), text.npos) << asset.name;
    EXPECT_EQ(text.find("style=\""), text.npos) << asset.name;
  }
  EXPECT_LT(size, 500'000u);
  EXPECT_GE(sim::command::page_assets().size(), 4u);
  Page page;
  EXPECT_THAT(page.get("").body, HasSubstr("<html lang=\"en\">"));
  EXPECT_EQ(page.get("").type, "text/html; charset=utf-8");
  EXPECT_EQ(page.get("page.js").type, "text/javascript; charset=utf-8");
  for (const char* path : {"page.htm", "embed.cmake", "jobs/", "jobs/1", "jobs/x/y", "keys/"})
    EXPECT_NE(page.get(path).status, 200u) << path;
}

// The goal again, with the row's module beside the page's own files (demo.* are of --standalone).
TEST(PageAnswers, WithTheModuleThePageIsStillSmall) {
  const fs::path module = SILLION_BINARY_DIR "/row.wasm.gz";
  if (!fs::exists(module)) GTEST_SKIP() << "no module: the target wasm was not built";
  std::size_t size = fs::file_size(module);
  for (const auto& asset : sim::command::page_assets())
    if (!asset.name.starts_with("demo.")) size += asset.bytes.size();
  EXPECT_LT(size, 500'000u);
}

TEST(PageAnswers, TheModuleIsServedWhereItLiesBesideTheProgram) {
  Page page;
  EXPECT_EQ(page.get("row.wasm.gz").status, 404u);
  const fs::path program = page.scratch.path() / "sillion";
  std::ofstream(page.scratch.path() / "row.wasm.gz") << "packed";
  sim::command::PageAnswers beside(page.base, page.scratch.path() / "other", program, page.stop);
  const PageResponse got = beside.answer("GET", "row.wasm.gz", "");
  EXPECT_EQ(got.body, "packed");
  EXPECT_EQ(got.type, "application/gzip");
  // The browser is told, so that it asks for nothing that is not there.
  EXPECT_EQ(json::parse(beside.answer("GET", "keys", "").body)["module"], true);
  EXPECT_EQ(json::parse(page.get("keys").body)["module"], false);
}

TEST(PageAnswers, TellsTheModuleWhatItHasToKnow) {
  Page page;
  const json faster = json::array({json::array({"travel.speed", "9 km/h"})});
  const PageResponse contents = page.post("contents", {{"settings", settings_with(faster)}});
  ASSERT_EQ(contents.status, 200u) << contents.body;
  const json known = json::parse(contents.body);
  EXPECT_THAT(known["contents"].get<std::string>(), HasSubstr("\nrow.physics = ideal\n"));
  EXPECT_THAT(known["keys"].dump(), HasSubstr("\"travel.speed\""));
  // What the module sets itself is not laid into what it knows.
  const json plain = json::parse(page.post("contents", {{"settings", settings_with()}}).body);
  EXPECT_EQ(known, plain);
  const PageResponse cannot = page.post(
      "contents",
      {{"settings", settings_with(json::array({json::array({"controller.delay", "table"})}))}});
  EXPECT_EQ(cannot.status, 200u);
  EXPECT_TRUE(json::parse(cannot.body)["contents"].is_null()) << cannot.body;
  EXPECT_NE(json::parse(cannot.body)["why"], "");
}

TEST(PageAnswers, ARowSaysHowLongItTook) {
  Page page;
  const PageResponse full = page.post("row", {{"settings", settings_with()}, {"answer", "full"}});
  ASSERT_EQ(full.status, 200u) << full.body;
  EXPECT_GT(json::parse(full.body)["took_ms"].get<double>(), 0.0);
  const PageResponse coarse =
      page.post("row", {{"settings", settings_with()}, {"answer", "coarse"}});
  EXPECT_EQ(json::parse(coarse.body)["answer"], "coarse");
}

TEST(PageAnswers, MistakesAreToldAndServeNothing) {
  Page page;
  for (const auto& [path, body] : std::vector<std::pair<std::string, std::string>>{
           {"row", ""},
           {"row", "[]"},
           {"row", "{\"settings\": 7}"},
           {"row", "{\"settings\": [[\"controller.library\", \"/tmp/x.so\"]]}"},
           {"row", "{\"settings\": [[\"travel.speed\", \"fast\"]]}"},
           {"seed", "{\"seed\": \"one\"}"},
           {"seed", "{\"seed\": -4}"},
           {"save", "{\"name\": \"\"}"},
           {"stop", "{\"job\": 77}"},
           {"start", "{\"kind\": \"rig\"}"},
           {"start", "{\"kind\": \"run; rm -rf /\"}"},
           {"map", "{}"},
           {"map", "{\"job\": 77}"},
           {"bands", "{\"job\": 77, \"from_s\": 0, \"until_s\": 1}"},
           {"table", "{\"job\": 77}"},
           {"row", "{\"settings\": [], \"table\": 77}"},
           {"nothing", "{}"},
           {"row", std::string(60'000, '[')}}) {
    const PageResponse response = page.answers.answer("POST", path, body);
    EXPECT_EQ(response.status, 400u) << path << " " << body.substr(0, 80) << response.body;
    EXPECT_THAT(response.body, HasSubstr("\"error\"")) << path;
  }
  EXPECT_FALSE(fs::exists(page.scratch.path() / "page"));
}

TEST(PageAnswers, SaveWritesIntoTheOutFolderAlone) {
  Page page;
  for (const char* name : {"../up", "a/b", "/tmp/x", "a.b", "", ".", "..", "a b", "nul\0"}) {
    const PageResponse response =
        page.post("save", {{"settings", settings_with()}, {"name", name}});
    if (std::string(name) == "nul") continue;  // a text of C ends there
    EXPECT_EQ(response.status, 400u) << name;
  }
  const json body = {
      {"settings", settings_with(json::array({json::array({"travel.speed", "12 km/h"})}))},
      {"name", "kept_1"}};
  ASSERT_EQ(page.post("save", body).status, 200u);
  const fs::path file = page.scratch.path() / "page" / "kept_1.toml";
  EXPECT_NEAR(sim::scenario::load_scenario(file).travel.speed_mps, 12.0 / 3.6, 1e-12);
  EXPECT_THAT(page.post("save", body).body, HasSubstr("there already"));
}

/// A page whose jobs are a script; `$out` in it is the folder of results.
struct ScriptedPage {
  explicit ScriptedPage(const std::string& lines) {
    std::ofstream(program) << "#!/bin/sh\nfor out; do :; done\n" << lines << "\n";
    fs::permissions(program, fs::perms::owner_all);
  }
  support::ScratchFolder scratch;
  fs::path program = scratch.path() / "program", out = scratch.path() / "page";
  std::atomic<bool> stop = false;
  sim::command::PageAnswers answers{
      {.file = SILLION_SOURCE_DIR "/scenarios/demo.toml", .shown = "scenarios/demo.toml"},
      out,
      program,
      stop};
  PageResponse post(const std::string& path, const json& body) {
    return answers.answer("POST", path, body.dump());
  }
};

TEST(PageAnswers, AJobThatIsRefusedLeavesNoInputs) {
  ScriptedPage page("exec sleep 30");
  const json body = {{"kind", "run"}, {"settings", json::array()}};
  for (int job = 1; job <= sim::command::kMostJobs; ++job)
    ASSERT_EQ(page.post("start", body).status, 200u);
  EXPECT_THAT(page.post("start", body).body, HasSubstr("at work already"));
  EXPECT_TRUE(fs::exists(page.out / "jobs" / "2" / "scenario.toml"));
  EXPECT_FALSE(fs::exists(page.out / "jobs" / "3"));
}

TEST(PageAnswers, SaveReplacesNoTableThatLiesThere) {
  const std::string table =
      SILLION_SOURCE_DIR "/scenarios/catalog/attachments/short_rake.delay.toml";
  ScriptedPage page("mkdir -p \"$out\" && cp " + table + " \"$out/delay.toml\"");
  ASSERT_EQ(page.post("start", {{"kind", "delay"}, {"settings", json::array()}}).status, 200u);
  for (int wait = 0; wait < 1000; ++wait) {
    if (json::parse(page.answers.answer("GET", "jobs", "").body)["jobs"][0]["state"] == "ended")
      break;
    usleep(10'000);
  }
  const json body = {{"settings", json::array()}, {"name", "mine"}, {"table", 1}};
  std::ofstream(page.out / "mine.delay.toml") << "another";
  EXPECT_THAT(page.post("save", body).body, HasSubstr("mine.delay.toml is there already"));
  EXPECT_EQ(support::text_of(page.out / "mine.delay.toml"), "another");
  EXPECT_FALSE(fs::exists(page.out / "mine.toml"));
  fs::remove(page.out / "mine.delay.toml");
  EXPECT_EQ(page.post("save", body).status, 200u);
  EXPECT_EQ(support::text_of(page.out / "mine.delay.toml"), support::text_of(table));
}

// Two tabs that stopped each other's full answers would ask for ever.
TEST(PageAnswers, ANewerFullAnswerStopsTheOlderOneOfItsTabAlone) {
  for (const char* other : {"b", "a"}) {
    Page page;
    const auto full = [&](const char* tab, const char* speed) {
      return page
          .post("row",
                {{"settings", settings_with(json::array({json::array({"travel.speed", speed})}))},
                 {"answer", "full"},
                 {"tab", tab}})
          .status;
    };
    std::atomic<bool> ended = false;
    unsigned older = 0;
    std::thread slow([&] {
      older = full("a", "0.2 km/h");
      ended = true;
    });
    usleep(2000);
    while (!ended) full(other, "20 km/h");
    slow.join();
    EXPECT_EQ(older, std::string(other) == "a" ? 409u : 200u);
  }
}

// Whatever the page starts is a command line that the program takes, with inputs that load.
TEST(PageAnswers, LongWorkIsACommandOfTheProgram) {
  Page page;
  const std::vector<sim::page::Setting> settings = {{"attachment.tube.length", "0.35 m"}};
  for (const std::string& kind : sim::command::page_work_kinds()) {
    const fs::path folder = page.scratch.path() / kind;
    std::vector<std::string> words = sim::command::work_words(
        page.base, settings,
        {.kind = kind, .key = "travel.speed", .from = "8 km/h", .to = "16 km/h", .steps = 3},
        folder);
    words.insert(words.begin(), "sillion");
    words.insert(words.end(), {"--out", (folder / "result").string()});
    EXPECT_TRUE(support::program_takes(words)) << kind;
    const auto kept = sim::scenario::load_scenario(folder / "scenario.toml");
    EXPECT_DOUBLE_EQ(kept.attachment.tube.length_m, 0.35);
    EXPECT_EQ(kept.row.count, 8) << "long work takes all rows";
  }
  EXPECT_THAT(sim::command::page_work_kinds(),
              testing::IsSupersetOf({"run", "sweep", "delay", "outlet", "budget"}));
}

TEST(PageAnswers, ASweepRefusesAxesThatAreNone) {
  Page page;
  const auto words = [&](const std::string& key, int steps) {
    return sim::command::work_words(
        page.base, {},
        {.kind = "sweep", .key = key, .from = "8 km/h", .to = "16 km/h", .steps = steps},
        page.scratch.path() / "refused");
  };
  EXPECT_THROW(words("travel.speed", 1), sim::text::InputError);
  EXPECT_THROW(words("travel.speed", 100'000), sim::text::InputError);
  EXPECT_THROW(words("a\" = [1]\n[set]\nx", 3), sim::text::InputError);
  EXPECT_FALSE(fs::exists(page.scratch.path() / "refused"));
}

}  // namespace
