#include "engine/recheck/recheck.h"

#include <mpfr.h>

#include <cmath>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "engine/bound/prove_region.h"
#include "engine/claim/certificate.h"
#include "engine/recheck/span.h"
#include "gtest/gtest.h"
#include "tests/engine/bound/random_polynomial.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::recheck {
namespace {

using bound::BandedFunction;
using bound::Polynomial;
using bound::RandomPolynomial;
using bound::Region;
using bound::RegionProof;
using document::Certificate;
using document::CertificatePart;
using document::CertifiedPolynomial;
using ::ratebound::testing::IsOk;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

constexpr double kInfinity = std::numeric_limits<double>::infinity();

struct Problem {
  std::vector<BandedFunction> functions;
  Region region;
};

Polynomial Plus(const Polynomial& a, double c) {
  return *Sum(a, Polynomial::Constant(a.variables(), c));
}

Problem RandomProblem(Random& random) {
  Problem problem;
  const int n = random.Integer(1, 3);
  const int count = random.Integer(1, 2);
  for (int k = 0; k < count; ++k) {
    const int degree = random.Integer(1, 3);
    BandedFunction g{.f = Plus(RandomPolynomial(random, n, degree), 3)};
    if (random.Integer(0, 2) > 0) {
      const Polynomial parts[] = {RandomPolynomial(random, n, degree).Scale(0.2),
                                  Polynomial::Constant(n, 0.3)};
      g.terms.push_back({random.Uniform(0.1, 1), *SumOfSquares(parts)});
    }
    problem.functions.push_back(std::move(g));
  }
  if (random.Integer(0, 1) == 1) {
    problem.region.cuts.push_back(Plus(RandomPolynomial(random, n, 2), 0.5));
  }
  for (int i = 0; i < n; ++i) {
    problem.region.box.lo.push_back(random.Uniform(-1.5, 0));
    problem.region.box.hi.push_back(problem.region.box.lo[i] + random.Uniform(0.3, 1.5));
  }
  return problem;
}

claim::PartInputs InputsOf(const Problem& problem,
                           std::vector<claim::FunctionLabel>& labels) {
  labels.clear();
  std::vector<std::string> conditions;
  for (int i = 0; i < problem.region.box.variables(); ++i) {
    conditions.push_back("condition_" + std::to_string(i));
  }
  for (size_t k = 0; k < problem.functions.size(); ++k) {
    labels.push_back({"stage_" + std::to_string(k), "total_capacity", 2});
  }
  const std::vector<double> ones(conditions.size(), 1.0);
  return {.conditions = conditions,
          .centre_si = ones,
          .half_range_si = ones,
          .labels = labels,
          .functions = problem.functions,
          .region = problem.region};
}

Certificate Envelope(document::Outcome outcome, CertificatePart part) {
  return *claim::Seal({.claim = "invented",
                       .release_digest = "0123456789abcdef",
                       .outcome = outcome,
                       .level = 0.025,
                       .look = 1,
                       .model = "full polynomial",
                       .parts = {std::move(part)}});
}

struct Certified {
  Problem problem;
  Certificate certificate;
};

// Proofs of random claims that hold, and their certificates.
std::vector<Certified> RandomCertificates(Random& random, int wanted) {
  std::vector<Certified> all;
  while (static_cast<int>(all.size()) < wanted) {
    Problem problem = RandomProblem(random);
    const auto least = ProveOver(problem.functions, problem.region, {.max_boxes = 200});
    if (!least.ok() || least->worst_point.empty()) continue;
    // A little above the limit.
    const double margin = std::exp(random.Uniform(-10, 0));
    for (BandedFunction& g : problem.functions) {
      g.f = Plus(g.f, margin - least->value_at_worst.hi);
    }
    auto proof =
        ProveOver(problem.functions, problem.region, {.max_boxes = 2'000, .tree = true});
    if (!proof.ok() || proof->outcome != RegionProof::kHolds) continue;
    std::vector<claim::FunctionLabel> labels;
    const claim::PartInputs inputs = InputsOf(problem, labels);
    auto part = claim::MakePart(inputs, *proof);
    EXPECT_THAT(part.status(), IsOk());
    Certificate certificate = Envelope(document::Outcome::kProven, *part);
    all.push_back({std::move(problem), std::move(certificate)});
  }
  return all;
}

Certificate RandomRefutation(Random& random) {
  for (;;) {
    Problem problem = RandomProblem(random);
    std::vector<double> point;
    for (int i = 0; i < problem.region.box.variables(); ++i) {
      point.push_back(random.Uniform(problem.region.box.lo[i], problem.region.box.hi[i]));
    }
    std::vector<claim::FunctionLabel> labels;
    auto part = claim::MakeRefutation(InputsOf(problem, labels), point);
    if (part.ok()) return Envelope(document::Outcome::kRefuted, *part);
  }
}

TEST(Span, HoldsTheRealResultOfEveryOperation) {
  ::ratebound::testing::OutsideCheck check(
      {.name = "claim.recheck_span_holds_the_real_result",
       .source = "GNU MPFR, arithmetic of 4096 bits",
       .tolerance = 0});
  Random random("SPAN_HOLDS_THE_REAL_RESULT");
  mpfr_t a, b, r;
  mpfr_inits2(4096, a, b, r, static_cast<mpfr_ptr>(nullptr));
  const auto holds = [&](const char* what, const Span& span) {
    check.Holds(what, mpfr_cmp_d(r, span.lo) >= 0 && mpfr_cmp_d(r, span.hi) <= 0);
  };
  for (int i = 0; i < 50'000; ++i) {
    const auto number = [&random] {
      return std::ldexp(random.Uniform(-1, 1), random.Integer(0, 4) == 0
                                                   ? random.Integer(-1070, 500)
                                                   : random.Integer(-3, 3));
    };
    const double p = number();
    const double q = number();
    const double reach = std::fabs(number());
    const Span x(std::min(p, p + reach), std::max(p, p + reach));
    const Span y(std::min(q, q - reach), std::max(q, q - reach));
    mpfr_set_d(a, p, MPFR_RNDN);
    mpfr_set_d(b, q, MPFR_RNDN);
    mpfr_add(r, a, b, MPFR_RNDN);
    holds("x + y", x + y);
    mpfr_sub(r, a, b, MPFR_RNDN);
    holds("x - y", x - y);
    mpfr_mul(r, a, b, MPFR_RNDN);
    holds("x y", x * y);
    if (y.lo > 0) {
      mpfr_div(r, a, b, MPFR_RNDN);
      holds("x / y", x / y);
      mpfr_sqrt(r, b, MPFR_RNDN);
      holds("root of y", Root(y));
    }
  }
  mpfr_clears(a, b, r, static_cast<mpfr_ptr>(nullptr));
}

TEST(Recheck, FollowsEveryProofOfTheProver) {
  Random random("RECHECK_FOLLOWS_EVERY_PROOF");
  size_t leaves = 0;
  for (const Certified& certified : RandomCertificates(random, 150)) {
    EXPECT_THAT(Recheck(certified.certificate), IsOk());
    leaves += certified.certificate.parts[0].leaves.size();
  }
  EXPECT_GT(leaves, 600u);
}

// Margins of a part in 10^4, in more conditions, where the forms must be sharp.
TEST(Recheck, EndsWhereItIsToldToStop) {
  Random random("RECHECK_STOP");
  const Certificate certificate = RandomCertificates(random, 1)[0].certificate;
  int asked = 0;
  EXPECT_THAT(Recheck(certificate, [&asked] { return ++asked > 1'000'000; }), IsOk());
  EXPECT_GE(asked, 1);
  EXPECT_THAT(Recheck(certificate, [] { return true; }),
              StatusIs(absl::StatusCode::kCancelled, ::testing::HasSubstr("stop")));
}

TEST(Recheck, FollowsProofsWithSmallMargins) {
  Random random("RECHECK_FOLLOWS_SMALL_MARGINS");
  int checked = 0;
  for (int trial = 0; trial < 12; ++trial) {
    const int n = 2 + trial % 3;
    Problem problem;
    const Polynomial parts[] = {RandomPolynomial(random, n, 2).Scale(0.05),
                                Polynomial::Constant(n, 0.2)};
    problem.functions = {
        {.f = RandomPolynomial(random, n, 2), .terms = {{1.7, *SumOfSquares(parts)}}}};
    problem.region.box = {std::vector<double>(n, -1.0), std::vector<double>(n, 1.0)};
    ASSERT_OK_AND_ASSIGN(const RegionProof least,
                         ProveOver(problem.functions, problem.region, {}));
    problem.functions[0].f = Plus(problem.functions[0].f, 1e-4 - least.value_at_worst.hi);
    ASSERT_OK_AND_ASSIGN(const RegionProof proof,
                         ProveOver(problem.functions, problem.region, {.tree = true}));
    if (proof.outcome != RegionProof::kHolds) continue;
    ++checked;
    std::vector<claim::FunctionLabel> labels;
    ASSERT_OK_AND_ASSIGN(CertificatePart part,
                         claim::MakePart(InputsOf(problem, labels), proof));
    EXPECT_THAT(Recheck(Envelope(document::Outcome::kProven, std::move(part))), IsOk());
  }
  EXPECT_GE(checked, 10);
}

TEST(Recheck, FollowsRefutations) {
  Random random("RECHECK_FOLLOWS_REFUTATIONS");
  for (int trial = 0; trial < 50; ++trial)
    EXPECT_THAT(Recheck(RandomRefutation(random)), IsOk());
}

// Calls `visit` with every number of a certificate, by reference, and its name.
using Visit = std::function<void(const std::string&, double*, int*)>;

void VisitNumbers(Certificate& certificate, const Visit& visit) {
  const auto real = [&](const std::string& name, double& x) { visit(name, &x, nullptr); };
  const auto whole = [&](const std::string& name, int& x) { visit(name, nullptr, &x); };
  const auto reals = [&](const std::string& name, std::vector<double>& list) {
    for (size_t i = 0; i < list.size(); ++i) real(name + std::to_string(i), list[i]);
  };
  const auto wholes = [&](const std::string& name, std::vector<int>& list) {
    for (size_t i = 0; i < list.size(); ++i) whole(name + std::to_string(i), list[i]);
  };
  const auto polynomial = [&](const std::string& name, CertifiedPolynomial& p) {
    wholes(name + ".exponent ", p.exponents);
    reals(name + ".coefficient ", p.coefficients);
    reals(name + ".error ", p.errors);
  };
  real("level", certificate.level);
  whole("look", certificate.look);
  real("allowance", certificate.allowance_si);
  for (CertificatePart& part : certificate.parts) {
    reals("centre_si ", part.centre_si);
    reals("half_range_si ", part.half_range_si);
    reals("box_low ", part.box_low);
    reals("box_high ", part.box_high);
    for (auto& function : part.functions) {
      real("coverage_factor", function.coverage_factor);
      polynomial("value", function.value);
      for (auto& term : function.terms) {
        real("weight", term.weight);
        polynomial("square", term.square);
      }
    }
    for (CertifiedPolynomial& cut : part.cuts) polynomial("cut", cut);
    real("lower_bound", part.lower_bound);
    reals("unit_centre ", part.unit_centre);
    reals("unit_radius ", part.unit_radius);
    for (auto& combination : part.combinations) {
      reals("combination weight ", combination.weights);
      reals("multiplier ", combination.multipliers);
    }
    reals("anchor ", part.anchors);
    wholes("split ", part.splits);
    for (auto& leaf : part.leaves) {
      whole("leaf combination", leaf.combination);
      whole("leaf cut", leaf.cut);
      whole("leaf anchor", leaf.anchor);
      real("leaf bound", leaf.bound);
      reals("tangent ", leaf.tangents);
    }
    reals("worst_point ", part.worst_point);
    real("missing", part.missing);
  }
}

void ExpectEveryChangeRefused(Certificate certificate) {
  ASSERT_THAT(Recheck(certificate), IsOk());
  int numbers = 0;
  VisitNumbers(certificate, [&](const std::string& name, double* real, int* whole) {
    ++numbers;
    if (real != nullptr) {
      const double kept = *real;
      for (const double changed :
           {std::nextafter(kept, kInfinity), std::nextafter(kept, -kInfinity), -kept,
            2 * kept + 1, kept - 1e6, std::nan(""), kInfinity}) {
        if (changed == kept && std::signbit(changed) == std::signbit(kept)) continue;
        *real = changed;
        EXPECT_FALSE(Recheck(certificate).ok()) << name << " " << changed;
      }
      *real = kept;
      return;
    }
    const int kept = *whole;
    for (const int changed : {kept + 1, kept - 1, kept + 1000, -1000}) {
      *whole = changed;
      EXPECT_FALSE(Recheck(certificate).ok()) << name << " " << changed;
    }
    *whole = kept;
  });
  EXPECT_GT(numbers, 20);
  EXPECT_THAT(Recheck(certificate), IsOk());
}

TEST(Recheck, RefusesACertificateWithAnyOneNumberChanged) {
  Random random("RECHECK_REFUSES_ANY_ONE_NUMBER");
  int bands = 0;
  int cuts = 0;
  for (const Certified& certified : RandomCertificates(random, 12)) {
    if (certified.certificate.parts[0].leaves.size() > 40) continue;
    bands += !certified.problem.functions[0].terms.empty();
    cuts += !certified.problem.region.cuts.empty();
    ExpectEveryChangeRefused(certified.certificate);
  }
  EXPECT_GT(bands, 2);
  EXPECT_GT(cuts, 2);
  for (int trial = 0; trial < 4; ++trial) {
    ExpectEveryChangeRefused(RandomRefutation(random));
  }
}

// Who changes a number and seals it again: refused unless what is said is true all the
// same. Truth is decided by samples of the changed functions themselves.
bool SamplesContradict(Random& random, const CertificatePart& part) {
  const size_t n = part.conditions.size();
  const auto value_of = [n](const CertifiedPolynomial& p, const std::vector<double>& x) {
    long double sum = 0;
    for (size_t k = 0; k < p.coefficients.size(); ++k) {
      long double term = p.coefficients[k];
      for (size_t i = 0; i < n; ++i) {
        for (int e = 0; e < p.exponents[k * n + i]; ++e) term *= x[i];
      }
      sum += term;
    }
    return sum;
  };
  const auto function_at = [&](const document::CertifiedFunction& f,
                               const std::vector<double>& x) {
    long double value = value_of(f.value, x);
    for (const auto& term : f.terms) {
      value -= term.weight * std::sqrt(std::max(0.0L, value_of(term.square, x)));
    }
    return value;
  };
  for (int s = 0; s < 200; ++s) {
    std::vector<double> x;
    for (size_t i = 0; i < n; ++i) {
      const double u =
          random.Integer(0, 3) == 0 ? random.Integer(0, 1) : random.Uniform(0, 1);
      x.push_back(part.holds ? std::min(part.box_high[i],
                                        part.box_low[i] +
                                            u * (part.box_high[i] - part.box_low[i]))
                             : part.worst_point[i]);
    }
    bool inside = true;
    for (const CertifiedPolynomial& cut : part.cuts) {
      inside = inside && value_of(cut, x) > 1e-12;
    }
    if (!inside) continue;
    long double greatest = -kInfinity;
    long double least = kInfinity;
    for (const auto& function : part.functions) {
      greatest = std::max(greatest, function_at(function, x));
      least = std::min(least, function_at(function, x));
    }
    if (part.holds && greatest < part.lower_bound - 1e-12) return true;
    if (!part.holds && least < part.missing) return true;
  }
  return false;
}

TEST(Recheck, AChangedAndSealedCertificateThatPassesIsTrue) {
  Random random("RECHECK_CHANGED_AND_SEALED");
  int passed = 0;
  int refused = 0;
  for (Certified& certified : RandomCertificates(random, 12)) {
    Certificate& certificate = certified.certificate;
    if (certificate.parts[0].leaves.size() > 40) continue;
    const auto check = [&](const std::string& name) {
      certificate.seal = document::SealOf(certificate);
      if (!Recheck(certificate).ok()) {
        ++refused;
        return;
      }
      ++passed;
      EXPECT_FALSE(SamplesContradict(random, certificate.parts[0])) << name;
    };
    VisitNumbers(certificate, [&](const std::string& name, double* real, int* whole) {
      if (real != nullptr) {
        const double kept = *real;
        for (const double factor : {-1.0, 0.0, 0.5, 1.001, 3.0, 1e6}) {
          *real = factor * kept + (kept == 0 ? factor : 0);
          if (*real != kept) check(name + " times " + std::to_string(factor));
        }
        *real = kept;
        return;
      }
      const int kept = *whole;
      for (const int changed : {kept + 1, kept - 1}) {
        *whole = changed;
        check(name);
      }
      *whole = kept;
    });
  }
  EXPECT_GT(refused, 400);
  EXPECT_GT(passed, 100);  // a smaller bound is true, too
}

TEST(Recheck, ABoundAboveTheTrueMinimumIsRefused) {
  // x^2 + 1/10 over [-1, 1]: least 1/10.
  const Polynomial p = *Polynomial::Create(1, {2, 0}, {1, 0.1});
  Problem problem{.functions = {{.f = p}}, .region = {.box = {{-1}, {1}}}};
  ASSERT_OK_AND_ASSIGN(const RegionProof proof,
                       ProveOver(problem.functions, problem.region, {.tree = true}));
  std::vector<claim::FunctionLabel> labels;
  ASSERT_OK_AND_ASSIGN(CertificatePart part,
                       claim::MakePart(InputsOf(problem, labels), proof));
  struct Case {
    std::string description;
    std::function<void(CertificatePart&)> change;
    std::string message;
  };
  const Case cases[] = {
      {"a leaf's bound", [](auto& c) { c.leaves[0].bound = 0.2; }, "does not follow"},
      {"the lower bound", [](auto& c) { c.lower_bound = 0.11; }, "does not follow"},
      {"a leaf missing", [](auto& c) { c.leaves.pop_back(); }, "do not fit"},
      {"a half missing", [](auto& c) { c.splits.insert(c.splits.begin(), 0); },
       "cover the box"},
      {"no parts", [](auto& c) { c.splits.clear(), c.leaves.clear(); }, "cover the box"},
      {"a condition that is not", [](auto& c) { c.splits[0] = 3; }, "there is not"},
      {"a smaller box", [](auto& c) { c.unit_radius[0] = 0.5; }, "leave out"},
      {"another centre", [](auto& c) { c.unit_centre[0] = 0.5; }, "leave out"},
      {"a weight below 0", [](auto& c) { c.combinations[0].weights[0] = -1; },
       "weights that are none"},
      {"a weight of nothing", [](auto& c) { c.combinations[0].weights[0] = 0; },
       "combination of nothing"},
      {"an exponent below 0", [](auto& c) { c.functions[0].value.exponents[0] = -2; },
       "polynomial is none"},
      {"a huge exponent", [](auto& c) { c.functions[0].value.exponents[0] = 1 << 30; },
       "polynomial is none"},
      {"an error that is negative",
       [](auto& c) { c.functions[0].value.errors.assign(2, -1.0); },
       "polynomial is none"},
      {"a wide error", [](auto& c) { c.functions[0].value.errors.assign(2, 0.2); },
       "does not follow"},
      {"no function", [](auto& c) { c.functions.clear(); }, "do not make up a claim"},
      {"no condition", [](auto& c) { c.conditions.clear(); }, "do not make up a claim"},
      {"a false anchor", [](auto& c) { c.leaves[0].anchor = 9; }, "there is not"},
      {"a cut that is not", [](auto& c) { c.leaves[0].cut = 0; }, "there is not"},
      {"a tangent too many", [](auto& c) { c.leaves[0].tangents = {1}; }, "tangents"},
  };
  for (const Case& c : cases) {
    CertificatePart changed = part;
    c.change(changed);
    Certificate certificate{.claim = "invented",
                            .outcome = document::Outcome::kProven,
                            .level = 0.05,
                            .parts = {changed}};
    certificate.seal = document::SealOf(certificate);
    EXPECT_THAT(Recheck(certificate),
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(c.message)))
        << c.description;
  }
}

TEST(Recheck, ACutThatIsNotNegativeIsNoReasonToSkip) {
  // x - 1/2 where x >= 0: false; a leaf that calls the lower part "outside" is refused.
  const Polynomial x = *Polynomial::Create(1, {1}, {1.0});
  CertificatePart part{.conditions = {"x"},
                       .centre_si = {0},
                       .half_range_si = {1},
                       .box_low = {-1},
                       .box_high = {1},
                       .unit_centre = {0},
                       .unit_radius = {std::nextafter(1.0, 2.0)}};
  part.functions = {{.stage = "a",
                     .quantity = "q",
                     .value = {.exponents = {1, 0}, .coefficients = {1, 0.25}}}};
  part.cuts = {{.exponents = {1}, .coefficients = {1}}};
  part.combinations = {{{1}, {0}}};
  part.splits = {0, 0, -1, -1, -1};
  part.lower_bound = 0.25 - 2e-9;
  part.leaves = {{.cut = 0}, {.cut = 0}, {.combination = 0, .bound = 0.25 - 1e-9}};
  const auto recheck = [&] {
    Certificate certificate{
        .outcome = document::Outcome::kProven, .level = 0.05, .parts = {part}};
    certificate.seal = document::SealOf(certificate);
    return Recheck(certificate);
  };
  // [-1/2, 0] touches the region at 0.
  EXPECT_THAT(recheck(), StatusIs(absl::StatusCode::kInvalidArgument,
                                  HasSubstr("leaf 1: the cut is not shown")));
  // With the multiplier of the cut: x + 1/4 - x >= 1/4.
  part.combinations.push_back({{1}, {1}});
  part.leaves[1] = {.combination = 1, .bound = 0.25 - 1e-9};
  EXPECT_THAT(recheck(), IsOk());
}

}  // namespace
}  // namespace ratebound::recheck
