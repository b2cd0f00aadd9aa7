#include "tests/engine/claim/random_claims.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/bound/bernstein.h"
#include "engine/bound/prove_region.h"
#include "engine/claim/certificate.h"
#include "engine/fluid/psychrometric_limit.h"
#include "engine/recheck/recheck.h"
#include "tests/engine/bound/random_polynomial.h"
#include "tests/testing/random.h"

namespace ratebound::claim {
namespace {

using bound::BandedFunction;
using bound::Polynomial;
using bound::RandomPolynomial;
using bound::Region;
using bound::RegionProof;
using ::ratebound::testing::Random;
using Point = std::vector<long double>;

constexpr int kKinds = 6;
constexpr double kPressurePa = 101325;

Polynomial Plus(const Polynomial& a, double c) {
  return *Sum(a, Polynomial::Constant(a.variables(), c));
}

// A polynomial spread out for long double.
class Plain {
 public:
  explicit Plain(const Polynomial& p) : n_(p.variables()) {
    for (int k = 0; k < p.terms(); ++k) {
      coefficients_.push_back(p.coefficients()[k]);
      for (int i = 0; i < n_; ++i) exponents_.push_back(bound::Exponent(p.keys()[k], i));
    }
  }
  long double At(const Point& x) const {
    long double sum = 0;
    const int* e = exponents_.data();
    for (const double coefficient : coefficients_) {
      long double term = coefficient;
      for (int i = 0; i < n_; ++i) {
        for (int k = *e++; k > 0; --k) term *= x[i];
      }
      sum += term;
    }
    return sum;
  }

 private:
  int n_;
  std::vector<int> exponents_;
  std::vector<double> coefficients_;
};

// A surface with a band; the variance is a sum of squares of given polynomials, so that
// its exact value is known without their expansion.
struct Surface {
  Polynomial value;
  std::vector<Polynomial> roots;
  double factor = 0;

  BandedFunction Banded(double sign, const Polynomial& of) const {
    BandedFunction g{.f = of.Scale(sign)};
    if (!roots.empty()) g.terms.push_back({factor, *SumOfSquares(roots)});
    return g;
  }
};

struct Truth {
  Plain value;
  std::vector<Plain> roots;
  double factor;

  explicit Truth(const Surface& surface) : value(surface.value), factor(surface.factor) {
    for (const Polynomial& root : surface.roots) roots.emplace_back(root);
  }
  long double Band(const Point& x) const {
    long double sum = 0;
    for (const Plain& root : roots) {
      const long double r = root.At(x);
      sum += r * r;
    }
    return factor * std::sqrt(sum);
  }
};

Surface RandomSurface(Random& random, int n, double centre, double size, double band) {
  const int degree = random.Integer(1, 3);
  Surface surface{.value = Plus(RandomPolynomial(random, n, degree).Scale(size), centre)};
  if (band == 0) return surface;
  surface.factor = random.Uniform(1, 3);
  surface.roots = {RandomPolynomial(random, n, degree).Scale(band),
                   Polynomial::Constant(n, band)};
  return surface;
}

struct RandomClaim {
  int kind = 0;
  Region region;
  // All parts have to hold; of each some function is not negative.
  std::vector<std::vector<BandedFunction>> parts;
  // Not negative at a point where the claim holds.
  std::function<long double(const Point&)> margin;
  bool can_be_refuted = true;  // where a part is no more than sufficient it cannot
};

long double SaturationPressure(long double t) {
  const long double k = t + 273.15L;
  return std::exp(-5.8002206e3L / k + 1.3914993L - 4.8640239e-2L * k +
                  4.1764768e-5L * k * k - 1.4452093e-8L * k * k * k +
                  6.5459673L * std::log(k));
}
long double Saturated(long double t) {
  return 0.621945L * SaturationPressure(t) / (kPressurePa - SaturationPressure(t));
}
long double FromWetBulb(long double t, long double wb) {
  return ((2501e3L - 2326 * wb) * Saturated(wb) - 1006 * (t - wb)) /
         (2501e3L + 1860 * t - 4186 * wb);
}

bool Inside(const std::vector<Plain>& cuts, const Point& x) {
  return std::all_of(cuts.begin(), cuts.end(),
                     [&x](const Plain& cut) { return cut.At(x) >= 0; });
}

Point RandomPoint(Random& random, const bound::Box& box) {
  Point x(box.variables());
  for (int i = 0; i < box.variables(); ++i) {
    const double u =
        random.Integer(0, 7) == 0 ? random.Integer(0, 1) : random.Uniform(0, 1);
    x[i] = std::min(box.hi[i], box.lo[i] + u * (box.hi[i] - box.lo[i]));
  }
  return x;
}

class Maker {
 public:
  explicit Maker(Random& random) : random_(random) {}

