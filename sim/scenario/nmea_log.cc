#include "sim/scenario/nmea_log.h"

#include <charconv>
#include <chrono>
#include <cmath>
#include <limits>
#include <optional>

#include "shared/units.h"
#include "sim/text/quantity.h"

namespace sim::scenario {
namespace {

constexpr double kDay_s = 86400.0;
constexpr double kCourseSpeed_mps = 0.5;  // below it a receiver's course is noise
constexpr double kDegree_rad = shared::kPi_ratio / 180.0;
constexpr std::size_t kLongestSentence = 120;  // the standard's 82 and some that receivers add

constexpr double kNone_deg = std::numeric_limits<double>::quiet_NaN();

struct Fix {
  double time_of_day_s = 0.0;
  std::optional<double> speed_mps;
  std::optional<double> course_deg;
  double lat_deg = kNone_deg, lon_deg = kNone_deg;
  int day = -1;
};

std::optional<double> number_of(std::string_view text) {
  double value_si = 0.0;
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value_si);
  if (code != std::errc{} || end != text.data() + text.size() || !std::isfinite(value_si))
    return std::nullopt;
  return value_si;
}

std::vector<std::string_view> fields_of(std::string_view sentence) {
  std::vector<std::string_view> fields;
  while (true) {
    const std::size_t comma = sentence.find(',');
    fields.push_back(sentence.substr(0, comma));
    if (comma == std::string_view::npos) return fields;
    sentence.remove_prefix(comma + 1);
  }
}

// hhmmss with any fraction; a leap second (60) becomes the start of the next minute.
std::optional<double> time_of_day_s(std::string_view text) {
  if (text.size() < 6) return std::nullopt;
  for (std::size_t i = 0; i < 6; ++i) {
    if (text[i] < '0' || text[i] > '9') return std::nullopt;
  }
  const std::optional<double> seconds_s = number_of(text.substr(4));
  const int hours = (text[0] - '0') * 10 + (text[1] - '0');
  const int minutes = (text[2] - '0') * 10 + (text[3] - '0');
  if (!seconds_s || hours > 23 || minutes > 59 || *seconds_s >= 61.0) return std::nullopt;
  return hours * 3600.0 + minutes * 60.0 + *seconds_s;
}

// ddmm.mmmm or dddmm.mmmm and the letter of the half: N or E positive, S or W negative.
double place_deg(std::string_view text, std::string_view half, std::string_view halves) {
  const std::size_t degrees = halves == "NS" ? 2 : 3;
  const double most_deg = halves == "NS" ? 90.0 : 180.0;
  if (text.size() < degrees + 2 || half.size() != 1 || halves.find(half) == std::string_view::npos)
    return kNone_deg;
  const std::optional<double> whole_deg = number_of(text.substr(0, degrees));
  const std::optional<double> minutes = number_of(text.substr(degrees));
  if (!whole_deg || !minutes || *whole_deg < 0.0 || *minutes < 0.0 || *minutes >= 60.0)
    return kNone_deg;
  const double value_deg = *whole_deg + *minutes / 60.0;
  if (value_deg > most_deg) return kNone_deg;
  return half[0] == halves[0] ? value_deg : -value_deg;
}

// ddmmyy as days since 1980-01-01; years from 80 on are those of the last century.
int day_of(std::string_view text) {
  if (text.size() != 6 || text.find_first_not_of("0123456789") != std::string_view::npos) return -1;
  const auto two = [&](std::size_t at) { return (text[at] - '0') * 10 + (text[at + 1] - '0'); };
  const int year = two(4) + (two(4) >= 80 ? 1900 : 2000);
  const std::chrono::year_month_day date{std::chrono::year{year},
                                         std::chrono::month{static_cast<unsigned>(two(2))},
                                         std::chrono::day{static_cast<unsigned>(two(0))}};
  if (!date.ok()) return -1;
  const std::chrono::sys_days zero =
      std::chrono::year{1980} / std::chrono::January / std::chrono::day{1};
  return static_cast<int>((std::chrono::sys_days{date} - zero).count());
}

// A sentence ends in * and two hexadecimal digits: the exclusive-or of everything between $ and *.
bool checksum_holds(std::string_view body, std::string_view digits) {
  if (digits.size() != 2) return false;
  unsigned sum = 0;
  for (const char c : body) sum ^= static_cast<unsigned char>(c);
  unsigned stated = 0;
  const auto [end, code] = std::from_chars(digits.data(), digits.data() + 2, stated, 16);
  return code == std::errc{} && end == digits.data() + 2 && stated == sum;
}

class Log {
 public:
  void line(std::string_view line) {
    while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.remove_suffix(1);
    if (line.empty()) return;
    ++counts_.lines;
    // Binary junk may precede a sentence on its line: the sentence starts at the last $.
    const std::size_t start = line.rfind('$');
    if (start == std::string_view::npos || line.size() - start > kLongestSentence)
      return void(++counts_.malformed);
    line.remove_prefix(start + 1);
    const std::size_t star = line.rfind('*');
    const bool good = star != std::string_view::npos &&
                      checksum_holds(line.substr(0, star), line.substr(star + 1));
    if (!good) return void(++counts_.bad_checksum);
    sentence(fields_of(line.substr(0, star)));
  }

