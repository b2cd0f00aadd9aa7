#include "engine/rating/rate.h"

#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/rating/function_figure_source.h"
#include "engine/rating/metric.h"
#include "engine/rating/missing.h"
#include "engine/rating/scope.h"
#include "engine/rating/unconfirmed.h"

namespace ratebound::rating {
namespace {

using document::Procedure;
using document::Rating;

absl::Status CheckPublished(const Procedure& procedure,
                            const std::vector<std::string>& unconfirmed) {
  if (unconfirmed.empty()) return absl::OkStatus();
  return absl::FailedPreconditionError(absl::StrCat(
      "only published text was asked for, and procedure ", procedure.id, " rests on ",
      unconfirmed.size(), " facts that were not read in the published document: ",
      absl::StrJoin(unconfirmed, "; ")));
}

// Value, footing, trace and notes of the source. FAILED_PRECONDITION is a refusal.
absl::StatusOr<Rating> Compute(const Procedure& procedure, const FigureSource& source,
                               const RateOptions& options,
                               const std::vector<std::string>& unconfirmed) {
  if (options.published_only) RETURN_IF_ERROR(CheckPublished(procedure, unconfirmed));
  if (!options.day.empty()) RETURN_IF_ERROR(CheckDay(procedure, options.day));
  ASSIGN_OR_RETURN(const Metric metric, Metric::Compile(procedure, source.description()));
  return metric.Explain(source);
}

}  // namespace

absl::StatusOr<Rating> RateSource(const Procedure& procedure, const FigureSource& source,
                                  const RateOptions& options) {
  std::vector<std::string> unconfirmed = UnconfirmedNumbers(procedure);
  absl::StatusOr<Rating> computed = Compute(procedure, source, options, unconfirmed);
  Rating rating;
  if (computed.ok()) {
    rating = *std::move(computed);
  } else if (absl::IsFailedPrecondition(computed.status())) {
    rating.refusal = std::string(computed.status().message());
  } else {
    return computed.status();
  }
  rating.unit = source.description().unit.id;
  rating.procedure = procedure.id;
  rating.edition = absl::StrCat(procedure.document, " ", procedure.edition);
  rating.metric = procedure.metric;
  rating.metric_unit = procedure.metric_unit;

  std::vector<std::string> notes = procedure.notes;
  if (!unconfirmed.empty()) {
    notes.push_back(absl::StrCat("rests on ", unconfirmed.size(),
                                 " facts of the procedure that were not read in "
                                 "the published document; confirm them",
                                 " against a licensed copy before publication"));
  }
  for (std::string& note : rating.notes) notes.push_back(std::move(note));
  rating.notes = std::move(notes);
  rating.unconfirmed_numbers = std::move(unconfirmed);

  MissingData missing;
  FindMissing(procedure, source, missing);
  rating.missing_points = std::move(missing.points);
  rating.missing_inputs = std::move(missing.inputs);
  return rating;
}

absl::StatusOr<Rating> RateUnit(const Procedure& procedure, const RatedUnit& rated_unit,
                                const RateOptions& options) {
  return RateSource(procedure, RatedUnitSource(rated_unit, QuantitiesOf(procedure)),
                    options);
}

}  // namespace ratebound::rating