  RandomClaim Make() {
    claim_ = {};
    claim_.kind = random_.Integer(0, kKinds - 1);
    n_ = random_.Integer(1, 4);
    for (int i = 0; i < n_; ++i) {
      claim_.region.box.lo.push_back(random_.Uniform(-1, 0));
      claim_.region.box.hi.push_back(random_.Uniform(0.1, 1));
    }
    const int cuts = random_.Integer(0, 1) * random_.Integer(1, 2);
    for (int c = 0; c < cuts; ++c) {
      claim_.region.cuts.push_back(
          Plus(RandomPolynomial(random_, n_, random_.Integer(1, 2)), 0.5));
    }
    switch (claim_.kind) {
      case 0:
        MakeQuantity();
        break;
      case 1:
        MakeRatio();
        break;
      case 2:
        MakeProduct();
        break;
      case 3:
        MakeDewPoint();
        break;
      case 4:
        MakeWetBulb();
        break;
      default:
        MakeStages();
    }
    return std::move(claim_);
  }

 private:
  // A limit near the least of a figure over points of the region.
  double Near(const std::function<long double(const Point&)>& figure) {
    std::vector<Plain> cuts;
    for (const Polynomial& cut : claim_.region.cuts) cuts.emplace_back(cut);
    long double least = INFINITY;
    long double greatest = -INFINITY;
    for (int s = 0; s < 300; ++s) {
      const Point x = RandomPoint(random_, claim_.region.box);
      if (!Inside(cuts, x)) continue;
      least = std::min(least, figure(x));
      greatest = std::max(greatest, figure(x));
    }
    if (!(least < INFINITY)) return 0;
    const double spread = std::max(1e-12, static_cast<double>(greatest - least));
    const double shift = std::pow(10.0, random_.Uniform(-5, -0.5)) * spread;
    return static_cast<double>(least) + (random_.Integer(0, 2) > 0 ? -shift : shift);
  }

  void MakeQuantity() {
    const Surface surface = RandomSurface(random_, n_, 50e3, 5e3, 100);
    const Truth truth(surface);
    const double sign = random_.Integer(0, 1) ? 1 : -1;
    const auto figure = [truth, sign](const Point& x) {
      return sign * truth.value.At(x) - truth.Band(x);
    };
    const double limit = Near(figure);
    BandedFunction g = surface.Banded(sign, surface.value);
    g.f = Plus(g.f, -limit);
    claim_.parts = {{g}};
    claim_.margin = [figure, limit](const Point& x) { return figure(x) - limit; };
  }

  void MakeRatio() {
    const Surface capacity = RandomSurface(random_, n_, 50e3, 2e3, 0);
    const Surface power = RandomSurface(random_, n_, 15e3, 500, 0);
    const Truth c(capacity);
    const Truth p(power);
    const double limit =
        Near([c, p](const Point& x) { return c.value.At(x) / p.value.At(x); });
    const Polynomial combination = *Sum(capacity.value, power.value.Scale(-limit));
    claim_.parts = {{{.f = combination}}};
    claim_.margin = [c, p, limit](const Point& x) {
      return c.value.At(x) - limit * p.value.At(x);
    };
  }

