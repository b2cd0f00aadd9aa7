// Viscosity and thermal conductivity of water as functions of temperature and density,
// both without the enhancement near the critical point.
//
// Example:
//   double mu_pa_s = ViscosityOfWaterAt(25.0, 998.0);       // 889.7351e-6
//
// T is double or number::Dual<N>. Sources: IAPWS R12-08, equations 10 to 12 with tables 1
// and 2; IAPWS R15-11, equations 15 to 17 with tables 1 and 2. Coefficients from memory;
// water.h says what holds them.
#ifndef RATEBOUND_ENGINE_FLUID_WATER_TRANSPORT_H_
#define RATEBOUND_ENGINE_FLUID_WATER_TRANSPORT_H_

#include <array>
#include <cstddef>
#include <type_traits>

#include "engine/fluid/liquid_chain.h"
#include "engine/fluid/water_region1.h"
#include "engine/number/elementary.h"

namespace ratebound::fluid {
namespace internal {

inline constexpr double kWaterCriticalK = 647.096;
inline constexpr double kWaterCriticalDensity = 322;

// By powers of 1/T - 1 (rows) and of density - 1 (columns), both reduced.
inline constexpr std::array<std::array<double, 7>, 6> kViscosityOfDensity = {{
    {5.20094e-1, 2.22531e-1, -2.81378e-1, 1.61913e-1, -3.25372e-2, 0, 0},
    {8.50895e-2, 9.99115e-1, -9.06851e-1, 2.57399e-1, 0, 0, 0},
    {-1.08374, 1.88797, -7.72479e-1, 0, 0, 0, 0},
    {-2.89555e-1, 1.26613, -4.89837e-1, 0, 6.98452e-2, 0, -4.35673e-3},
    {0, 0, -2.57040e-1, 0, 0, 8.72102e-3, 0},
    {0, 1.20573e-1, 0, 0, 0, 0, -5.93264e-4},
}};
inline constexpr std::array<std::array<double, 6>, 5> kConductivityOfDensity = {{
    {1.60397357, -0.646013523, 0.111443906, 0.102997357, -0.0504123634, 0.00609859258},
    {2.33771842, -2.78843778, 1.53616167, -0.463045512, 0.0832827019, -0.00719201245},
    {2.19650529, -4.54580785, 3.55777244, -1.40944978, 0.275418278, -0.0205938816},
    {-1.21051378, 1.60812989, -0.621178141, 0.0716373224, 0, 0},
    {-2.7203370, 4.57586331, -3.18369245, 1.1168348, -0.19268305, 0.012913842},
}};

template <typename S, std::size_t kCount>
S PolynomialAt(const S& x, const std::array<double, kCount>& coefficients) {
  S sum(coefficients[kCount - 1]);
  for (std::size_t i = kCount - 1; i-- > 0;) sum = sum * x + coefficients[i];
  return sum;
}

template <typename S, std::size_t kRows, std::size_t kColumns>
S PolynomialAt(const S& x, const S& y,
               const std::array<std::array<double, kColumns>, kRows>& coefficients) {
  S sum = PolynomialAt(y, coefficients[kRows - 1]);
  for (std::size_t i = kRows - 1; i-- > 0;) {
    sum = sum * x + PolynomialAt(y, coefficients[i]);
  }
  return sum;
}

// scale sqrt(T) / dilute(1/T) * exp(density dense(1/T - 1, density - 1)).
template <typename T, typename Dilute, typename Dense>
T Transport(const T& t_c, const T& density_kg_m3, double scale, const Dilute& dilute,
            const Dense& dense) {
  return Chained<T>(
      [&](const auto& t, const auto& rho) {
        const auto reduced_t = (t + kZeroCelsiusK) / kWaterCriticalK;
        const auto inverse = 1 / reduced_t;
        const auto density = rho / kWaterCriticalDensity;
        return scale * number::Sqrt(reduced_t) / PolynomialAt(inverse, dilute) *
               number::Exp(density * PolynomialAt(inverse - 1, density - 1, dense));
      },
      t_c, density_kg_m3);
}

}  // namespace internal

// Pa s.
template <typename T>
T ViscosityOfWaterAt(const T& t_c, const std::type_identity_t<T>& density_kg_m3) {
  constexpr std::array<double, 4> kDilute = {1.67752, 2.20462, 0.6366564, -0.241605};
  return internal::Transport<T>(t_c, density_kg_m3, 100e-6, kDilute,
                                internal::kViscosityOfDensity);
}

// W/(m K).
template <typename T>
T ConductivityOfWaterAt(const T& t_c, const std::type_identity_t<T>& density_kg_m3) {
  constexpr std::array<double, 5> kDilute = {2.443221e-3, 1.323095e-2, 6.770357e-3,
                                             -3.454586e-3, 4.096266e-4};
  return internal::Transport<T>(t_c, density_kg_m3, 1e-3, kDilute,
                                internal::kConductivityOfDensity);
}

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_WATER_TRANSPORT_H_
