#include "engine/fluid/moist_air_columns.h"

#include <algorithm>

#include "engine/number/columns.h"

namespace ratebound::fluid {
namespace {

// Four columns of this length stay in the first-level cache.
constexpr size_t kBlock = 512;

// Up to kBlock states.
template <Formulation Form>
void SaturationBlock(const double* temperature, size_t count,
                     const SaturationCoefficients& c, double* out) {
  double absolute[kBlock];
  double logarithm[kBlock];
  for (size_t i = 0; i < count; ++i) absolute[i] = temperature[i] - Form::kAbsoluteZero;
  number::LogColumn({absolute, count}, {logarithm, count});
  for (size_t i = 0; i < count; ++i) {
    logarithm[i] = internal::LogSaturation(c, absolute[i], logarithm[i]);
  }
  number::ExpColumn({logarithm, count}, {out, count});
}

}  // namespace

template <Formulation Form>
void SaturationPressures(std::span<const double> temperature, Phase phase,
                         std::span<double> out) {
  for (size_t begin = 0; begin < temperature.size(); begin += kBlock) {
    SaturationBlock<Form>(temperature.data() + begin,
                          std::min(kBlock, temperature.size() - begin),
                          internal::CoefficientsOver<Form>(phase), out.data() + begin);
  }
}

template <Formulation Form>
void HumidityRatiosFromWetBulbs(std::span<const double> dry_bulb,
                                std::span<const double> wet_bulb,
                                std::span<const double> pressure, Phase wick,
                                std::span<double> out) {
  double saturation[kBlock];
  for (size_t begin = 0; begin < wet_bulb.size(); begin += kBlock) {
    const size_t count = std::min(kBlock, wet_bulb.size() - begin);
    const double* t = dry_bulb.data() + begin;
    const double* b = wet_bulb.data() + begin;
    const double* p = pressure.data() + begin;
    SaturationBlock<Form>(b, count, internal::CoefficientsOver<Form>(wick), saturation);
    const WickCoefficients c = internal::CoefficientsOfWick<Form>(wick);
    for (size_t i = 0; i < count; ++i) {
      // In place, and read before it is written: `out` may be one of the columns.
      saturation[i] =
          internal::HumidityRatioFromWetBulb<Form>(c, t[i], b[i], p[i], saturation[i]);
    }
    std::copy_n(saturation, count, out.data() + begin);
  }
}

template void SaturationPressures<Si>(std::span<const double>, Phase, std::span<double>);
template void SaturationPressures<InchPound>(std::span<const double>, Phase,
                                             std::span<double>);
template void HumidityRatiosFromWetBulbs<Si>(std::span<const double>,
                                             std::span<const double>,
                                             std::span<const double>, Phase,
                                             std::span<double>);
template void HumidityRatiosFromWetBulbs<InchPound>(std::span<const double>,
                                                    std::span<const double>,
                                                    std::span<const double>, Phase,
                                                    std::span<double>);

}  // namespace ratebound::fluid