  void MakeProduct() {
    const Surface a = RandomSurface(random_, n_, 2, 1, 0);
    const Surface b = RandomSurface(random_, n_, 3, 1, 0);
    const Truth ta(a);
    const Truth tb(b);
    const auto figure = [ta, tb](const Point& x) {
      return ta.value.At(x) * tb.value.At(x);
    };
    const double limit = Near(figure);
    claim_.parts = {{{.f = Plus(*Product(a.value, b.value), -limit)}}};
    claim_.margin = [figure, limit](const Point& x) { return figure(x) - limit; };
  }

  void MakeDewPoint() {
    const Surface humidity = RandomSurface(random_, n_, 0.012, 0.0006, 5e-5);
    const Truth truth(humidity);
    const double most =
        -Near([truth](const Point& x) { return -(truth.value.At(x) + truth.Band(x)); });
    // The dew point that goes with it, to 3 digits as a limit has them.
    double dew_point = 0;
    while (dew_point < 40 && Saturated(dew_point) < most) dew_point += 0.001;
    const auto limit = fluid::HumidityRatioLimit({dew_point, fluid::Side::kAtMost},
                                                 kPressurePa, fluid::Phase::kWater);
    BandedFunction g = humidity.Banded(-1, humidity.value);
    g.f = Plus(g.f, *limit);
    claim_.parts = {{g}};
    claim_.margin = [truth, dew_point](const Point& x) {
      return Saturated(dew_point) - truth.value.At(x) - truth.Band(x);
    };
    claim_.can_be_refuted = false;
  }

  void MakeWetBulb() {
    const Surface dry = RandomSurface(random_, n_, 24, 1, 0);
    const Surface wet = RandomSurface(random_, n_, 15, 0.7, 0);
    const Truth t(dry);
    const Truth b(wet);
    const bool at_most = random_.Integer(0, 1) == 1;
    const double sign = at_most ? -1 : 1;
    const double extreme = sign * Near([t, b, sign](const Point& x) {
                             return sign * FromWetBulb(t.value.At(x), b.value.At(x));
                           });
    double dew_point = -20;
    while (dew_point < 40 && Saturated(dew_point) < extreme) dew_point += 0.01;
    const auto range = bound::EncloseRange(wet.value, claim_.region.box);
    const auto limit = fluid::WetBulbLimit(
        {dew_point, at_most ? fluid::Side::kAtMost : fluid::Side::kAtLeast}, kPressurePa,
        fluid::Phase::kWater, fluid::Phase::kWater,
        {range->range.lo, range->range.hi + 1e-6}, {});
    std::vector<BandedFunction> lines;
    if (limit.ok()) {
      for (const fluid::AirLine& line : limit->lines) {
        const Polynomial sum = *Sum(dry.value.Scale(line.dry_bulb_factor),
                                    wet.value.Scale(line.wet_bulb_factor));
        lines.push_back({.f = Plus(sum, line.constant)});
      }
    } else {
      lines.push_back({.f = Polynomial::Constant(n_, -1)});
    }
    if (limit.ok() && limit->all) {
      for (const BandedFunction& line : lines) claim_.parts.push_back({line});
    } else {
      claim_.parts = {lines};
    }
    claim_.margin = [t, b, dew_point, sign](const Point& x) {
      return sign * (FromWetBulb(t.value.At(x), b.value.At(x)) - Saturated(dew_point));
    };
    claim_.can_be_refuted = false;
  }

