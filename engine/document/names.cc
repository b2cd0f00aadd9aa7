#include "engine/document/claim.h"
#include "engine/document/measure.h"
#include "engine/document/minimum.h"
#include "engine/document/procedure.h"
#include "engine/document/shape.h"

namespace ratebound::document {

std::string FootingName(Footing footing) {
  switch (footing) {
    case Footing::kUnspecified:
      return "";
    case Footing::kTested:
      return "tested";
    case Footing::kInterpolated:
      return "interpolated";
    case Footing::kExtrapolated:
      return "extrapolated";
    case Footing::kPredicted:
      return "predicted";
  }
  return "";
}

Footing Weaker(Footing a, Footing b) { return a < b ? b : a; }

std::string VerdictName(Outcome outcome, NotShownReason reason) {
  switch (outcome) {
    case Outcome::kProven:
      return "PROVEN";
    case Outcome::kRefuted:
      return "REFUTED";
    case Outcome::kObserved:
      return "OBSERVED";
    case Outcome::kNotShown:
      break;
  }
  switch (reason) {
    case NotShownReason::kNone:
      return "NOT_SHOWN";
    case NotShownReason::kUncertain:
      return "NOT_SHOWN (UNCERTAIN)";
    case NotShownReason::kUntested:
      return "NOT_SHOWN (UNTESTED)";
    case NotShownReason::kModel:
      return "NOT_SHOWN (MODEL)";
    case NotShownReason::kBudget:
      return "NOT_SHOWN (BUDGET)";
  }
  return "NOT_SHOWN";
}

std::string ShapeOutcomeName(ShapeOutcome outcome) {
  switch (outcome) {
    case ShapeOutcome::kUnspecified:
      return "";
    case ShapeOutcome::kProven:
      return "PROVEN";
    case ShapeOutcome::kRefuted:
      return "REFUTED";
    case ShapeOutcome::kUndecided:
      return "UNDECIDED";
    case ShapeOutcome::kNotJudged:
      return "NOT_JUDGED";
  }
  return "";
}

std::string MinimumOutcomeName(MinimumOutcome outcome) {
  switch (outcome) {
    case MinimumOutcome::kMeets:
      return "meets";
    case MinimumOutcome::kDoesNotMeet:
      return "does not meet";
    case MinimumOutcome::kNotKnown:
      return "not known";
  }
  return "";
}

std::string BasisName(Basis basis) {
  switch (basis) {
    case Basis::kUnspecified:
      return "";
    case Basis::kPublishedText:
      return "PUBLISHED_TEXT";
    case Basis::kSecondaryText:
      return "SECONDARY_TEXT";
    case Basis::kMemory:
      return "MEMORY";
  }
  return "";
}

}  // namespace ratebound::document
