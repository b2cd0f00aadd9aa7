#include "tests/claims_campaign/campaign.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/claim/decide.h"
#include "engine/claim/level.h"
#include "engine/claim/regional_constant.h"
#include "engine/map/fit_response.h"
#include "engine/map/model_surface.h"
#include "engine/map/model_weights.h"
#include "engine/map/regional_ratios.h"
#include "tests/claims_campaign/laboratory.h"

namespace ratebound::claim {
namespace {

constexpr double kConfidence = 0.95;         // as shipped
constexpr double kNominalConfidence = 0.90;  // a first look at 5 %
constexpr int kPowerEvery = 10;
constexpr int kGridSteps = 12;

bool IsRatio(const CampaignPlan& plan) {
  return plan.quantity == "coefficient_of_performance";
}

// A response of the laboratory, or a combination, as it is fitted.
struct Response {
  std::string quantity;
  std::vector<double> values;
  std::vector<double> standard;

  map::ResponseProblem Problem(const Laboratory& lab,
                               const std::vector<std::string>& conditions) const {
    return {.quantity = quantity,
            .values = values,
            .conditions = conditions,
            .columns = lab.columns,
            .point_ids = lab.ids,
            .blocks = lab.blocks,
            .standard_si = standard};
  }
};

Response Combine(const Laboratory& lab, std::span<const CombinationPart> parts) {
  Response response{.quantity = parts[0].quantity};
  response.values.assign(lab.ids.size(), 0.0);
  std::vector<double> squares(lab.capacity_standard_w.size(), 0.0);
  for (const CombinationPart& part : parts) {
    const bool power = part.quantity == "power_input";
    const std::vector<double>& values = power ? lab.power_w : lab.capacity_w;
    for (size_t k = 0; k < values.size(); ++k) {
      response.values[k] += part.factor * values[k];
    }
    const auto& standard = power ? lab.power_standard_w : lab.capacity_standard_w;
    for (size_t k = 0; k < standard.size(); ++k) {
      squares[k] += part.factor * part.factor * standard[k] * standard[k];
    }
  }
  std::vector<double> random;
  for (const double square : squares) random.push_back(std::sqrt(square));
  response.standard = map::CountingStandard(lab.columns, response.values, random);
  return response;
}

// The degree of the proof; empty where the points choose none.
std::optional<int> ProofDegree(const CampaignPlan& plan, const Response& response,
                               const Laboratory& lab,
                               const std::vector<std::string>& conditions) {
  if (plan.model == ProofModel::kDeclared) return plan.degree;
  using enum document::ModelFamily;
  const document::ModelRequest request = {
      .families = {kTotalDegree, kLogResponse, kReciprocalTemperature}};
  map::ModelOptions options{.is_power = response.quantity == "power_input"};
  if (plan.model == ProofModel::kOneAboveRule) options.request = &request;
  const auto best = map::FitBestResponse(response.Problem(lab, conditions), options);
  if (!best.ok()) return {};
  return std::min(best->highest_degree + 1, map::kGreatestDegree);
}

document::Claim ClaimAt(const CampaignPlan& plan, double limit_si, double confidence) {
  const ConditionSpan water = WaterOf(plan.machine), wet_bulb = WetBulbOf(plan.machine);
  const auto range = [](const std::string& quantity, const ConditionSpan& span) {
    const double low_c = span.low_c + InsetOf(span), high_c = span.high_c - InsetOf(span);
    return document::MeasureRange{quantity, low_c, high_c, "degC", low_c, high_c};
  };
  return {
      .id = "edge",
      .quantity = plan.quantity,
      .relation =
          plan.at_least ? document::Relation::kAtLeast : document::Relation::kAtMost,
      .limit = limit_si,
      .limit_unit = IsRatio(plan) ? "W/W" : "W",
      .limit_si = limit_si,
      .region = {range("entering_water_temp", water), range("entering_air_wb", wet_bulb)},
      .confidence = confidence,
      .allowance = {.relative_fraction = plan.allowance_fraction}};
}

// Estimates and standard errors over the region, as margins: above 0 where it holds.
struct GridPoint {
  double margin = 0;
  double standard_error = 0;
};

std::vector<GridPoint> OverGrid(const CampaignPlan& plan,
                                const document::Surface& surface,
                                const std::vector<std::string>& conditions,
                                double limit_si) {
  const auto evaluated = map::ModelSurface::Create(surface, conditions);
  std::vector<GridPoint> grid;
  if (!evaluated.ok()) return grid;
  const document::Claim claim = ClaimAt(plan, limit_si, kConfidence);
  const double sign = plan.at_least ? 1 : -1;
  for (int i = 0; i <= kGridSteps; ++i) {
    for (int j = 0; j <= kGridSteps; ++j) {
      const auto in = [](const document::MeasureRange& range, int step) {
        return range.low_si + (range.high_si - range.low_si) * step / kGridSteps;
      };
      const double x[] = {in(claim.region[0], i), in(claim.region[1], j)};
      grid.push_back(
          {sign * (evaluated->At(x) - limit_si), evaluated->StandardErrorAt(x)});
    }
  }
  return grid;
}

// One laboratory campaign of one stage.
class Stage {
 public:
  Stage(const CampaignPlan& plan, testing::Random& random)
      : plan_(plan), lab_(Measure(plan, random)) {
    map_.conditions = {"entering_water_temp", "entering_air_wb"};
    for (const std::vector<double>& column : lab_.columns) {
      map_.tested_low_si.push_back(*std::min_element(column.begin(), column.end()));
      map_.tested_high_si.push_back(*std::max_element(column.begin(), column.end()));
    }
    for (size_t k = 0; k < lab_.ids.size(); ++k) {
      for (const std::vector<double>& column : lab_.columns) {
        map_.point_conditions_si.push_back(column[k]);
      }
    }
    map_.point_ids = lab_.ids;
    for (const char* quantity : {"total_capacity", "power_input"}) {
      if (!IsRatio(plan) && plan.quantity != quantity) continue;
      const CombinationPart part[] = {{quantity, 1}};
      const Response response = Combine(lab_, part);
      const auto degree = ProofDegree(plan, response, lab_, map_.conditions);
      if (!degree) continue;
      auto surface = Fit(part, *degree);
      if (surface.ok()) map_.surfaces.push_back(*std::move(surface));
    }
  }

