#include "engine/screen/coil.h"

#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_split.h"
#include "engine/base/text.h"
#include "engine/screen/figures.h"
#include "engine/screen/humidity.h"

namespace ratebound::screen {
namespace {

using document::SiValue;
using document::TestPoint;

// Vaporisation of water near 10 degC, 2.48 MJ/kg (IAPWS R7-97(2012), rounded, from
// memory): whether a coil was wet does not hang on its third digit.
constexpr double kVaporisationJPerKg = 2.48e6;

struct Scale {
  double floor;
  double telling;
};
constexpr Scale kLatent = {kDryLatentFraction, kTellingLatentFraction};
constexpr Scale kFall = {kDryHumidityFall, kTellingHumidityFall};

class Judge {
 public:
  Judge(const document::LineManifest& manifest, const TestPoint& point)
      : manifest_(manifest), point_(point) {}

  CoilJudgement Run() {
    WeighHumidity();
    WeighLatent();
    WeighWater();
    if (judged_.wet_evidence.empty() != judged_.dry_evidence.empty()) {
      judged_.coil = judged_.wet_evidence.empty() ? Coil::kDry : Coil::kWet;
    }
    return std::move(judged_);
  }

 private:
  void Weigh(double amount, double slack, const Scale& scale, bool can_say_dry,
             std::string text) {
    judged_.measured = true;
    std::string* side = nullptr;
    if (amount > slack && amount > scale.floor) {
      side = &judged_.wet_evidence;
    } else if (can_say_dry && amount <= scale.floor && slack <= scale.telling) {
      side = &judged_.dry_evidence;
    }
    if (side != nullptr && side->empty()) *side = std::move(text);
  }

  double Slack(const SiValue& value, double otherwise_si) const {
    return KnownUncertaintySi(manifest_, value).value_or(otherwise_si);
  }

  void WeighHumidity() {
    const std::optional<Humidity> in = HumidityOf(manifest_, point_, "entering");
    if (!in) return;
    if (const auto out = HumidityOf(manifest_, point_, "leaving")) {
      const double fall = in->ratio - out->ratio;
      const double slack = in->slack + out->slack;
      Weigh(
          fall, slack, kFall, true,
          absl::StrFormat("by %s and %s the humidity ratio falls by %.2f g/kg (readings "
                          "allow %.2f)",
                          in->measured, out->measured, 1000 * fall, 1000 * slack));
    }
    const SiValue* const leaving = point_.FindValue("leaving_air_db");
    if (leaving == nullptr) return;
    const double off_k = Slack(*leaving, kHumidityTemperatureSlackK);
    const double most = SaturatedHumidityRatio(point_, leaving->value_si + off_k);
    if (!std::isfinite(most) || most < 0) return;
    Weigh(in->ratio - most, in->slack, kFall, false,
          absl::StrFormat("air leaving at %.2f degC cannot hold the entering %.2f g/kg",
                          leaving->value_si, 1000 * in->ratio));
  }

  void WeighLatent() {
    const SiValue* const total = point_.FindValue("total_capacity");
    if (total == nullptr || !(total->value_si > 0)) return;
    if (const SiValue* const latent = point_.FindValue("latent_capacity")) {
      const double slack = Slack(*latent, kDryLatentFraction * total->value_si);
      Weigh(latent->value_si / total->value_si, slack / total->value_si, kLatent, true,
            absl::StrFormat("latent_capacity is %.1f %% of total_capacity",
                            100 * latent->value_si / total->value_si));
      return;
    }
    const SiValue* const sensible = point_.FindValue("sensible_capacity");
    if (sensible == nullptr) return;
    const double slack = Slack(*total, kDryLatentFraction * total->value_si) +
                         Slack(*sensible, kDryLatentFraction * total->value_si);
    const double latent = 1 - sensible->value_si / total->value_si;
    Weigh(latent, slack / total->value_si, kLatent, true,
          absl::StrFormat("sensible_capacity is %.1f %% of total_capacity (readings "
                          "allow %.1f %%)",
                          100 * (1 - latent), 100 * slack / total->value_si));
  }

