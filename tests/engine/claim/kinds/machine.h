// Stages of an invented machine whose quantities are given functions of water and wet
// bulb, measured on the grid of the fixture with independent noise.
#ifndef RATEBOUND_TESTS_ENGINE_CLAIM_KINDS_MACHINE_H_
#define RATEBOUND_TESTS_ENGINE_CLAIM_KINDS_MACHINE_H_

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tests/engine/claim/fixture.h"

namespace ratebound::claim {

using Truth = std::function<double(double water_c, double wet_bulb_c)>;

// A stage of two quantities; noise in SI.
struct TestStage {
  std::string id;
  std::string quantity, other_quantity;
  TestUnit unit;

  TestStage(std::string name, std::string first, Truth truth, std::string second,
            Truth other, double noise_si)
      : id(std::move(name)),
        quantity(std::move(first)),
        other_quantity(std::move(second)),
        unit(MakeTestUnit(0, id)) {
    testing::Random random("STAGE " + id);
    for (size_t k = 0; k < unit.capacity_w.size(); ++k) {
      const double water_c = unit.columns[0][k], wet_bulb_c = unit.columns[1][k];
      unit.capacity_w[k] = truth(water_c, wet_bulb_c) + noise_si * random.Normal();
      unit.power_w[k] = other(water_c, wet_bulb_c) + noise_si * random.Normal();
    }
    const CombinationPart parts[] = {{quantity, 1}, {other_quantity, 1}};
    unit.map.surfaces = {Fit(std::span(parts, 1)), Fit(std::span(parts + 1, 1))};
  }

  document::Surface Fit(std::span<const CombinationPart> parts) const {
    std::vector<CombinationPart> known;
    for (const CombinationPart& part : parts) {
      known.push_back(
          {part.quantity == quantity ? "total_capacity" : "power_input", part.factor});
    }
    document::Surface surface = unit.Fit(known, 2);
    surface.quantity = parts[0].quantity;
    return surface;
  }

  StageInputs Inputs() const {
    return {.id = id,
            .map = &unit.map,
            .fit = [this](std::span<const CombinationPart> parts, int) {
              return absl::StatusOr<document::Surface>(Fit(parts));
            }};
  }
};

// One after another, all with the same conditions.
struct TestMachine {
  std::vector<std::unique_ptr<TestStage>> stages;
  document::Mode mode;
  document::LineManifest manifest;

  void Add(std::string id, Truth capacity_w, double noise_w) {
    Add(std::move(id), "total_capacity", std::move(capacity_w), "power_input", TruePowerW,
        noise_w);
  }
  void Add(std::string id, std::string quantity, Truth truth, std::string other_quantity,
           Truth other, double noise_si) {
    mode.stages.push_back({.id = id});
    mode.capacity_quantity = "total_capacity";
    mode.power_quantity = "power_input";
    stages.push_back(std::make_unique<TestStage>(
        std::move(id), std::move(quantity), std::move(truth), std::move(other_quantity),
        std::move(other), noise_si));
  }

  absl::StatusOr<document::Verdict> TryDecide(
      const document::Claim& claim, Certification* certification = nullptr) const {
    ClaimInputs inputs{.manifest = manifest,
                       .mode = mode,
                       .map = stages[0]->unit.map,
                       .shares = shares,
                       .certification = certification};
    for (const auto& stage : stages) inputs.stages.push_back(stage->Inputs());
    return DecideClaim(claim, inputs);
  }
  document::Verdict Decide(const document::Claim& claim) const {
    return TryDecide(claim).value();
  }

  bool shares = true;
};

// The whole tested region.
inline document::Claim RegionClaim(double high_water_c = kHighWaterC) {
  document::Claim claim =
      MakeClaim("", document::Relation::kAtLeast, 0, "", kLowWaterC, high_water_c);
  claim.mode = "cooling";
  return claim;
}

// The conditions of a verdict's worst point: water and wet bulb.
inline std::pair<double, double> WorstPoint(const document::Verdict& verdict) {
  return {verdict.worst_point.at(0).value_si, verdict.worst_point.at(1).value_si};
}

// Samples of the region, its corners among them.
inline std::vector<std::pair<double, double>> DenseSamples(int levels = 61) {
  std::vector<std::pair<double, double>> samples;
  for (int i = 0; i < levels; ++i) {
    for (int j = 0; j < levels; ++j) {
      samples.push_back(
          {kLowWaterC + (kHighWaterC - kLowWaterC) * i / (levels - 1),
           kLowWetBulbC + (kHighWetBulbC - kLowWetBulbC) * j / (levels - 1)});
    }
  }
  return samples;
}

}  // namespace ratebound::claim

#endif  // RATEBOUND_TESTS_ENGINE_CLAIM_KINDS_MACHINE_H_