  NmeaDrive drive() {
    take_pending();
    NmeaDrive drive{{}, {}, counts_};
    if (fixes_.size() < 2) return drive;
    for (std::size_t i = 0; i < fixes_.size(); ++i) {
      const Fix& fix = fixes_[i];
      drive.knots.push_back({times_s_[i], *fix.speed_mps, yaw_rate_radps(i)});
      drive.fixes.push_back({times_s_[i], fix.time_of_day_s, fix.day, fix.lat_deg, fix.lon_deg,
                             fix.course_deg.value_or(kNone_deg)});
    }
    return drive;
  }

 private:
  void sentence(const std::vector<std::string_view>& fields) {
    // Two letters for the talker, then the sentence's name; the talker says only which satellites
    // were used.
    const std::string_view name = fields[0].size() == 5 ? fields[0].substr(2) : std::string_view{};
    if (name == "RMC")
      rmc(fields);
    else if (name == "VTG")
      vtg(fields);
    else
      ++counts_.other;
  }

  void rmc(const std::vector<std::string_view>& fields) {
    take_pending();
    if (fields.size() < 10) return void(++counts_.malformed);
    if (fields[2] != "A") return void(++counts_.void_fixes);
    const std::optional<double> time_s = time_of_day_s(fields[1]);
    const std::optional<double> knots_ratio = number_of(fields[7]);
    const bool readable = time_s && (fields[7].empty() || (knots_ratio && *knots_ratio >= 0.0));
    if (!readable) return void(++counts_.malformed);
    Fix fix{*time_s, {}, number_of(fields[8])};
    fix.lat_deg = place_deg(fields[3], fields[4], "NS");
    fix.lon_deg = place_deg(fields[5], fields[6], "EW");
    fix.day = day_of(fields[9]);
    if (knots_ratio) fix.speed_mps = *knots_ratio * shared::kKnot_mps;
    pending_ = fix;
  }

  void vtg(const std::vector<std::string_view>& fields) {
    if (fields.size() < 9) return void(++counts_.malformed);
    const std::optional<double> kmh_ratio = number_of(fields[7]);
    const std::optional<double> knots_ratio = number_of(fields[5]);
    if (!pending_) return;
    if (!pending_->speed_mps && knots_ratio && *knots_ratio >= 0.0)
      pending_->speed_mps = *knots_ratio * shared::kKnot_mps;
    else if (!pending_->speed_mps && kmh_ratio && *kmh_ratio >= 0.0)
      pending_->speed_mps = *kmh_ratio / 3.6;
    if (!pending_->course_deg) pending_->course_deg = number_of(fields[1]);
  }

  void take_pending() {
    if (!pending_) return;
    const Fix fix = *pending_;
    pending_.reset();
    if (!fix.speed_mps) return void(++counts_.incomplete);
    double time_s = 0.0;
    if (!fixes_.empty()) {
      double step_s = fix.time_of_day_s - fixes_.back().time_of_day_s;
      if (step_s < -0.5 * kDay_s) step_s += kDay_s;
      if (step_s <= 0.0) return void(++counts_.out_of_order);
      if (step_s > kNmeaGap_s) {
        ++counts_.gaps;
        counts_.gap_time_s += step_s;
        counts_.longest_gap_s = std::fmax(counts_.longest_gap_s, step_s);
      }
      time_s = times_s_.back() + step_s;
    }
    ++counts_.fixes;
    fixes_.push_back(fix);
    times_s_.push_back(time_s);
  }

  double yaw_rate_radps(std::size_t i) const {
    if (i == 0 || i + 1 == fixes_.size()) return 0.0;
    const Fix& before = fixes_[i - 1];
    const Fix& after = fixes_[i + 1];
    for (const std::size_t j : {i - 1, i, i + 1}) {
      if (!fixes_[j].course_deg || *fixes_[j].speed_mps < kCourseSpeed_mps) return 0.0;
    }
    if (times_s_[i] - times_s_[i - 1] > kNmeaGap_s || times_s_[i + 1] - times_s_[i] > kNmeaGap_s)
      return 0.0;
    double turned_deg = *after.course_deg - *before.course_deg;
    if (turned_deg > 180.0) turned_deg -= 360.0;
    if (turned_deg < -180.0) turned_deg += 360.0;
    return turned_deg * kDegree_rad / (times_s_[i + 1] - times_s_[i - 1]);
  }

  NmeaCounts counts_;
  std::optional<Fix> pending_;
  std::vector<Fix> fixes_;
  std::vector<double> times_s_;
};

}  // namespace

NmeaDrive read_nmea(std::string_view text) {
  Log log;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    log.line(text.substr(0, end));
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
  }
  return log.drive();
}

std::string describe_counts(const NmeaDrive& drive) {
  const NmeaCounts& c = drive.counts;
  const auto n = [](long long count) { return std::to_string(count); };
  const double last_s = drive.knots.empty() ? 0.0 : drive.knots.back().time_s;
  return n(c.fixes) + " fixes over " + text::shortest_text(last_s) + " s; " + n(c.gaps) +
         " gaps (" + text::shortest_text(c.gap_time_s) + " s); passed over: " + n(c.other) +
         " other sentences, " + n(c.bad_checksum) + " bad checksums, " + n(c.malformed) +
         " malformed lines, " + n(c.void_fixes) + " void fixes, " + n(c.incomplete) +
         " fixes without speed, " + n(c.out_of_order) + " out of order";
}

}  // namespace sim::scenario
