#include "service/line_answers.h"

#include <algorithm>
#include <memory>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/convert.h"
#include "engine/document/release_bytes.h"
#include "engine/points/pipeline/point_chain.h"

namespace ratebound::service {
namespace {

constexpr release::Parts kNothing = {
    .maps = false, .ratings = false, .verdicts = false, .tables = false};

// Answers one message for each item; `fill` puts an item into an empty message.
template <typename Response, typename Item, typename Fill>
AnswerSource<Response> OneForEach(std::vector<Item> items, Fill fill) {
  return [items = std::move(items), fill = std::move(fill),
          next = size_t{0}](Response& response) mutable {
    if (next == items.size()) return false;
    fill(items[next++], response);
    return true;
  };
}

v1::CheckSummary CheckSummaryOf(const document::Release& release) {
  int accepted = 0;
  for (const document::TestPoint& point : release.points) accepted += point.accepted();
  int failures = 0;
  for (const document::Finding& finding : release.findings) {
    failures += finding.severity == document::Severity::kFailure;
  }
  const int points = static_cast<int>(release.points.size());
  v1::CheckSummary summary;
  summary.set_point_count(points);
  summary.set_accepted_count(accepted);
  summary.set_dropped_count(points - accepted);
  summary.set_failure_count(failures);
  return summary;
}

absl::Status CheckOptions(const v1::CheckLineOptions& options) {
  if (options.monte_carlo_draws() == 0) return absl::OkStatus();
  RETURN_IF_ERROR(points::CheckDrawCount(options.monte_carlo_draws()));
  if (!options.point().empty()) return absl::OkStatus();
  base::FaultList faults;
  faults.Add({.field = "monte_carlo_draws",
              .message = "there is no point whose readings could be drawn",
              .remedy = "name a point"});
  return faults.ToStatus();
}

absl::StatusOr<document::PointChain> ChainOfPoint(const Engine& engine,
                                                  const document::Release& release,
                                                  const v1::CheckLineOptions& options) {
  std::vector<std::string> known;
  for (const document::TestPoint& point : release.points) {
    known.push_back(point.id);
    if (point.id != options.point()) continue;
    ASSIGN_OR_RETURN(
        document::PointChain chain,
        points::ChainOf(release.manifest, release.methods, point,
                        options.monte_carlo_draws(), engine.threads_per_build));
    for (const document::Finding& finding : release.findings) {
      if (finding.subject == point.id) chain.findings.push_back(finding);
    }
    return chain;
  }
  base::FaultList faults;
  faults.Add({.field = "point",
              .message = absl::StrCat("the line has no point '",
                                      base::Printable(options.point()), "'",
                                      base::DidYouMean(options.point(), known))});
  return faults.ToStatus();
}

}  // namespace

absl::StatusOr<release::BuildRequest> RequestFor(
    const Engine& engine, const std::vector<release::LineFile>& files,
    const StopFunction& stop) {
  ASSIGN_OR_RETURN(const PublishedFiles* const published, engine.published());
  return release::BuildRequest{.files = files,
                               .procedures = published->procedures,
                               .methods = published->methods,
                               .minimums = published->minimums,
                               .thread_count = engine.threads_per_build,
                               .stop = stop};
}

absl::StatusOr<AnswerSource<v1::CheckLineResponse>> CheckLine(
    const Engine& engine, const v1::CheckLineOptions& options,
    const std::vector<release::LineFile>& files, const StopFunction& stop) {
  RETURN_IF_ERROR(CheckOptions(options));
  ASSIGN_OR_RETURN(release::BuildRequest request, RequestFor(engine, files, stop));
  request.parts = kNothing;
  ASSIGN_OR_RETURN(document::Release release, engine.build(request));
  std::vector<v1::CheckLineResponse> answers;
  for (const document::Finding& finding : release.findings) {
    *answers.emplace_back().mutable_finding() = document::ToMessage(finding);
  }
  for (const document::LogReport& report : release.log_reports) {
    *answers.emplace_back().mutable_log() = document::ToMessage(report);
  }
  if (!options.point().empty()) {
    ASSIGN_OR_RETURN(const document::PointChain chain,
                     ChainOfPoint(engine, release, options));
    *answers.emplace_back().mutable_chain() = document::ToMessage(chain);
  }
  *answers.emplace_back().mutable_summary() = CheckSummaryOf(release);
  return OneForEach<v1::CheckLineResponse>(
      std::move(answers), [](v1::CheckLineResponse& item,
                             v1::CheckLineResponse& response) { response.Swap(&item); });
}

absl::StatusOr<AnswerSource<v1::FitLineResponse>> FitLine(
    const Engine& engine, const v1::FitLineOptions& options,
    const std::vector<release::LineFile>& files, const StopFunction& stop) {
  ASSIGN_OR_RETURN(release::BuildRequest request, RequestFor(engine, files, stop));
  request.parts = kNothing;
  request.parts.maps = true;
  request.parts.diagnostics = true;
  request.only_unit = options.unit();
  ASSIGN_OR_RETURN(document::Release release, engine.build(request));
  std::vector<v1::FitLineResponse> answers;
  for (const document::StageMap& map : release.maps) {
    *answers.emplace_back().mutable_map() = document::ToMessage(map);
  }
  for (const document::CurveFit& curve : release.curves) {
    *answers.emplace_back().mutable_curve() = document::ToMessage(curve);
  }
  return OneForEach<v1::FitLineResponse>(
      std::move(answers), [](v1::FitLineResponse& item, v1::FitLineResponse& response) {
        response.Swap(&item);
      });
}

absl::StatusOr<AnswerSource<v1::TabulateLineResponse>> TabulateLine(
    const Engine& engine, const v1::TabulateLineOptions& options,
    const std::vector<release::LineFile>& files, const StopFunction& stop) {
  ASSIGN_OR_RETURN(release::BuildRequest request, RequestFor(engine, files, stop));
  request.parts = kNothing;
  request.parts.tables = true;
  request.only_table = options.table();
  ASSIGN_OR_RETURN(document::Release release, engine.build(request));
  return OneForEach<v1::TabulateLineResponse>(
      std::move(release.tables),
      [](const document::Table& table, v1::TabulateLineResponse& response) {
        *response.mutable_table() = document::ToMessage(table);
      });
}

absl::StatusOr<AnswerSource<v1::BuildLineResponse>> BuildLine(
    const Engine& engine, const std::vector<release::LineFile>& files,
    const StopFunction& stop) {
  ASSIGN_OR_RETURN(const release::BuildRequest request, RequestFor(engine, files, stop));
  ASSIGN_OR_RETURN(const document::Release release, engine.build(request));
  ASSIGN_OR_RETURN(document::ReleaseBytes serialized,
                   document::SerializeRelease(release));
  v1::ReleaseSummary summary = SummaryOf(release, serialized.digest);
  AnswerSource<v1::BuildLineResponse> chunks =
      ChunksOf<v1::BuildLineResponse>(std::move(serialized.bytes));
  return AnswerSource<v1::BuildLineResponse>(
      [chunks = std::move(chunks), summary = std::move(summary),
       ended = false](v1::BuildLineResponse& response) mutable {
        if (chunks(response)) return true;
        if (std::exchange(ended, true)) return false;
        *response.mutable_summary() = std::move(summary);
        return true;
      });
}

}  // namespace ratebound::service
