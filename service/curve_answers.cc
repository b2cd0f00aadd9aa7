#include "service/curve_answers.h"

#include <memory>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/convert.h"
#include "engine/map/curve_answer.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"
#include "service/request_check.h"

namespace ratebound::service {
namespace {

absl::StatusOr<const document::CurveFit*> FindCurve(const document::Release& release,
                                                    const std::string& unit,
                                                    const std::string& id) {
  std::vector<std::string> known;
  for (const document::CurveFit& curve : release.curves) {
    if (curve.unit != unit) continue;
    if (curve.id == id) return &curve;
    known.push_back(curve.id);
  }
  if (id.empty() && known.size() == 1) return FindCurve(release, unit, known[0]);
  if (known.empty()) {
    return absl::NotFoundError(
        absl::StrCat("unit '", unit, "' has no curves; list them in its manifest"));
  }
  return absl::NotFoundError(
      id.empty() ? absl::StrCat("unit '", unit, "' has several curves; name one of ",
                                absl::StrJoin(known, ", "))
                 : absl::StrCat("unit '", unit, "' has no curve '", base::Printable(id),
                                "'", base::DidYouMean(id, known), "; it has ",
                                absl::StrJoin(known, ", ")));
}

absl::StatusOr<std::vector<document::SiValue>> ReadConditions(
    const v1::EvaluateCurveRequest& request) {
  base::FaultList faults;
  std::vector<document::SiValue> conditions;
  for (int i = 0; i < request.conditions_size(); ++i) {
    const v1::Measure& measure = request.conditions(i);
    const auto fault = [&](const absl::Status& status) {
      faults.Add({.field = absl::StrCat("conditions[", i, "]"),
                  .message = std::string(status.message())});
    };
    const auto quantity = quantity::FindQuantity(measure.quantity());
    if (!quantity.ok()) {
      fault(quantity.status());
      continue;
    }
    const auto unit = quantity::FindUnit(measure.unit(), (*quantity)->dimension);
    if (!unit.ok()) {
      fault(unit.status());
      continue;
    }
    const double value_si = quantity::ToSi(measure.value(), *unit);
    if (const absl::Status plausible = quantity::CheckPlausible(**quantity, value_si);
        !plausible.ok()) {
      fault(plausible);
      continue;
    }
    conditions.push_back({.quantity = measure.quantity(), .value_si = value_si});
  }
  if (!faults.empty()) return faults.ToStatus();
  return conditions;
}

}  // namespace

absl::Status EvaluateCurve(ReleaseLibrary& library,
                           const v1::EvaluateCurveRequest& request,
                           v1::EvaluateCurveResponse* response) {
  RETURN_IF_ERROR(CheckFinite(request));
  ASSIGN_OR_RETURN(const std::vector<document::SiValue> conditions,
                   ReadConditions(request));
  ASSIGN_OR_RETURN(const std::shared_ptr<const OpenRelease> open,
                   library.OpenUnit(request.release(), request.unit()));
  const document::Release& release = open->release;
  ASSIGN_OR_RETURN(const document::CurveFit* const curve,
                   FindCurve(release, request.unit(), request.curve()));
  const document::CurveRequest* asked = nullptr;
  for (const document::Unit& unit : release.manifest.units) {
    if (unit.id != curve->unit) continue;
    for (const document::CurveRequest& each : unit.curves) {
      if (each.id == curve->id) asked = &each;
    }
  }
  if (asked == nullptr) {
    return absl::DataLossError(absl::StrCat("the manifest of release ", open->digest,
                                            " does not ask for curve ", curve->id));
  }
  ASSIGN_OR_RETURN(
      const map::CurveAnswer answer,
      map::AnswerCurve(*asked, *curve, conditions,
                       {request.liquid(), request.concentration_fraction()}));
  response->set_effective_release(open->digest);
  response->set_effective_curve(curve->id);
  response->set_footing(document::ToMessage(answer.footing));
  response->set_footing_reason(answer.footing_reason);
  for (const document::SiValue& value : answer.figures) {
    ASSIGN_OR_RETURN(const quantity::Quantity* const quantity,
                     quantity::FindQuantity(value.quantity));
    v1::Figure* const figure = response->add_figures();
    figure->set_quantity(value.quantity);
    figure->set_value(value.value_si);
    figure->set_unit(std::string(quantity::SiUnit(quantity->dimension).name));
  }
  for (const std::string& warning : curve->warnings) response->add_warnings(warning);
  for (const std::string& caution : release.manifest.cautions) {
    response->add_cautions(caution);
  }
  return absl::OkStatus();
}

}  // namespace ratebound::service
