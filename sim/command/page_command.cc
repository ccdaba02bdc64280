// `page`: the bench in a browser of this machine. It serves on the loopback interface alone, to
// whoever has the address that is printed here (page_guard.h).
#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <cstdio>
#include <memory>
#include <nlohmann/json.hpp>

#include "sim/bench/errors.h"
#include "sim/command/browser/standalone.h"
#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/out_lock.h"
#include "sim/command/outside_world.h"
#include "sim/command/page_answers.h"
#include "sim/command/page_server.h"
#include "sim/command/shown_path.h"
#include "sim/output/write_folder.h"
#include "sim/text/input_error.h"

namespace sim::command {
namespace {

constexpr char kDemo[] = "scenarios/demo.toml";

struct PageOptions : CommonOptions, ScenarioOptions {
  int port = 0;
  std::filesystem::path standalone;  // write one file there and serve nothing
};

void define_page(CommandWords& words, PageOptions& options) {
  options.input = kDemo;
  add_common_options(words, options, "SCENARIO", "scenario file (TOML) from which the page starts",
                     Need::kOptional);
  add_scenario_options(words, options);
  words.number("--port", options.port, {0, 65535},
               "port on 127.0.0.1 (0: any that is free); the address is printed", Default::kShown);
  words.path("--standalone", options.standalone,
             "write one HTML file that computes the row in the browser, and serve nothing");
  words.examples(
      {"sillion page", "sillion page scenarios/demo.toml --port 8017 --out out/page --units us"});
}

/// 32 hexadecimal digits that nobody can guess.
std::string fresh_token() { return fmt::format("{:016x}{:016x}", fresh_number(), fresh_number()); }

void tell_address(const PageOptions& options, const std::string& address,
                  const std::filesystem::path& out) {
  const std::string words =
      options.json
          ? fmt::format("{{\"schema\": \"sillion.page.1\", \"address\": \"{}\"}}\n", address)
          : fmt::format(
                "The page is at {}\nWhoever has this address can use the page; it serves "
                "this machine alone and writes below {} alone. Ctrl-C ends it, with the "
                "jobs that it has started.\n",
                address, out.string());
  std::fputs(words.c_str(), stdout);
  std::fflush(stdout);
}

void tell_file(const PageOptions& options) {
  const std::string file = options.standalone.string();
  const std::string words =
      options.json
          ? fmt::format("{}\n",
                        nlohmann::json{{"schema", "sillion.page.file.1"}, {"file", file}}.dump())
          : fmt::format(
                "{} holds the row: open it in a browser; it needs no server and no network.\n",
                file);
  std::fputs(words.c_str(), stdout);
}

int execute_page(const PageOptions& options, const std::atomic<bool>& stop) {
  const page::PageBase base{.file = options.input,
                            .shown = shown_path(options.input),
                            .sets = options.sets,
                            .units = options.units};
  page::whole_scenario(base, {});  // a scenario that cannot be loaded opens no page
  page::page_input(base, {});
  const std::filesystem::path program = std::filesystem::read_symlink("/proc/self/exe");
  if (!options.standalone.empty()) {
    require_writable(options.standalone);
    output::write_whole_file(options.standalone, standalone_page(base, program, &stop));
    tell_file(options);
    return kHeld;
  }
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / "page" : options.out;
  const OutLock lock(out, options.typed);
  PageAnswers answers(base, out, program, stop);
  const auto server = [&] {
    try {
      return std::make_unique<PageServer>(
          options.port, fresh_token(),
          [&](const std::string& method, const std::string& path, const std::string& body) {
            return answers.answer(method, path, body);
          });
    } catch (const PageServerError& error) {
      throw text::InputError(error.what());
    }
  }();
  tell_address(options, server->address(), out);
  server->run(stop);
  throw bench::Interrupted("the page was ended");
}

}  // namespace

Command page_command() {
  const auto options = std::make_shared<PageOptions>();
  return {
      .name = "page",
      .description = "the bench in a browser of this machine: sliders, furrow, seeds, long work",
      .define = [options](CommandWords& words) { define_page(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_page(*options, stop); },
      .common = options.get()};
}

}  // namespace sim::command
