#include "tests/service/fake_engine.h"

#include <memory>
#include <stdexcept>
#include <string_view>
#include <thread>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"

namespace ratebound::service {
namespace {

// value = level + slope * z with z = (t - 30) / 10.
document::Surface Line(const std::string& quantity, double level, double slope,
                       double standard_error) {
  return {.quantity = quantity,
          .degree = 1,
          .centre_si = {30},
          .half_range_si = {10},
          .exponents = {0, 1},
          .coefficients_si = {level, slope},
          .covariance_si = {standard_error * standard_error, 0,
                            standard_error * standard_error},
          .leverage_matrix = {1.0 / 12, 0, 1.0 / 8},
          .greatest_leverage = 1,
          .degrees_of_freedom = 10,
          .point_count = 12,
          .mean_si = level,
          .worst_point = "p1"};
}

document::StageMap Map(const std::string& stage, double part) {
  return {.unit = "u1",
          .mode = "cool",
          .stage = stage,
          .conditions = {"entering_water_temp"},
          .tested_low_si = {20},
          .tested_high_si = {40},
          .point_conditions_si = {20, 30, 40},
          .point_ids = {"p1", "p2", "p3"},
          .held_conditions = {"water_flow"},
          .held_values_si = {0.001},
          .held_tolerances_si = {0.0001},
          .surfaces = {Line("total_capacity", part * 50'000, part * -2000, part * 300),
                       Line("power_input", part * 10'000, part * 1000, part * 50)},
          .nearest_point_fraction = 0.5,
          .capacity_quantity = "total_capacity",
          .power_quantity = "power_input"};
}

document::Verdict VerdictOn(const std::string& claim, document::Outcome outcome,
                            document::NotShownReason reason) {
  return {.claim = claim,
          .text = {.id = claim,
                   .statement = "keeps its capacity",
                   .unit = "u1",
                   .mode = "cool",
                   .stage = "high",
                   .quantity = "total_capacity",
                   .limit = 40'000,
                   .limit_unit = "W",
                   .limit_si = 40'000,
                   .region = {{.quantity = "entering_water_temp",
                               .low = 20,
                               .high = 40,
                               .unit = "degC",
                               .low_si = 20,
                               .high_si = 40}},
                   .allowance = {.reason = "none needed"}},
          .outcome = outcome,
          .reason = reason,
          .margin = 1234,
          .unit = "W",
          .data_digest = "d1"};
}

document::Rating RatingOf(const std::string& procedure) {
  return {.unit = "u1",
          .procedure = procedure,
          .edition = "of 2020",
          .metric = "X",
          .metric_unit = "W/W",
          .footing = document::Footing::kInterpolated};
}

std::string FileOf(const release::BuildRequest& request, std::string_view path) {
  for (const release::LineFile& file : request.files) {
    if (file.path == path) return file.bytes;
  }
  return "";
}

absl::Status ManyFaults() {
  base::FaultList faults;
  for (int i = 0; i < 10'000; ++i) {
    faults.Add({.file = "points/day1.csv",
                .line = i + 1,
                .column = 2,
                .message = "'\xC2\xB0' is no number",
                .remedy = "write a decimal"});
  }
  return faults.ToStatus();
}

absl::StatusOr<document::Release> FakeBuild(const release::BuildRequest& request) {
  const std::string to_do = FileOf(request, "do.txt");
  if (to_do == "wait") {
    while (!request.stop()) std::this_thread::yield();
    return absl::CancelledError("told to stop");
  }
  if (to_do == "throw") throw std::runtime_error("secret words");
  if (to_do == "internal") return absl::InternalError("secret words");
  if (to_do == "faults") return ManyFaults();
  if (request.only_unit == "none") return absl::NotFoundError("no unit 'none'");
  document::Release release = SampleRelease();
  if (to_do == "large") {
    for (int i = 0; i < 20'000; ++i) {
      release.findings.push_back(
          {.subject = absl::StrCat("point ", i), .message = "is as it should be"});
    }
  }
  const std::string outcome = FileOf(request, "outcome.txt");
  document::Verdict& verdict = release.verdicts[0];
  if (outcome == "OBSERVED") verdict.outcome = document::Outcome::kObserved;
  if (outcome == "REFUTED") verdict.outcome = document::Outcome::kRefuted;
  if (outcome == "NOT_SHOWN") {
    verdict.outcome = document::Outcome::kNotShown;
    verdict.reason = document::NotShownReason::kUncertain;
  }
  // Looks are counted from the verdicts before.
  for (const document::Verdict& earlier : request.earlier_verdicts) {
    if (earlier.claim != verdict.claim) continue;
    verdict.look = earlier.outcome == verdict.outcome ? earlier.look : earlier.look + 1;
  }
  if (!request.only_claim.empty()) {
    std::erase_if(release.verdicts, [&](const document::Verdict& other) {
      return other.claim != request.only_claim;
    });
  }
  if (!request.parts.maps) release.maps.clear();
  if (!request.parts.ratings) release.ratings.clear();
  if (!request.parts.verdicts) release.verdicts.clear();
  if (!request.parts.tables) release.tables.clear();
  return release;
}

}  // namespace

document::Release SampleRelease() {
  document::Release release;
  release.engine_version = release::kEngineVersion;
  document::Mode mode{.id = "cool",
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"entering_water_temp"},
                      .held_conditions = {{.quantity = "water_flow",
                                           .value = 1,
                                           .tolerance = 0.1,
                                           .unit = "L/s",
                                           .value_si = 0.001,
                                           .tolerance_si = 0.0001}},
                      .stages = {{.id = "low"}, {.id = "high"}}};
  release.manifest = {.id = "fake",
                      .title = "A line of its own",
                      .cautions = {"Not certified."},
                      .units = {{.id = "u1",
                                 .title = "Unit one",
                                 .equipment_class = "water_cooled",
                                 .nominal_capacity = {.quantity = "total_capacity",
                                                      .value = 50,
                                                      .unit = "kW",
                                                      .value_si = 50'000},
                                 .modes = {mode}}}};
  release.source_files = {
      {.path = "line.textproto", .sha256 = std::string(64, 'a'), .byte_count = 10}};
  release.points = {{.id = "p1", .file = "points/a.csv", .line = 2, .unit = "u1"},
                    {.id = "p2",
                     .file = "points/a.csv",
                     .line = 3,
                     .unit = "u1",
                     .dropped_reason = "air leaked"}};
  release.findings = {{.severity = document::Severity::kFailure,
                       .subject = "p2",
                       .message = "balance is off",
                       .file = "points/a.csv",
                       .line = 3}};
  release.maps = {Map("low", 0.5), Map("high", 1)};
  document::Rating rated = RatingOf("rated");
  rated.value = 4.5678;
  rated.rounded = "4.57";
  document::Rating refused = RatingOf("refused");
  refused.refusal = "out of scope";
  refused.footing = document::Footing::kUnspecified;
  release.ratings = {rated, refused};
  release.verdicts = {
      VerdictOn("a", document::Outcome::kProven, document::NotShownReason::kNone),
      VerdictOn("b", document::Outcome::kRefuted, document::NotShownReason::kNone),
      VerdictOn("c", document::Outcome::kNotShown, document::NotShownReason::kUntested)};
  document::TableRequest request{
      .id = "t1",
      .title = "Capacity",
      .unit = "u1",
      .mode = "cool",
      .stage = "high",
      .rows = {.quantity = "entering_water_temp",
               .unit = "degC",
               .values = {20, 40},
               .values_si = {20, 40}},
      .figures = {{.quantity = "total_capacity", .unit = "kW", .decimal_count = 1}}};
  release.tables = {{.request = request,
                     .figures = {{.figure = request.figures[0],
                                  .values = {52, 48},
                                  .half_widths = {1, 1},
                                  .footings = {document::Footing::kTested,
                                               document::Footing::kTested}}}}};
  return release;
}

absl::StatusOr<const PublishedFiles*> NothingPublished() {
  static const auto* const nothing = new PublishedFiles();
  return nothing;
}

Engine FakeEngine() {
  document::Procedure procedure{.id = "p",
                                .title = "A procedure",
                                .document = "Document 1",
                                .edition = "2020",
                                .metric = "X"};
  procedure.capacity_basis.citation.basis = document::Basis::kPublishedText;
  procedure.aggregation_citation.basis = document::Basis::kMemory;
  const auto published =
      std::make_shared<const PublishedFiles>(PublishedFiles{.procedures = {procedure}});
  return {.build = FakeBuild,
          .published = [published]() -> absl::StatusOr<const PublishedFiles*> {
            return published.get();
          }};
}

std::vector<release::LineFile> FakeLine(const std::string& what_to_do,
                                        const std::string& outcome) {
  return {{"do.txt", what_to_do}, {"outcome.txt", outcome}};
}

}  // namespace ratebound::service
