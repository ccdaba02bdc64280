#include "sim/command/page_answers.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "sim/command/browser/standalone.h"
#include "sim/command/outside_world.h"
#include "sim/command/page_assets.h"
#include "sim/command/page_work.h"
#include "sim/output/report_script.h"
#include "sim/study/page/page_keys.h"
#include "sim/text/document.h"
#include "sim/text/input_error.h"

namespace sim::command {
namespace {

using PageJson = nlohmann::ordered_json;

constexpr std::size_t kMostTable_bytes = 1'000'000;

/// A report may have styles and pictures of its own and runs the script of the reports alone; it
/// asks nothing elsewhere, and has an origin apart from the page's.
std::string report_policy() {
  return "default-src 'none'; script-src " + output::report_script_source() +
         "; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; "
         "frame-ancestors 'none'; sandbox allow-scripts";
}

PageResponse mistake(unsigned status, const std::string& words) {
  return {
      .status = status,
      .body = PageJson{{"error", words}}.dump(-1, ' ', false, PageJson::error_handler_t::replace) +
              "\n"};
}

PageJson asked(const std::string& body) {
  PageJson json = PageJson::parse(body, nullptr, false);
  if (!json.is_object()) throw text::InputError("the request is no JSON object");
  return json;
}

std::vector<page::Setting> settings_in(const PageJson& json) {
  return page::settings_of_json(json.contains("settings") ? json["settings"].dump() : "[]");
}

std::string text_in(const PageJson& json, const char* key) {
  return json.contains(key) && json[key].is_string() ? json[key].get<std::string>() : "";
}

int whole_in(const PageJson& json, const char* key) {
  if (!json.contains(key) || !json[key].is_number_integer()) return -1;
  const auto whole = json[key].get<std::int64_t>();
  return whole < 0 || whole > 1'000'000 ? -1 : static_cast<int>(whole);
}

double number_in(const PageJson& json, const char* key) {
  return json.contains(key) && json[key].is_number() ? json[key].get<double>() : 0.0;
}

/// The page's scenario, with the delay table of a job where the request names one.
page::PageBase base_for(const PageJson& json, page::PageBase base, PageField& field) {
  const int job = whole_in(json, "table");
  if (job < 0) return base;
  base.sets.push_back("controller.delay=table");
  base.sets.push_back("controller.table=" + field.table_file(job).string());
  return base;
}

const char* type_of(std::string_view name) {
  if (name.ends_with(".html")) return "text/html; charset=utf-8";
  if (name.ends_with(".css")) return "text/css; charset=utf-8";
  if (name.ends_with(".js")) return "text/javascript; charset=utf-8";
  if (name.ends_with(".svg")) return "image/svg+xml";
  if (name.ends_with(".gz")) return "application/gzip";
  if (name.ends_with(".json")) return "application/json";
  return "text/plain; charset=utf-8";
}

}  // namespace

PageAnswers::PageAnswers(page::PageBase base, std::filesystem::path out,
                         std::filesystem::path program, const std::atomic<bool>& stop)
    : base_(std::move(base)),
      out_(out),
      program_(program),
      stop_(stop),
      jobs_(out, std::move(program)) {}

PageResponse PageAnswers::answer(const std::string& method, const std::string& path,
                                 const std::string& body) {
  try {
    if (method == "GET") return got(path);
    return {.body = posted(path, body)};
  } catch (const text::InputError& error) {
    return mistake(400, error.what());
  } catch (const output::OutputError& error) {
    return mistake(400, error.what());
  } catch (const bench::Interrupted&) {
    return {.status = 409,
            .body = "{\"superseded\": true, \"error\": \"a newer setting took its place\"}\n"};
  } catch (const std::exception& error) {
    return mistake(500, std::string("bench: ") + error.what());
  }
}

PageResponse PageAnswers::got(const std::string& path) {
  if (path == "keys") {
    PageJson keys =
        PageJson::parse(page::page_keys_json(page::whole_scenario(base_, {}), base_.units,
                                             std::filesystem::absolute(base_.file).parent_path()));
    keys["scenario"] = base_.shown;
    keys["units"] = base_.units == output::Units::kUs ? "us" : "metric";
    keys["out"] = out_.string();
    keys["work"] = page_work_kinds();
    keys["module"] = !module_bytes(program_).empty();
    return {.body = keys.dump() + "\n"};
  }
  if (path == "jobs") return {.body = jobs_answer()};
  if (path.starts_with("jobs/")) return job_file(path);
  if (path == kModuleFile)
    if (std::string bytes = module_bytes(program_); !bytes.empty())
      return {.type = type_of(path), .body = std::move(bytes)};
  for (const output::Asset& asset : page_assets())
    if (asset.name == (path.empty() ? "page.html" : path))
      return {.type = type_of(asset.name), .body = std::string(asset.bytes)};
  return {.status = 404, .body = "{\"error\": \"not found\"}\n"};
}

std::string PageAnswers::posted(const std::string& path, const std::string& body) {
  if (path == "row") return row_answer(body);
  if (path == "contents") return contents_answer(body);
  if (path == "seed") return seed_answer(body);
  if (path == "save") return save_answer(body);
  if (path == "start") return start_answer(body);
  if (path == "map") return map_answer(body);
  if (path == "bands") return bands_answer(body);
  if (path == "table") return table_answer(body);
  if (path == "stop") {
    jobs_.stop(whole_in(asked(body), "job"));
    return jobs_answer();
  }
  throw text::InputError("the page has no such answer");
}

/// A newer full answer stops the older one of its tab: nobody looks at that any more. Another tab's
/// goes on: two that stopped each other would ask for ever.
page::RowAnswer PageAnswers::full_row(const std::string& tab, const page::PageInput& input) {
  const auto stop = std::make_shared<std::atomic<bool>>(false);
  {
    const std::lock_guard lock(mutex_);
    auto& newest = full_[tab];
    if (newest != nullptr) *newest = true;
    newest = stop;
  }
  const auto done = [&] {
    const std::lock_guard lock(mutex_);
    const auto mine = full_.find(tab);
    if (mine != full_.end() && mine->second == stop) full_.erase(mine);
  };
  try {
    page::RowAnswer answer = desk_.full(input, stop.get());
    done();
    return answer;
  } catch (...) {
    done();
    throw;
  }
}

std::string PageAnswers::row_answer(const std::string& body) {
  const Stopwatch clock;
  const PageJson json = asked(body);
  const page::PageInput input = page::page_input(base_for(json, base_, field_), settings_in(json));
  const bool full = text_in(json, "answer") == "full";
  const page::RowAnswer answer =
      full ? full_row(text_in(json, "tab"), input) : desk_.coarse(input, &stop_);
  std::string row = page::row_json(answer, input, base_.units);
  // The time is no part of the answer itself, which is the same for the same setting.
  row.insert(row.find_last_of('}'), fmt::format(",\"took_ms\":{:.1f}", clock.spent_s() * 1e3));
  return row;
}

/// Null contents and a reason where the module cannot carry the setting: that is no mistake.
std::string PageAnswers::contents_answer(const std::string& body) {
  const std::vector<page::Setting> settings = settings_in(asked(body));
  PageJson json{{"contents", nullptr}};
  try {
    RowContents contents = contents_for(base_, settings);
    contents.known = desk_.kept();
    json["contents"] = contents_text(contents);
  } catch (const text::InputError& error) {
    json["why"] = error.what();
  }
  for (const std::string_view key : module_keys()) json["keys"].push_back(key);
  return json.dump(-1, ' ', false, PageJson::error_handler_t::replace) + "\n";
}

std::string PageAnswers::seed_answer(const std::string& body) {
  const PageJson json = asked(body);
  return page::seed_json(page::page_input(base_for(json, base_, field_), settings_in(json)),
                         whole_in(json, "seed"), &stop_);
}

std::string PageAnswers::map_answer(const std::string& body) {
  const PageJson json = asked(body);
  return field_.cells(whole_in(json, "job"), text_in(json, "pass_length"));
}

std::string PageAnswers::bands_answer(const std::string& body) {
  const PageJson json = asked(body);
  return field_.bands(whole_in(json, "job"), text_in(json, "pass_length"),
                      number_in(json, "from_s"), number_in(json, "until_s"), &stop_);
}

std::string PageAnswers::table_answer(const std::string& body) {
  return field_.table(whole_in(asked(body), "job"));
}

std::string PageAnswers::save_answer(const std::string& body) {
  const PageJson json = asked(body);
  const std::string name = text_in(json, "name");
  require_plain_name(name);
  const std::filesystem::path file = out_ / (name + ".toml");
  const int job = whole_in(json, "table");
  const std::string kept = name + ".delay.toml";
  const std::lock_guard lock(save_mutex_);
  for (const std::filesystem::path& one : {file, out_ / kept})
    if (std::filesystem::exists(one) && (one == file || job >= 0))
      throw text::InputError(one.string() + " is there already; choose another name");
  const page::PageBase base = base_for(json, base_, field_);
  std::string scenario = page::saved_scenario(base, settings_in(json), out_);
  if (job >= 0) {
    // The saved scenario has the table beside it, so that the job's folder may go.
    const std::filesystem::path table = field_.table_file(job);
    const std::string written = text::toml_text(text::text_node(table.string(), {}));
    const std::size_t at = scenario.find(written);
    if (at != scenario.npos)
      scenario.replace(at, written.size(), text::toml_text(text::text_node(kept, {})));
    output::write_whole_file(out_ / kept, text::read_text(table, kMostTable_bytes));
  }
  output::write_whole_file(file, scenario);
  return PageJson{{"file", file.string()}}.dump() + "\n";
}

std::string PageAnswers::start_answer(const std::string& body) {
  const PageJson json = asked(body);
  const std::filesystem::path folder = jobs_.new_folder();
  const PageWork work{.kind = text_in(json, "kind"),
                      .key = text_in(json, "key"),
                      .from = text_in(json, "from"),
                      .to = text_in(json, "to"),
                      .steps = whole_in(json, "steps")};
  // A new table starts from the attachment, not from the table that there was.
  const bool tunes = work.kind == "delay" || work.kind == "outlet";
  const page::PageBase base = tunes ? base_ : base_for(json, base_, field_);
  try {
    jobs_.start(folder, work.kind, work_words(base, settings_in(json), work, folder));
  } catch (...) {
    std::error_code ignored;
    std::filesystem::remove_all(folder, ignored);  // a job that does not start leaves no inputs
    throw;
  }
  return jobs_answer();
}

std::string PageAnswers::jobs_answer() {
  PageJson json;
  json["schema"] = "sillion.page.jobs.1";
  json["jobs"] = PageJson::array();
  for (const PageJob& job : jobs_.list())
    json["jobs"].push_back({{"job", job.number},
                            {"kind", job.kind},
                            {"command", job.command},
                            {"state", job.running   ? job.stopped ? "stopping" : "at work"
                                      : job.stopped ? "stopped"
                                                    : "ended"},
                            {"code", job.code},
                            {"last", job.last},
                            {"files", job.files}});
  return json.dump(-1, ' ', false, PageJson::error_handler_t::replace) + "\n";
}

PageResponse PageAnswers::job_file(const std::string& path) {
  const std::size_t slash = path.find('/', 5);
  if (slash == path.npos || slash == 5 || slash > 11 ||
      path.find_first_not_of("0123456789", 5) != slash)
    return {.status = 404, .body = "{\"error\": \"not found\"}\n"};
  const std::string name = path.substr(slash + 1);
  return {.type = type_of(name),
          .body = jobs_.file(std::stoi(path.substr(5, slash - 5)), name),
          .policy = report_policy()};
}

}  // namespace sim::command
