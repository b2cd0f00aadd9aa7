#include "engine/map/model_candidates.h"

#include <algorithm>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::map {
namespace {

using document::ConditionTransform;
using document::ModelFamily;
using document::ResponseTransform;
using document::SurfaceForm;

bool IsTemperature(const std::string& name) {
  const auto quantity = quantity::FindQuantity(name);
  return quantity.ok() && (*quantity)->dimension == quantity::Dimension::kTemperature;
}

std::vector<int> CapsOf(const std::vector<int>& levels, int degree) {
  std::vector<int> caps;
  for (int level : levels) caps.push_back(std::min(degree, level - 1));
  return caps;
}

// "degree 3, entering_water_temp up to 1"
std::string CappedName(std::span<const std::string> conditions, int degree,
                       const std::vector<int>& caps) {
  std::string name = absl::StrCat("degree ", degree);
  for (size_t j = 0; j < caps.size(); ++j) {
    if (caps[j] >= degree) continue;
    absl::StrAppend(&name, ", ", conditions[j], " up to ", caps[j]);
  }
  return name;
}

void AddDegrees(std::string_view prefix, const std::optional<SurfaceForm>& form,
                std::vector<ModelCandidate>& all) {
  for (int degree = 1; degree <= kGreatestTableDegree; ++degree) {
    all.push_back({.name = absl::StrCat(std::string(prefix), "degree ", degree),
                   .degree = degree,
                   .form = form});
  }
}

void AddCapped(std::span<const std::string> conditions, const std::vector<int>& levels,
               std::vector<ModelCandidate>& all) {
  for (int degree = 2; degree <= kGreatestTableDegree; ++degree) {
    std::vector<int> caps = CapsOf(levels, degree);
    const auto [least, most] = std::minmax_element(caps.begin(), caps.end());
    if (*least == degree || *least < 1) continue;  // no cap, or nothing to fit
    if (*most < degree) continue;                  // of no higher powers than before
    all.push_back({.name = CappedName(conditions, degree, caps),
                   .degree = degree,
                   .caps = std::move(caps)});
  }
}

void AddJoint(const CandidateScope& scope, std::vector<ModelCandidate>& all) {
  if (scope.joint_conditions.empty()) return;
  for (int degree = 1; degree <= kGreatestTableDegree; ++degree) {
    std::vector<int> caps(scope.joint_levels.size(), degree);
    caps.back() = std::min(degree, std::max(1, scope.joint_levels.back() - 1));
    all.push_back({.name = absl::StrCat("stages together, ",
                                        CappedName(scope.joint_conditions, degree, caps)),
                   .degree = degree,
                   .caps = std::move(caps),
                   .joint = true});
  }
}

}  // namespace

std::vector<ModelCandidate> CandidatesOf(const CandidateScope& scope,
                                         const document::ModelRequest* request) {
  std::vector<ModelCandidate> all;
  const auto asked = [&](ModelFamily family) {
    return request != nullptr &&
           std::find(request->families.begin(), request->families.end(), family) !=
               request->families.end();
  };
  if (request == nullptr || asked(ModelFamily::kTotalDegree)) {
    AddDegrees("", {}, all);
    if (request != nullptr && IsTenCoefficientForm(scope.conditions, all.back())) {
      all.back().name = "degree 3 (ten coefficients)";
    }
  }
  if (request == nullptr) return all;
  if (asked(ModelFamily::kConditionDegrees)) {
    AddCapped(scope.conditions, scope.levels, all);
  }
  // Zero of a temperature scale is arbitrary, and so would its logarithm be.
  if (asked(ModelFamily::kLogResponse) && !IsTemperature(scope.quantity)) {
    AddDegrees("logarithm, ", SurfaceForm{.response_transform = ResponseTransform::kLog},
               all);
  }
  if (asked(ModelFamily::kReciprocalTemperature)) {
    SurfaceForm form;
    bool any = false;
    for (const std::string& condition : scope.conditions) {
      const bool turned = IsTemperature(condition);
      any = any || turned;
      form.condition_transforms.push_back(turned ? ConditionTransform::kReciprocalAbsolute
                                                 : ConditionTransform::kNone);
    }
    if (any) AddDegrees("reciprocal temperatures, ", form, all);
  }
  if (asked(ModelFamily::kCarnot) && scope.is_power) {
    AddDegrees("Carnot factor, ",
               SurfaceForm{.response_transform = ResponseTransform::kCarnot,
                           .sink_condition = request->sink_condition,
                           .source_condition = request->source_condition,
                           .approach_k = request->approach_k,
                           .heating = scope.heating},
               all);
  }
  if (asked(ModelFamily::kJointStages)) AddJoint(scope, all);
  return all;
}

bool IsTenCoefficientForm(std::span<const std::string> conditions,
                          const ModelCandidate& candidate) {
  return candidate.degree == 3 && candidate.caps.empty() && !candidate.form &&
         !candidate.joint && conditions.size() == 2 && IsTemperature(conditions[0]) &&
         IsTemperature(conditions[1]);
}

}  // namespace ratebound::map
