#include "engine/points/log/row_screen.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string_view>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/points/point_checks.h"
#include "engine/quantity/unit.h"

namespace ratebound::points {
namespace {

using base::Absl;
using document::Severity;

constexpr std::string_view kAirs[] = {"entering_air", "leaving_air", "outdoor_air",
                                      "return_air"};
constexpr std::string_view kPairs[][2] = {
    {"_wb", "_db"}, {"_dew_point", "_db"}, {"_dew_point", "_wb"}};

void Count(int64_t line, auto& tally) {
  if (tally.rows++ == 0) tally.first_line = line;
}

}  // namespace

RowScreen::RowScreen(const LogContext& context)
    : context_(context), stuck_after_s_(context.log->stuck_after_s) {
  const std::vector<std::string>& still = context.log->may_stand_still;
  const double zero_offset_w =
      kZeroOffsetFraction * std::fabs(context.unit->nominal_capacity.value_si);
  SpanList& spans = *context.spans;
  for (const LogChannel& channel : context.channels) {
    ChannelState& state = states_.emplace_back();
    state.least = -std::numeric_limits<double>::infinity();
    state.greatest = std::numeric_limits<double>::infinity();
    state.may_stand_still =
        !channel.is_quantity() || stuck_after_s_ <= 0 ||
        std::find(still.begin(), still.end(), channel.name) != still.end();
    if (!channel.is_quantity()) continue;
    const quantity::Quantity& quantity = *channel.quantity;
    double least_si = quantity.least_si;
    if (quantity.dimension == quantity::Dimension::kPower && least_si == 0) {
      least_si = -zero_offset_w;
    }
    // A limit that the unit cannot write exactly must not shut itself out.
    const double slack_si =
        1e-12 * std::max(std::fabs(least_si), std::fabs(quantity.greatest_si));
    state.least = quantity::FromSi(least_si - slack_si, channel.unit);
    state.greatest = quantity::FromSi(quantity.greatest_si + slack_si, channel.unit);
    state.implausible_reason = spans.AddReason(
        absl::StrCat(channel.name, " outside what is physically plausible"));
    state.stuck_reason = spans.AddReason(absl::StrCat(
        channel.name, " unchanged for ", base::ShortestText(stuck_after_s_), " s"));
  }
  for (std::string_view air : kAirs) {
    for (const auto& pair : kPairs) {
      const std::string lower = absl::StrCat(Absl(air), Absl(pair[0]));
      const std::string upper = absl::StrCat(Absl(air), Absl(pair[1]));
      const int low = context.FindChannel(lower);
      const int high = context.FindChannel(upper);
      if (low < 0 || high < 0) continue;
      pairs_.push_back(
          {.lower = static_cast<size_t>(low),
           .upper = static_cast<size_t>(high),
           .reason = spans.AddReason(absl::StrCat(lower, " above ", upper))});
    }
  }
  ForgetStillness();
}

void RowScreen::ForgetStillness() {
  for (ChannelState& state : states_) {
    state.value = std::numeric_limits<double>::quiet_NaN();
  }
}

bool RowScreen::IsAbove(const HumidityPair& pair, const LogRow& row) const {
  const LogChannel& lower = context_.channels[pair.lower];
  const LogChannel& upper = context_.channels[pair.upper];
  // Alike units need no turning where the lower reads less, as it nearly always does.
  if (lower.unit == upper.unit && row.values[pair.lower] <= row.values[pair.upper]) {
    return false;
  }
  const double low_c = quantity::ToSi(row.values[pair.lower], lower.unit);
  const double high_c = quantity::ToSi(row.values[pair.upper], upper.unit);
  return low_c - high_c > HumiditySlackK(*context_.manifest, context_.log->path,
                                         lower.name, upper.name, low_c, high_c);
}

int RowScreen::Check(const LogRow& row, std::optional<Stuck>& stuck) {
  ++rows_;
  int reason = -1;
  for (size_t i = 0; i < states_.size(); ++i) {
    ChannelState& state = states_[i];
    const double value = row.values[i];
    if (!(value >= state.least && value <= state.greatest)) {
      if (std::isnan(value)) continue;
      Count(row.line, state.implausible);
      if (reason < 0) reason = state.implausible_reason;
      continue;
    }
    if (value != state.value) {
      state.value = value;
      state.since_s = row.time_s;
      state.since_line = row.line;
      state.told = false;
      continue;
    }
    if (state.may_stand_still) continue;
    const double still_s = row.time_s - state.since_s;
    if (still_s < stuck_after_s_ - kStampSlackS) continue;
    if (!state.told && (!stuck || state.since_line < stuck->first_line)) {
      stuck = {.first_line = state.since_line, .reason = state.stuck_reason};
    }
    state.told = true;
    Count(state.since_line, state.stuck);
    state.stuck.longest_s = std::max(state.stuck.longest_s, still_s);
    if (reason < 0) reason = state.stuck_reason;
  }
  for (HumidityPair& pair : pairs_) {
    const double low = row.values[pair.lower];
    const double high = row.values[pair.upper];
    if (std::isnan(low) || std::isnan(high) || !IsAbove(pair, row)) continue;
    Count(row.line, pair.tally);
    if (reason < 0) reason = pair.reason;
  }
  return reason;
}

void RowScreen::Tell() const {
  const auto tell = [&](const Tally& tally, const std::string& what) {
    if (tally.rows == 0) return;
    const std::string message =
        absl::StrCat(what, " in ", tally.rows, " of ", rows_, " rows");
    if (2 * tally.rows > rows_) {
      context_.AddFault(static_cast<int>(tally.first_line), message,
                        "check the column and its unit");
    } else {
      context_.AddFinding(Severity::kWarning,
                          absl::StrCat(message, "; they are left out"), tally.first_line);
    }
  };
  for (size_t i = 0; i < states_.size(); ++i) {
    const std::string& name = context_.channels[i].name;
    tell(states_[i].implausible, absl::StrCat(name, " is outside what is plausible"));
    if (states_[i].stuck.rows > 0) {
      context_.AddFinding(
          Severity::kWarning,
          absl::StrFormat("%s stands still to the last digit for up to %.6g s; rows that "
                          "rest on it are left out",
                          name, states_[i].stuck.longest_s),
          states_[i].stuck.first_line);
    }
  }
  for (const HumidityPair& pair : pairs_) {
    tell(pair.tally, absl::StrCat(context_.channels[pair.lower].name, " is above ",
                                  context_.channels[pair.upper].name));
  }
}

}  // namespace ratebound::points