  absl::StatusOr<document::Surface> Fit(std::span<const CombinationPart> parts,
                                        int degree) const {
    auto fitted = map::FitResponse(Combine(lab_, parts).Problem(lab_, map_.conditions),
                                   degree, document::SurfacePurpose::kProof);
    if (!fitted.ok()) return fitted.status();
    return std::move(fitted->surface);
  }

  StageInputs Inputs() const {
    return {.map = &map_,
            .fit = [this](std::span<const CombinationPart> parts, int degree) {
              return Fit(parts, degree);
            }};
  }

  // Where the one surface decides: not for ratios.
  const document::Surface* surface() const {
    return map_.surfaces.size() == 1 && !map_.surfaces[0].covariance_si.empty()
               ? &map_.surfaces[0]
               : nullptr;
  }
  const std::vector<std::string>& conditions() const { return map_.conditions; }

  // Whether the band with the region's own constant refutes.
  bool RegionRefutes(double limit_si, double level) const {
    if (surface() == nullptr) return false;
    const double allowance = plan_.allowance_fraction * std::fabs(limit_si);
    double worst = 0;  // in standard errors
    for (const GridPoint& point : OverGrid(plan_, *surface(), conditions(), limit_si)) {
      worst = std::max(worst, -(point.margin + allowance) / point.standard_error);
    }
    // Below what four vertices take that err apart by known standard deviations, the
    // constant need not be worked out.
    if (worst <= ProvingFactor(level / 4, 1e6)) return false;
    const CombinationPart part[] = {{plan_.quantity, 1}};
    const Response response = Combine(lab_, part);
    const document::Claim claim = ClaimAt(plan_, limit_si, kConfidence);
    const double low[] = {claim.region[0].low_si, claim.region[1].low_si};
    const double high[] = {claim.region[0].high_si, claim.region[1].high_si};
    const auto ratios = map::RegionalRatios(response.Problem(lab_, conditions()),
                                            surface()->degree, low, high, kRegionalDraws);
    if (!ratios.ok()) return false;
    const int terms = static_cast<int>(surface()->coefficients_si.size());
    double factor = RegionalFactor(*ratios, terms, kDrawnError, level);
    const auto everywhere =
        RefutingFactor(level, terms, BandDegrees(*surface()), surface()->cluster_robust);
    if (everywhere) factor = std::min(factor, *everywhere);
    return worst > factor;
  }

