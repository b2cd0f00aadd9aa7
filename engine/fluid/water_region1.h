// The Gibbs function of liquid water and its derivatives: IAPWS R7-97(2012) (IF97),
// equation 7 and table 2, region 1. What stands on it is in water.h.
//
// All derivatives are sums over the same 34 monomials with other whole-number weights, so
// the monomials are made once for a state and each derivative is 34 products, in four
// sums side by side whose order is fixed.
#ifndef RATEBOUND_ENGINE_FLUID_WATER_REGION1_H_
#define RATEBOUND_ENGINE_FLUID_WATER_REGION1_H_

#include <array>
#include <type_traits>

#include "engine/number/dual.h"

namespace ratebound::fluid {

inline constexpr double kZeroCelsiusK = 273.15;
// Specific gas constant of water of IF97, J/(kg K).
inline constexpr double kWaterGasConstant = 461.526;

namespace internal {

// A multiple of the four sums; what is left over has a weight of zero.
inline constexpr int kRegion1Terms = 36;
inline constexpr double kRegion1PressurePa = 16.53e6;
inline constexpr double kRegion1TemperatureK = 1386;

struct Region1Term {
  int i;
  int j;
  double n;
};
inline constexpr std::array<Region1Term, kRegion1Terms> kRegion1 = {{
    {0, -2, 0.14632971213167},
    {0, -1, -0.84548187169114},
    {0, 0, -3.756360367204},
    {0, 1, 3.3855169168385},
    {0, 2, -0.95791963387872},
    {0, 3, 0.15772038513228},
    {0, 4, -0.016616417199501},
    {0, 5, 8.1214629983568e-4},
    {1, -9, 2.8319080123804e-4},
    {1, -7, -6.0706301565874e-4},
    {1, -1, -0.018990068218419},
    {1, 0, -0.032529748770505},
    {1, 1, -0.021841717175414},
    {1, 3, -5.2838357969930e-5},
    {2, -3, -4.7184321073267e-4},
    {2, 0, -3.0001780793026e-4},
    {2, 1, 4.7661393906987e-5},
    {2, 3, -4.4141845330846e-6},
    {2, 17, -7.2694996297594e-16},
    {3, -4, -3.1679644845054e-5},
    {3, 0, -2.8270797985312e-6},
    {3, 6, -8.5205128120103e-10},
    {4, -5, -2.2425281908e-6},
    {4, -2, -6.5171222895601e-7},
    {4, 10, -1.4341729937924e-13},
    {5, -8, -4.0516996860117e-7},
    {8, -11, -1.2734301741641e-9},
    {8, -6, -1.7424871230634e-10},
    {21, -29, -6.8762131295531e-19},
    {23, -31, 1.4478307828521e-20},
    {29, -38, 2.6335781662795e-23},
    {30, -39, -1.1947622640071e-23},
    {31, -40, 1.8228094581404e-24},
    {32, -41, -9.3537087292458e-26},
    {0, 0, 0},
    {0, 0, 0},
}};

// n I (I-1) ... J (J-1) ...: what `by_pi` and `by_tau` derivatives bring before each
// term.
template <int kByPi, int kByTau>
constexpr std::array<double, kRegion1Terms> Region1Weights() {
  std::array<double, kRegion1Terms> weights = {};
  for (int term = 0; term < kRegion1Terms; ++term) {
    double whole = 1;
    for (int k = 0; k < kByPi; ++k) whole *= kRegion1[term].i - k;
    for (int k = 0; k < kByTau; ++k) whole *= kRegion1[term].j - k;
    // d/dpi of (7.1 - pi)^I.
    weights[term] = (kByPi % 2 == 0 ? whole : -whole) * kRegion1[term].n;
  }
  return weights;
}

// One state; S is double, or Dual<2> over temperature (0) and pressure (1).
template <typename S>
class Region1 {
 public:
  Region1(const S& temperature_k, const S& pressure_pa)
      : temperature_k_(temperature_k),
        pi_(pressure_pa / kRegion1PressurePa),
        tau_(kRegion1TemperatureK / temperature_k),
        inverse_b_(1 / (7.1 - number::ValueOf(pi_))),
        inverse_a_(1 / (number::ValueOf(tau_) - 1.222)) {
    Fill(7.1 - number::ValueOf(pi_), number::ValueOf(tau_) - 1.222);
  }

  const S& temperature_k() const { return temperature_k_; }
  const S& pi() const { return pi_; }
  const S& tau() const { return tau_; }

  // The derivative of gamma, kByPi times by pi and kByTau times by tau.
  template <int kByPi, int kByTau>
  S Gamma() const {
    const double value = Sum<kByPi, kByTau>();
    if constexpr (std::is_same_v<S, double>) {
      return value;
    } else {
      return S::Combine(pi_, tau_, value, Sum<kByPi + 1, kByTau>(),
                        Sum<kByPi, kByTau + 1>());
    }
  }

 private:
  void Fill(double b, double a) {
    const double b2 = b * b, b3 = b2 * b, b4 = b2 * b2, b5 = b4 * b, b8 = b4 * b4;
    const double b16 = b8 * b8, b21 = b16 * b5, b29 = b21 * b8;
    const double a2 = a * a, a3 = a2 * a, a4 = a2 * a2, a5 = a4 * a, a10 = a5 * a5;
    const double c = inverse_a_, c2 = c * c, c3 = c2 * c, c4 = c2 * c2, c5 = c4 * c;
    const double c6 = c3 * c3, c8 = c4 * c4, c9 = c8 * c, c16 = c8 * c8;
    const double c29 = (c16 * c8) * c5, c38 = c29 * c9;
    monomials_ = {c2,
                  c,
                  1,
                  a,
                  a2,
                  a3,
                  a4,
                  a5,
                  b * c9,
                  b * (c6 * c),
                  b * c,
                  b,
                  b * a,
                  b * a3,
                  b2 * c3,
                  b2,
                  b2 * a,
                  b2 * a3,
                  b2 * (a10 * (a5 * a2)),
                  b3 * c4,
                  b3,
                  b3 * (a3 * a3),
                  b4 * c5,
                  b4 * c2,
                  b4 * a10,
                  b5 * c8,
                  b8 * (c8 * c3),
                  b8 * c6,
                  b21 * c29,
                  (b21 * b2) * (c29 * c2),
                  b29 * c38,
                  (b29 * b) * (c38 * c),
                  (b29 * b2) * (c38 * c2),
                  (b16 * b16) * (c38 * c3),
                  0,
                  0};
  }

  template <int kByPi, int kByTau>
  double Sum() const {
    static constexpr std::array<double, kRegion1Terms> kWeights =
        Region1Weights<kByPi, kByTau>();
    std::array<double, 4> sums = {};
    for (int term = 0; term < kRegion1Terms; term += 4) {
      for (int lane = 0; lane < 4; ++lane) {
        sums[lane] += kWeights[term + lane] * monomials_[term + lane];
      }
    }
    double sum = (sums[0] + sums[1]) + (sums[2] + sums[3]);
    for (int k = 0; k < kByPi; ++k) sum *= inverse_b_;
    for (int k = 0; k < kByTau; ++k) sum *= inverse_a_;
    return sum;
  }

  S temperature_k_;
  S pi_;
  S tau_;
  double inverse_b_;
  double inverse_a_;
  std::array<double, kRegion1Terms> monomials_;
};

}  // namespace internal
}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_WATER_REGION1_H_
