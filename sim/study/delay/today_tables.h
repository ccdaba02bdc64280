// What `today` reports and writes: its first sentence, the judged speeds as CSV, everything as
// JSON.
//
//   summary.json, today.csv: either both are written whole or none; SI
//
// Errors   OutputError when the folder cannot be written
// Checked  tests/sim/study/delay/today_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/study/delay/today.h"
#include "sim/study/run/report.h"

namespace sim::delay {

std::string today_sentence(const TodayResult& today, output::Units units);
/// The lines below the sentence: what judged the speeds, where they fail, which table.
std::string today_lines(const TodayResult& today, output::Units units);
std::string today_json(const TodayResult& today);
std::string today_csv(const TodayResult& today);
void seal(TodayResult& today, const sillion_attachment_table& table);
void write_today(const TodayResult& today, const std::filesystem::path& out);

}  // namespace sim::delay