  void MakeStages() {
    std::vector<Surface> stages;
    std::vector<Truth> truths;
    const int count = random_.Integer(2, 3);
    for (int k = 0; k < count; ++k) {
      stages.push_back(RandomSurface(random_, n_, 10e3, 2e3, 50));
      truths.emplace_back(stages.back());
    }
    const auto figure = [truths](const Point& x) {
      long double greatest = -INFINITY;
      for (const Truth& truth : truths) {
        greatest = std::max(greatest, truth.value.At(x) - truth.Band(x));
      }
      return greatest;
    };
    const double limit = Near(figure);
    claim_.parts.emplace_back();
    for (const Surface& stage : stages) {
      BandedFunction g = stage.Banded(1, stage.value);
      g.f = Plus(g.f, -limit);
      claim_.parts[0].push_back(std::move(g));
    }
    claim_.margin = [figure, limit](const Point& x) { return figure(x) - limit; };
  }

  Random& random_;
  RandomClaim claim_;
  int n_ = 1;
};

// The certificate of a part that holds, and whether the recheck follows it.
absl::Status Certify(const RandomClaim& claim,
                     const std::vector<BandedFunction>& functions) {
  const auto proof = ProveOver(functions, claim.region, {.tree = true});
  if (!proof.ok()) return proof.status();
  if (proof->outcome == RegionProof::kEmpty) return absl::OkStatus();
  std::vector<FunctionLabel> labels(functions.size(), {"a", "q", 1});
  const size_t n = claim.region.box.lo.size();
  const auto part = MakePart({.conditions = std::vector<std::string>(n, "x"),
                              .centre_si = std::vector<double>(n, 0.0),
                              .half_range_si = std::vector<double>(n, 1.0),
                              .labels = labels,
                              .functions = functions,
                              .region = claim.region},
                             *proof);
  if (!part.ok()) return part.status();
  const auto certificate = Seal({.claim = "random",
                                 .outcome = document::Outcome::kProven,
                                 .level = 0.025,
                                 .parts = {*part}});
  if (!certificate.ok()) return certificate.status();
  return recheck::Recheck(*certificate);
}

}  // namespace

SoundnessCounts CheckRandomClaims(int claims, int samples, const std::string& seed) {
  Random random(seed);
  SoundnessCounts counts;
  counts.decided_by_kind.assign(kKinds, 0);
  Maker maker(random);
  for (int c = 0; c < claims; ++c) {
    const RandomClaim claim = maker.Make();
    ++counts.claims;
    const auto fault = [&](const std::string& what) {
      counts.faults.push_back(
          absl::StrCat("claim ", c, " of kind ", claim.kind, ": ", what));
    };
    bool holds = true;
    bool refuted = false;
    std::vector<double> worst;
    for (const std::vector<BandedFunction>& part : claim.parts) {
      const auto proof = ProveOver(part, claim.region, {.max_boxes = 20'000});
      if (!proof.ok()) {
        fault(std::string(proof.status().message()));
        holds = false;
        break;
      }
      holds = holds && (proof->outcome == RegionProof::kHolds ||
                        proof->outcome == RegionProof::kEmpty);
      if (proof->outcome == RegionProof::kViolated) {
        refuted = claim.can_be_refuted;
        worst = proof->worst_point;
      }
    }
    std::vector<Plain> cuts;
    for (const Polynomial& cut : claim.region.cuts) cuts.emplace_back(cut);
    counts.proven += holds;
    counts.refuted += refuted;
    counts.undecided += !holds && !refuted;
    counts.decided_by_kind[claim.kind] += holds || refuted;
    if (refuted) {
      const Point x(worst.begin(), worst.end());
      if (!(claim.margin(x) < 0)) fault("refuted at a point where it holds");
      if (!Inside(cuts, x)) fault("refuted at a point outside its region");
    }
    if (!holds) continue;
    for (int s = 0; s < samples; ++s) {
      const Point x = RandomPoint(random, claim.region.box);
      if (!Inside(cuts, x) || claim.margin(x) >= 0) continue;
      fault("proven, and a sample contradicts it");
      break;
    }
    for (const std::vector<BandedFunction>& part : claim.parts) {
      const absl::Status recheck = Certify(claim, part);
      counts.rechecked += recheck.ok();
      if (!recheck.ok()) fault(std::string(recheck.message()));
    }
  }
  return counts;
}

}  // namespace ratebound::claim
