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

// What a point is left for once it is computed.
template <class T>
[[gnu::always_inline]] inline void CheckAnswers(const AirAnswers<T>& answers,
                                                Group& group) {
  group.sound &= ValueOf(answers.entering.humidity_ratio).raw > Lanes(1e-6).raw;
  group.sound &= ValueOf(answers.leaving.humidity_ratio).raw > Lanes(1e-6).raw;
  group.sound &= ValueOf(answers.net_total).raw != RawLanes{};
}

// Groups that are worked on together, one part of the equations after the other: the
// processor overlaps the long chains of one part over groups, which it cannot over the
// whole.
inline constexpr int kGroupsTogether = 8;

struct Working {
  Group group;
  long at;
  long count;
  AirReadings<Lanes> in;
  AirAnswers<Lanes> answers;
};

template <class Form>
[[gnu::noinline]] void SolveEnteringOf(const ColumnJob& job, Working* all, int groups) {
  for (int g = 0; g < groups; ++g) {
    SolveEntering<Form>(job.constants, job.pattern, all[g].in, fluid::Phase::kWater,
                        all[g].answers);
  }
}
template <class Form>
[[gnu::noinline]] void SolveLeavingOf(const ColumnJob& job, Working* all, int groups) {
  for (int g = 0; g < groups; ++g) {
    SolveLeaving<Form>(job.constants, job.pattern, all[g].in, fluid::Phase::kWater,
                       all[g].answers);
  }
}
template <class Form>
[[gnu::noinline]] void SolveFlowsOf(const ColumnJob& job, Working* all, int groups) {
  for (int g = 0; g < groups; ++g) {
    SolveFlow<Form>(job.constants, all[g].in, all[g].answers);
    if (job.wants(kStandardFlowResult)) {
      SolveStandardAirFlow<Form>(job.constants, all[g].answers);
    }
    if (job.wants(kAirFlowResult)) {
      SolveEnteringAirFlow<Form>(job.constants, all[g].answers);
    }
  }
}
template <class Form>
[[gnu::noinline]] void SolveCapacitiesOf(const ColumnJob& job, Working* all, int groups) {
  for (int g = 0; g < groups; ++g) {
    Working& w = all[g];
    SolveCapacities<Form>(job.constants, w.in, w.answers);
    const auto store = [&](int result, const Lanes& value, double unit) {
      if (job.values[result] != nullptr) {
        StoreLanes(value * unit, w.count, job.values[result] + w.at);
      }
    };
    ForEachResult<Form>(job, w.answers, store);
    if (job.wants(kRatioResult)) {
      store(kRatioResult, w.answers.net_sensible / w.answers.net_total, 1.0);
    }
    CheckAnswers(w.answers, w.group);
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
  SolveAir<Form>(job.constants, job.pattern, in, fluid::Phase::kWater,
                 fluid::Phase::kWater, answers);
  CheckAnswers(answers, group);
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

[[gnu::always_inline]] inline void LoadAndCheck(const ColumnJob& job, long at, long count,
                                                Group& group) {
  LoadGroup(job, at, count, group);
  CheckMoisture(job.pattern.entering, group.readings[kEnteringDb],
                group.readings[kEnteringMoisture], group.sound);
  if (!job.pattern.leaving_humidity_is_entering) {
    CheckMoisture(job.pattern.leaving, group.readings[kLeavingDb],
                  group.readings[kLeavingMoisture], group.sound);
  }
}

[[gnu::always_inline]] inline void MarkLeft(const Group& group, long count,
                                            unsigned char* left) {
  for (long i = 0; i < count; ++i) left[i] = group.sound[i] == 0;
}

template <class Form>
void RunPlain(const ColumnJob& job, long begin, long end, unsigned char* left) {
  Working all[kGroupsTogether];
  for (long at = begin; at < end;) {
    int groups = 0;
    for (; groups < kGroupsTogether && at < end; ++groups, at += kLanes) {
      Working& w = all[groups];
      w.at = at;
      w.count = end - at < kLanes ? end - at : kLanes;
      LoadAndCheck(job, at, w.count, w.group);
      PlaceReadings(w.group, w.in);
    }
    SolveEnteringOf<Form>(job, all, groups);
    SolveLeavingOf<Form>(job, all, groups);
    SolveFlowsOf<Form>(job, all, groups);
    SolveCapacitiesOf<Form>(job, all, groups);
    for (int g = 0; g < groups; ++g) {
      MarkLeft(all[g].group, all[g].count, left + (all[g].at - begin));
    }
  }
}

template <class Form>
void RunUncertain(const ColumnJob& job, long begin, long end, unsigned char* left) {
  for (long at = begin; at < end; at += kLanes) {
    const long count = end - at < kLanes ? end - at : kLanes;
    Group group;
    LoadAndCheck(job, at, count, group);
    UncertainGroup<Form>(job, at, count, group);
    MarkLeft(group, count, left + (at - begin));
  }
}

void RunColumns(const ColumnJob& job, long begin, long end, bool with_uncertainty,
                unsigned char* left) {
  if (job.inch_pound) {
    (with_uncertainty ? RunUncertain<fluid::InchPound>
                      : RunPlain<fluid::InchPound>)(job, begin, end, left);
  } else {
    (with_uncertainty ? RunUncertain<fluid::Si> : RunPlain<fluid::Si>)(job, begin, end,
                                                                       left);
  }
}

}  // namespace
}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_COLUMN_KERNELS_TEXT_H_
