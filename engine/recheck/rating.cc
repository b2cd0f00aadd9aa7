#include "engine/recheck/rating.h"

#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/quantity/unit.h"
#include "engine/recheck/span.h"
#include "engine/recheck/verdict.h"

namespace ratebound::recheck {
namespace {

using document::CertifiedRating;
using document::Rating;

// How many of the claim's unit one of the rating's is; 0 where they do not compare.
double ScaleOf(const std::string& from, const std::string& to) {
  if (from == to) return 1;
  const auto from_unit = quantity::FindUnit(from), to_unit = quantity::FindUnit(to);
  if (!from_unit.ok() || !to_unit.ok() || from_unit->reciprocal || to_unit->reciprocal ||
      !from_unit->Measures(to_unit->dimension)) {
    return 0;
  }
  return quantity::DifferenceFromSi(quantity::DifferenceToSi(1, *from_unit), *to_unit);
}

// What differs between certificate and release; empty where nothing does.
std::string Difference(const CertifiedRating& certified, const Rating& rating,
                       double scale) {
  if (!rating.value || !rating.uncertainty) return "no rating that is certain enough";
  if (!(scale > 0)) return "a rating in a unit that does not compare with the claim's";
  const document::MetricUncertainty& sure = *rating.uncertainty;
  if (!SameNumber(certified.value, *rating.value * scale)) return "another rating";
  if (!SameNumber(certified.standard_error, sure.standard_error * scale)) {
    return "another standard error";
  }
  if (!SameNumber(certified.systematic, sure.systematic * scale)) {
    return "another part of the instruments";
  }
  if (!SameNumber(certified.degrees_of_freedom, sure.degrees_of_freedom)) {
    return "other degrees of freedom";
  }
  const bool tested = rating.footing != document::Footing::kExtrapolated &&
                      rating.footing != document::Footing::kPredicted;
  return tested ? "" : "a rating of conditions that were never tested";
}

}  // namespace

absl::Status RecheckRating(const document::Certificate& certificate) {
  const CertifiedRating& rating = *certificate.rating;
  const auto fault = [&](const std::string& what) {
    return CertificateFault(certificate, "rating: " + what);
  };
  const bool finite =
      std::isfinite(rating.value) && std::isfinite(rating.limit) &&
      std::isfinite(rating.standard_error) && std::isfinite(rating.systematic) &&
      std::isfinite(rating.allowance) && std::isfinite(rating.coverage_factor) &&
      std::isfinite(rating.margin);
  if (!certificate.parts.empty() || !finite || rating.standard_error < 0 ||
      rating.systematic < 0 || rating.allowance < 0 || rating.coverage_factor < 0 ||
      !(rating.degrees_of_freedom > 0)) {
    return fault("its figures are none");
  }
  const Span surplus = rating.less_is_better ? Span(rating.limit) - Span(rating.value)
                                             : Span(rating.value) - Span(rating.limit);
  const Span taken = Span(rating.coverage_factor) * Span(rating.standard_error) +
                     Span(rating.systematic) + Span(rating.allowance);
  const bool proven = certificate.outcome == document::Outcome::kProven;
  const bool follows = proven
                           ? rating.margin >= 0 && (surplus - taken).lo >= rating.margin
                           : rating.margin < 0 && (surplus + taken).hi <= rating.margin;
  if (follows) return absl::OkStatus();
  return fault(absl::StrCat("the margin ", rating.margin, " does not follow"));
}

absl::StatusOr<RecheckReport> RecheckRatingAgainst(
    const document::Certificate& certificate, const document::Release& release) {
  const auto fault = [&](const std::string& what) {
    return CertificateFault(certificate, what);
  };
  const CertifiedRating& rating = *certificate.rating;
  ASSIGN_OR_RETURN(const document::Verdict* const verdict,
                   VerdictOf(certificate, release));
  const document::Claim& claim = verdict->text;
  if (!claim.seasonal_floor || claim.seasonal_floor->procedure != rating.procedure) {
    return fault("the claim is not on this rating");
  }
  const document::SeasonalFloor& promised = *claim.seasonal_floor;
  const auto unit = quantity::FindUnit(promised.unit);
  if (rating.unit != promised.unit) return fault("the unit is not the claim's");
  if (rating.limit != promised.at_least ||
      rating.less_is_better != (unit.ok() && unit->reciprocal)) {
    return fault("the limit is not the claim's");
  }
  if (!SameNumber(rating.allowance,
                  claim.allowance.absolute +
                      claim.allowance.relative_fraction * std::fabs(promised.at_least))) {
    return fault("the allowance is not the claim's");
  }
  if (IsLess(rating.coverage_factor,
             QuantileOf(certificate.level, 1, rating.degrees_of_freedom))) {
    return fault("the factor is smaller than the level asks for");
  }
  const std::string name =
      absl::StrCat("the rating of ", claim.unit, " by ", rating.procedure);
  for (const Rating& of_release : release.ratings) {
    if (of_release.unit != claim.unit || of_release.procedure != rating.procedure) {
      continue;
    }
    const double scale = ScaleOf(of_release.metric_unit, promised.unit);
    const std::string difference = Difference(rating, of_release, scale);
    if (!difference.empty()) {
      return fault(absl::StrCat(name, ": the release has ", difference));
    }
    return RecheckReport{
        {{.function = name,
          .why = "rating, standard error and instruments' part are those of the release, "
                 "which the checker has no way of its own to"}}};
  }
  return RecheckReport{
      {{.function = name,
        .why = "the release holds no such rating; standard error and instruments' part "
               "are as stated, too"}}};
}

}  // namespace ratebound::recheck