 private:
  const CampaignPlan& plan_;
  Laboratory lab_;
  document::StageMap map_;
};

std::optional<document::Verdict> Decide(const CampaignPlan& plan,
                                        const std::vector<Stage>& stages, double limit_si,
                                        double confidence) {
  const document::LineManifest manifest = ManifestOf(plan);
  document::Mode mode;
  mode.capacity_quantity = "total_capacity";
  mode.power_quantity = "power_input";
  document::Claim claim = ClaimAt(plan, limit_si, confidence);
  if (stages.size() > 1) claim.serving.emplace();
  std::vector<StageInputs> inputs;
  for (const Stage& stage : stages) {
    inputs.push_back(stage.Inputs());
    inputs.back().id = absl::StrCat("stage-", inputs.size());
  }
  auto verdict = DecideClaim(claim, {.manifest = manifest,
                                     .mode = mode,
                                     .map = *inputs.front().map,
                                     .stages = inputs,
                                     .shares = false});
  if (!verdict.ok()) return {};
  return *std::move(verdict);
}

// The first with the region's own constant in place of the band.
bool RegionRefutes(const CampaignPlan& plan, const std::vector<Stage>& stages,
                   double limit_si, double level) {
  return stages.size() == 1 && !plan.biased && stages[0].RegionRefutes(limit_si, level);
}

void RunOne(const CampaignPlan& plan, double limit_si, bool power,
            testing::Random& random, Rates& rates) {
  using enum document::Outcome;
  std::vector<Stage> stages;
  for (int k = 0; k < plan.stages; ++k) stages.emplace_back(plan, random);
  rates.level = LookLevel(kConfidence, 1);
  const auto nominal = Decide(plan, stages, limit_si, kNominalConfidence);
  if (!nominal) {
    ++rates.undecided;
    return;
  }
  const bool proven = nominal->outcome == kProven;
  const bool refuted = nominal->outcome == kRefuted;
  rates.nominal_proven += proven;
  rates.nominal_refuted += refuted;
  rates.model += nominal->reason == document::NotShownReason::kModel;
  // A stricter level shows no more.
  if (proven || refuted) {
    const auto shipped = Decide(plan, stages, limit_si, kConfidence);
    rates.proven += shipped && shipped->outcome == kProven;
    rates.refuted += shipped && shipped->outcome == kRefuted;
  }
  rates.nominal_refuted_regional +=
      RegionRefutes(plan, stages, limit_si, LookLevel(kNominalConfidence, 1));
  if (!power) return;
  ++rates.power_asked;
  const double sign = plan.at_least ? 1 : -1;
  const auto truer =
      Decide(plan, stages, limit_si * (1 - sign * plan.power_distance), kConfidence);
  rates.power_proven += truer && truer->outcome == kProven;
  const double falser_si = limit_si * (1 + sign * plan.power_distance);
  const auto falser = Decide(plan, stages, falser_si, kConfidence);
  rates.power_refuted += falser && falser->outcome == kRefuted;
  rates.power_refuted_regional += RegionRefutes(plan, stages, falser_si, rates.level);
}

}  // namespace

void Rates::Add(const Rates& other) {
  campaigns += other.campaigns;
  proven += other.proven;
  refuted += other.refuted;
  model += other.model;
  undecided += other.undecided;
  level = other.level;
  nominal_proven += other.nominal_proven;
  nominal_refuted += other.nominal_refuted;
  nominal_refuted_regional += other.nominal_refuted_regional;
  power_asked += other.power_asked;
  power_proven += other.power_proven;
  power_refuted += other.power_refuted;
  power_refuted_regional += other.power_refuted_regional;
}

Rates RunPart(const CampaignPlan& plan, int part, int campaigns) {
  testing::Random random(absl::StrCat(plan.name, " ", part));
  const double limit_si = TrueExtreme(plan);
  Rates rates;
  for (; rates.campaigns < campaigns; ++rates.campaigns) {
    const bool power = plan.power_distance > 0 && rates.campaigns % kPowerEvery == 0;
    RunOne(plan, limit_si, power, random, rates);
  }
  return rates;
}

Rates RunCampaign(const CampaignPlan& plan) {
  Rates rates;
  for (int part = 0; part * kCampaignsOfAPart < plan.campaigns; ++part) {
    rates.Add(
        RunPart(plan, part,
                std::min(kCampaignsOfAPart, plan.campaigns - part * kCampaignsOfAPart)));
  }
  return rates;
}

}  // namespace ratebound::claim
