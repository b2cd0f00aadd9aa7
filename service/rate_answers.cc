#include "service/rate_answers.h"

#include <algorithm>
#include <memory>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/iso_date.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/convert.h"
#include "engine/rating/uncertainty.h"
#include "service/procedure_summary.h"

namespace ratebound::service {
namespace {

absl::Status CheckOptions(const v1::RateLineOptions& options) {
  base::FaultList faults;
  const int64_t draws = options.monte_carlo_draws();
  if (draws != 0 && (draws < rating::kLeastDraws || draws > rating::kMostDraws)) {
    faults.Add({.field = "monte_carlo_draws",
                .message = absl::StrCat(draws, " is out of range"),
                .remedy = absl::StrCat("write a number from ", rating::kLeastDraws,
                                       " to ", rating::kMostDraws,
                                       ", or leave it out for first order")});
  }
  if (!options.against_procedure().empty() && options.procedure().empty()) {
    faults.Add({.field = "against_procedure",
                .message = "there is no procedure to compare it with",
                .remedy = "name one in procedure"});
  }
  if (!options.against_procedure().empty() &&
      options.against_procedure() == options.procedure()) {
    faults.Add({.field = "against_procedure",
                .message = "is the procedure itself",
                .remedy = "name another, such as its other edition"});
  }
  const std::string& day = options.minimum_day();
  if (!day.empty() && !base::IsIsoDate(day)) {
    faults.Add({.field = "minimum_day",
                .message = absl::StrCat("'", base::Printable(day), "' is no day"),
                .remedy = "write it as 2026-03-31"});
  }
  return faults.ToStatus();
}

// Ratings by `procedure`, each with that of the same unit by `against`.
std::vector<v1::RateLineResponse> Paired(const std::vector<document::Rating>& ratings,
                                         const v1::RateLineOptions& options) {
  std::vector<v1::RateLineResponse> items;
  const bool pairs = !options.against_procedure().empty();
  for (const document::Rating& rating : ratings) {
    if (pairs && rating.procedure != options.procedure()) continue;
    v1::RateLineResponse& item = items.emplace_back();
    *item.mutable_rating() = document::ToMessage(rating);
    if (!pairs) continue;
    for (const document::Rating& other : ratings) {
      if (other.unit == rating.unit && other.procedure == options.against_procedure()) {
        *item.mutable_against() = document::ToMessage(other);
      }
    }
  }
  return items;
}

}  // namespace

absl::StatusOr<AnswerSource<v1::RateLineResponse>> RateLine(
    const Engine& engine, const v1::RateLineOptions& options,
    const std::vector<release::LineFile>& files, const StopFunction& stop) {
  RETURN_IF_ERROR(CheckOptions(options));
  ASSIGN_OR_RETURN(release::BuildRequest request, RequestFor(engine, files, stop));
  request.parts = {.maps = false, .ratings = true, .verdicts = false, .tables = false};
  request.only_unit = options.unit();
  request.only_procedure = options.procedure();
  request.also_procedure = options.against_procedure();
  request.published_only = options.published_only();
  request.minimum_day = options.minimum_day();
  request.monte_carlo_draws = options.monte_carlo_draws();
  ASSIGN_OR_RETURN(const document::Release release, engine.build(request));
  return AnswerSource<v1::RateLineResponse>(
      [items = Paired(release.ratings, options),
       next = size_t{0}](v1::RateLineResponse& response) mutable {
        if (next == items.size()) return false;
        response.Swap(&items[next++]);
        return true;
      });
}

absl::StatusOr<v1::ListProceduresResponse> ListProcedures(const Engine& engine) {
  ASSIGN_OR_RETURN(const PublishedFiles* const published, engine.published());
  v1::ListProceduresResponse response;
  for (const document::Procedure& procedure : published->procedures) {
    *response.add_procedures() = SummaryOf(procedure);
  }
  for (const document::MeasurementMethod& method : published->methods) {
    *response.add_methods() = SummaryOf(method);
  }
  for (const document::MinimumLevels& levels : published->minimums) {
    *response.add_minimums() = SummaryOf(levels);
  }
  return response;
}

absl::StatusOr<v1::GetProcedureResponse> GetProcedure(
    const Engine& engine, const v1::GetProcedureRequest& request) {
  ASSIGN_OR_RETURN(const PublishedFiles* const published, engine.published());
  v1::GetProcedureResponse response;
  for (const document::Procedure& procedure : published->procedures) {
    if (procedure.id == request.id())
      *response.mutable_procedure() = SummaryOf(procedure);
  }
  for (const document::MeasurementMethod& method : published->methods) {
    if (method.id == request.id()) *response.mutable_method() = SummaryOf(method);
  }
  for (const document::MinimumLevels& levels : published->minimums) {
    if (levels.id == request.id()) *response.mutable_minimum() = SummaryOf(levels);
  }
  std::vector<std::string> known;
  for (const PublishedFile& file : published->files) {
    known.push_back(file.id);
    if (file.id != request.id()) continue;
    response.set_path(file.path);
    response.set_text(file.text);
    return response;
  }
  return absl::NotFoundError(absl::StrCat(
      "there is no procedure, method or document of minimum levels '",
      base::Printable(request.id()), "'", base::DidYouMean(request.id(), known)));
}

}  // namespace ratebound::service
