// The text of the column kernels; see column_kernels.h. Included by one file for each
// instruction set.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_COLUMN_KERNELS_TEXT_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_COLUMN_KERNELS_TEXT_H_

#include "engine/points/reduction/column_kernels.h"
#include "engine/points/reduction/lanes.h"

namespace ratebound::points {
namespace {

// Columns whose derivatives are carried: the eight in front, without condensate and fan.
inline constexpr int kDerivatives = 8;

struct Group {
  Lanes readings[kAirColumns];
  RawMask sound;
};

[[gnu::always_inline]] inline void LoadGroup(const ColumnJob& job, long at, long count,
                                             Group& group) {
  group.sound = RawMask{} == RawMask{};
  for (int c = 0; c < kAirColumns; ++c) {
    if (job.columns[c] == nullptr) {
      group.readings[c] = Lanes(job.constant[c]);
      continue;
    }
    if (count == kLanes) {
      group.readings[c] = Lanes::Load(job.columns[c] + at);
    } else {  // the last few, filled up with the last of them
      double rest[kLanes];
      for (int i = 0; i < kLanes; ++i) {
        rest[i] = job.columns[c][at + (i < count ? i : count - 1)];
      }
      group.readings[c] = Lanes::Load(rest);
    }
    group.sound &= (group.readings[c].raw >= Lanes(job.low[c]).raw) &
                   (group.readings[c].raw <= Lanes(job.high[c]).raw);
  }
}

// Wet bulbs and dew points below the dry bulb.
[[gnu::always_inline]] inline void CheckMoisture(HumidityReading reading, const Lanes& db,
                                                 const Lanes& moisture, RawMask& sound) {
  if (reading == HumidityReading::kWetBulb || reading == HumidityReading::kDewPoint) {
    sound &= moisture.raw <= db.raw;
  }
}

template <class T>
[[gnu::always_inline]] inline void PlaceReadings(const Group& group, AirReadings<T>& in) {
  T* const places[kAirColumns] = {&in.entering_db_c,   &in.entering_moisture,
                                  &in.leaving_db_c,    &in.leaving_moisture,
                                  &in.barometer_pa,    &in.flow,
                                  &in.nozzle_air_db_c, &in.ambient_air_db_c,
                                  &in.condensate_kg_s, &in.fan_w};
  for (int c = 0; c < kAirColumns; ++c) *places[c] = T(group.readings[c]);
}

[[gnu::always_inline]] inline void StoreLanes(const Lanes& lanes, long count,
                                              double* to) {
  if (count == kLanes) {
    lanes.Store(to);
    return;
  }
  double all[kLanes];
  lanes.Store(all);
  for (long i = 0; i < count; ++i) to[i] = all[i];
}

// Results in SI, in the order of AirResult; `use` is called with each.
template <class Form, class T, class Use>
[[gnu::always_inline]] inline void ForEachResult(const ColumnJob& job,
                                                 const AirAnswers<T>& a, const Use& use) {
  using Units = AirUnits<Form>;
  const bool heating = job.constants.heating;
  use(kEnteringW, a.entering.humidity_ratio, 1.0);
  use(kLeavingW, a.leaving.humidity_ratio, 1.0);
  use(kDryAirFlowResult, a.dry_air_flow, Units::kMassFlowKgPerS);
  use(kStandardFlowResult, a.standard_air_flow, Units::kVolumeFlowM3PerS);
  use(kAirFlowResult, a.air_flow, Units::kVolumeFlowM3PerS);
  use(kThroatVelocityResult, a.throat_velocity, Units::kVelocityMPerS);
  use(kTotalResult, a.net_total, Units::kHeatW);
  use(kGrossTotalResult, a.gross_total, Units::kHeatW);
  if (heating) return;
  use(kSensibleResult, a.net_sensible, Units::kHeatW);
  use(kLatentResult, a.latent, Units::kHeatW);
  use(kGrossSensibleResult, a.gross_sensible, Units::kHeatW);
  use(kMoistureResult, a.moisture_removal, Units::kMassFlowKgPerS);
}

template <class Form, class T>
[[gnu::always_inline]] inline void SolveGroup(const ColumnJob& job,
                                              const AirReadings<T>& in, Group& group,
                                              AirAnswers<T>& answers) {
  SolveAir<Form>(job.constants, job.pattern, in, fluid::Phase::kWater,
                 fluid::Phase::kWater, answers);
  if (job.wants(kStandardFlowResult)) SolveStandardAirFlow<Form>(job.constants, answers);
  if (job.wants(kAirFlowResult)) SolveEnteringAirFlow<Form>(job.constants, answers);
  group.sound &= ValueOf(answers.entering.humidity_ratio).raw > Lanes(1e-6).raw;
  group.sound &= ValueOf(answers.leaving.humidity_ratio).raw > Lanes(1e-6).raw;
  group.sound &= ValueOf(answers.net_total).raw != RawLanes{};
}

template <class Form>
[[gnu::always_inline]] inline void PlainGroup(const ColumnJob& job, long at, long count,
                                              Group& group) {
  AirReadings<Lanes> in;
  PlaceReadings(group, in);
  AirAnswers<Lanes> answers;
  SolveGroup<Form>(job, in, group, answers);
  const auto store = [&](int result, const Lanes& value, double unit) {
    if (job.values[result] != nullptr) {
      StoreLanes(value * unit, count, job.values[result] + at);
    }
  };
  ForEachResult<Form>(job, answers, store);
  if (job.wants(kRatioResult)) {
    store(kRatioResult, answers.net_sensible / answers.net_total, 1.0);
  }
}

template <class Form>
[[gnu::always_inline]] inline void UncertainGroup(const ColumnJob& job, long at,
                                                  long count, Group& group) {
  using Dual = LaneDual<kDerivatives>;
  AirReadings<Dual> in;
  Dual* const places[kAirColumns] = {&in.entering_db_c,   &in.entering_moisture,
                                     &in.leaving_db_c,    &in.leaving_moisture,
                                     &in.barometer_pa,    &in.flow,
                                     &in.nozzle_air_db_c, &in.ambient_air_db_c,
                                     &in.condensate_kg_s, &in.fan_w};
  for (int c = 0; c < kAirColumns; ++c) {
    places[c]->value = group.readings[c];
    // Derivatives by the standard uncertainty's worth of each reading.
    if (c < kDerivatives) {
      places[c]->derivative[c] = Lanes(job.standard_uncertainty[c]);
    }
  }
  AirAnswers<Dual> answers;
  SolveGroup<Form>(job, in, group, answers);
  const auto store = [&](int result, const Dual& dual, double unit) {
    if (job.values[result] != nullptr) {
      StoreLanes(dual.value * unit, count, job.values[result] + at);
    }
    if (job.uncertainties[result] == nullptr) return;
    Lanes variance(0.0);
    for (int c = 0; c < kDerivatives; ++c) {
      variance = variance + dual.derivative[c] * dual.derivative[c];
    }
    StoreLanes(Sqrt(variance) * unit, count, job.uncertainties[result] + at);
  };
  ForEachResult<Form>(job, answers, store);
  if (job.wants(kRatioResult)) {
    store(kRatioResult, answers.net_sensible / answers.net_total, 1.0);
  }
}

template <class Form, bool kUncertain>
[[gnu::always_inline]] inline void RunGroups(const ColumnJob& job, long begin, long end,
                                             unsigned char* left) {
  for (long at = begin; at < end; at += kLanes) {
    const long count = end - at < kLanes ? end - at : kLanes;
    Group group;
    LoadGroup(job, at, count, group);
    CheckMoisture(job.pattern.entering, group.readings[kEnteringDb],
                  group.readings[kEnteringMoisture], group.sound);
    if (!job.pattern.leaving_humidity_is_entering) {
      CheckMoisture(job.pattern.leaving, group.readings[kLeavingDb],
                    group.readings[kLeavingMoisture], group.sound);
    }
    if constexpr (kUncertain) {
      UncertainGroup<Form>(job, at, count, group);
    } else {
      PlainGroup<Form>(job, at, count, group);
    }
    for (long i = 0; i < count; ++i) left[at - begin + i] = group.sound[i] == 0;
  }
}

void RunColumns(const ColumnJob& job, long begin, long end, bool with_uncertainty,
                unsigned char* left) {
  if (job.inch_pound) {
    if (with_uncertainty) {
      RunGroups<fluid::InchPound, true>(job, begin, end, left);
    } else {
      RunGroups<fluid::InchPound, false>(job, begin, end, left);
    }
  } else if (with_uncertainty) {
    RunGroups<fluid::Si, true>(job, begin, end, left);
  } else {
    RunGroups<fluid::Si, false>(job, begin, end, left);
  }
}

}  // namespace
}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_COLUMN_KERNELS_TEXT_H_