  void WeighWater() {
    const SiValue* const total = point_.FindValue("total_capacity");
    if (total == nullptr || !(total->value_si > 0)) return;
    for (const std::string_view quantity : {"moisture_removal", "condensate_flow"}) {
      const SiValue* const water = point_.FindValue(quantity);
      if (water == nullptr) continue;
      const double part = kVaporisationJPerKg / total->value_si;
      // Moisture removal by the humidities of the air cannot be better than these; a
      // slack that was not given is taken as the least amount that is told.
      const double slack = Slack(*water, kDryLatentFraction / part);
      Weigh(part * water->value_si, part * slack, kLatent, true,
            absl::StrFormat("%s of %s is %.1f %% of total_capacity as heat",
                            std::string(quantity), Shown(quantity, water->value_si),
                            100 * part * water->value_si));
    }
  }

  const document::LineManifest& manifest_;
  const TestPoint& point_;
  CoilJudgement judged_;
};

bool Cools(const points::StagePoints& group) {
  return group.mode->kind == document::ModeKind::kCooling;
}

}  // namespace

Coil DeclaredCoil(std::string_view regime) {
  for (const auto word : absl::StrSplit(base::Absl(regime), absl::ByAnyChar("_- "))) {
    if (word == "wet") return Coil::kWet;
    if (word == "dry") return Coil::kDry;
  }
  return Coil::kUncertain;
}

CoilJudgement JudgeCoil(const document::LineManifest& manifest, const TestPoint& point) {
  return Judge(manifest, point).Run();
}

std::vector<Doubt> CheckCoil(const document::LineManifest& manifest,
                             const points::StagePoints& group) {
  std::vector<Doubt> doubts;
  if (!Cools(group)) return doubts;
  const Coil declared = DeclaredCoil(group.regime);
  for (const TestPoint* point : group.points) {
    const CoilJudgement judged = JudgeCoil(manifest, *point);
    if (!judged.wet_evidence.empty() && !judged.dry_evidence.empty()) {
      doubts.push_back({.kind = "signs of a wet and of a dry coil",
                        .point = point,
                        .message = absl::StrCat(
                            judged.wet_evidence, ", but ", judged.dry_evidence,
                            "; look at the humidity readings and the sensible part")});
      continue;
    }
    if (declared == Coil::kUncertain || judged.coil == Coil::kUncertain ||
        judged.coil == declared) {
      continue;
    }
    const bool wet = judged.coil == Coil::kWet;
    doubts.push_back(
        {.kind = "coil is not as its regime says",
         .point = point,
         .message = absl::StrCat(
             "the coil is ", wet ? "wet" : "dry", " and the regime is ", group.regime,
             ": ", wet ? judged.wet_evidence : judged.dry_evidence,
             "; look at the humidity readings, or give the point the other regime")});
  }
  return doubts;
}

void CheckRegime(const document::LineManifest& manifest, const points::StagePoints& group,
                 FindingList& findings) {
  if (!Cools(group)) return;
  std::vector<std::string> wet_ids;
  std::vector<std::string> dry_ids;
  std::vector<std::string> untold_ids;
  for (const TestPoint* point : group.points) {
    const CoilJudgement judged = JudgeCoil(manifest, *point);
    if (judged.coil == Coil::kWet) wet_ids.push_back(point->id);
    if (judged.coil == Coil::kDry) dry_ids.push_back(point->id);
    if (judged.measured && judged.wet_evidence.empty() && judged.dry_evidence.empty()) {
      untold_ids.push_back(point->id);
    }
  }
  const std::string name = points::NameOf(group);
  if (DeclaredCoil(group.regime) == Coil::kUncertain && !wet_ids.empty() &&
      !dry_ids.empty()) {
    const bool dry_are_fewer = dry_ids.size() <= wet_ids.size();
    findings.Add(document::Severity::kFailure, name,
                 absl::StrCat("wet and dry coils on one surface: ", wet_ids.size(),
                              " point(s) wet, ", dry_ids.size(), " dry; ",
                              dry_are_fewer ? "dry" : "wet", " are ",
                              SpeltIds(dry_are_fewer ? dry_ids : wet_ids),
                              "; give the points a regime each"));
  }
  if (!untold_ids.empty()) {
    findings.Add(document::Severity::kNote, name,
                 absl::StrCat("wet or dry coil cannot be told, within what the readings "
                              "allow, at ",
                              untold_ids.size(), " of ", group.points.size(),
                              " point(s): ", SpeltIds(untold_ids, 8)));
  }
}

}  // namespace ratebound::screen
