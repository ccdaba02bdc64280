#include "controller/row_totals.h"

#include "controller/delay_law.h"
#include "controller/ticks.h"

namespace controller {
namespace {

constexpr std::int64_t kReportUs = 200'000;

struct Counter {
  std::uint32_t& total;
  std::uint16_t& heard;
  std::uint8_t& doubted;
};

std::int32_t advance_of(std::uint16_t now, std::uint16_t heard) {
  return static_cast<std::int16_t>(static_cast<std::uint16_t>(now - heard));
}

/// The advance that counts.
std::int32_t count(const Counter& counter, std::uint16_t now) {
  std::int32_t advance = advance_of(now, counter.heard);
  const bool leaps = advance > kMostAdvance || advance < -kMostAdvance;
  if (leaps && counter.doubted < kBelievedAfter) {
    ++counter.doubted;
    return 0;
  }
  // A counter that begins cannot have gone back: what looks so lies beyond half its range.
  const bool begins = counter.heard == 0 && counter.doubted == kBelievedAfter;
  if (advance < 0 && (leaps || begins)) advance = now;
  counter.doubted = 0;
  counter.heard = now;
  counter.total += static_cast<std::uint32_t>(advance);
  return advance;
}

std::int32_t row_speed_umps(const RowReportFrame& row, const sillion_config& config,
                            std::int32_t speed_umps, std::int32_t yaw_uradps) {
  const std::int64_t twice_y_um =
      (2 * std::int64_t{row.row} - (static_cast<std::int64_t>(config.rows) - 1)) *
      config.row_width_um;
  return saturated(speed_umps - yaw_uradps * twice_y_um / (2 * kMicro));
}

/// Volume of that many bands, or of a report of a stream.
std::int64_t volume_mm3(const RowReportFrame& row, std::int32_t bands, const sillion_config& config,
                        std::int32_t speed_umps) {
  const bool valid = (row.state & kFlowValid) != 0;
  if ((row.state & kStreaming) != 0) {
    const std::int64_t way_um = std::max<std::int32_t>(speed_umps, 0) * kReportUs / kMicro;
    return valid ? row.flow_mm3ps * kReportUs / kMicro
                 : std::int64_t{config.in_band_rate_nm} * config.row_width_um / 1'000 * way_um /
                       (1'000 * kMicro);
  }
  const std::int64_t set_mm3 = std::int64_t{config.in_band_rate_nm} * config.row_width_um / 1'000 *
                               config.band_length_um / (1'000 * kMicro);
  const bool moves = speed_umps > kSlowestUmps;
  return bands *
         (valid && moves
              ? divide_rounded(std::int64_t{row.flow_mm3ps} * config.band_length_um, speed_umps)
              : set_mm3);
}

}  // namespace

void take_counts(RowTotals& totals, const RowReportFrame& row, bool started_anew,
                 const sillion_config& config, std::int32_t speed_umps, std::int32_t yaw_uradps) {
  RowTotal& own = totals.rows[row.row];
  const bool both_back =
      advance_of(row.seeds, own.seeds_heard) < 0 && advance_of(row.bands, own.bands_heard) < 0;
  if (started_anew || both_back) {
    own.seeds_heard = own.bands_heard = 0;
    own.seeds_doubted = own.bands_doubted = kBelievedAfter;
  }
  const std::int32_t seeds = count({own.seeds, own.seeds_heard, own.seeds_doubted}, row.seeds);
  const std::int32_t bands = count({own.bands, own.bands_heard, own.bands_doubted}, row.bands);
  const std::int64_t volume = volume_mm3(row, std::max<std::int32_t>(bands, 0), config,
                                         row_speed_umps(row, config, speed_umps, yaw_uradps)) +
                              own.rest_mm3;
  own.volume_ml += static_cast<std::uint32_t>(volume / 1'000);
  own.rest_mm3 = static_cast<std::uint16_t>(volume % 1'000);
  if (seeds != 0 || bands != 0) totals.counted = totals.in_second = true;
}

void count_seconds(RowTotals& totals) {
  constexpr std::uint16_t kSecondMs = 1000;
  if (++totals.second_ms < kSecondMs) return;
  totals.second_ms = 0;
  totals.seconds += totals.in_second ? 1 : 0;
  totals.in_second = false;
}

}  // namespace controller
