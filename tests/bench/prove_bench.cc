// Proving a claim over a region against sampling the same function at 10^6 points of it.
//
// A quadratic or cubic surface in n conditions with a band from a positive definite
// covariance of all its terms, its minimum inside, the claim true by 0.01 % of the
// surface's mean. The
// peer is written by hand for the same machine: points as one array for each condition,
// two at a time in SSE2 (the baseline of x86-64), both polynomials in nested Horner form,
// root included, and four running minima. It shows nothing between its points; it only
// has to be as fast as we can write it. Both run in this process, turn
// about, and count the time of the processor; medians.
//
// Prints one line of JSON for each number of conditions; then how much two threads gain
// over one where each proves claims of its own, and how much memory a hard proof takes.
// With --table it prints instead, as CSV to plot, what a proof costs against the number
// of conditions, the degree and the margin.
#include <emmintrin.h>
#include <sys/resource.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <ctime>
#include <functional>
#include <random>
#include <string>
#include <string_view>
#include <thread>
#include <utility>
#include <vector>

#include "absl/strings/str_format.h"
#include "engine/bound/prove_minimum.h"

namespace ratebound::bound {
namespace {

using Clock = std::chrono::steady_clock;

double Uniform(std::mt19937_64& bits, double lo, double hi) {
  return lo + (hi - lo) * static_cast<double>(bits() >> 11) * 0x1p-53;
}

struct Claim {
  BandedFunction g;
  Box box;
};

// All monomials up to a degree, by degree: 1, x_i, x_i x_j, ...
std::vector<Polynomial> Basis(int n, int degree) {
  std::vector<Polynomial> basis;
  std::vector<int> row(n, 0);
  const std::function<void(int, int)> add = [&](int first, int left) {
    if (left == 0) {
      basis.push_back(*Polynomial::Create(n, row, std::vector<double>{1}));
      return;
    }
    for (int i = first; i < n; ++i) {
      ++row[i];
      add(i, left - 1);
      --row[i];
    }
  };
  for (int d = 0; d <= degree; ++d) add(0, d);
  return basis;
}

struct Shape {
  int conditions = 3;
  int degree = 2;
  bool inside = true;    // the minimum
  double margin = 1e-4;  // of the mean, 100
};

Claim MakeClaim(const Shape& shape, int seed = 0) {
  const int n = shape.conditions;
  const bool inside = shape.inside;
  std::mt19937_64 bits(20 + n + 1000 * seed);
  Claim claim;
  claim.box = {std::vector<double>(n, -1), std::vector<double>(n, 1)};
  const std::vector<Polynomial> basis = Basis(n, shape.degree);
  const int p = static_cast<int>(basis.size());
  // f = 100 + sum a_i (x_i - m_i)^2 + coupling; a unit with a flat optimum.
  Polynomial f = Polynomial::Constant(n, 100);
  int at = 1 + n;
  for (int i = 0; i < n; ++i) {
    const double middle = inside ? Uniform(bits, -0.4, 0.4) : 1.2;
    const double a = Uniform(bits, 5, 20);
    f = *Sum(f, basis[1 + i].Scale(-2 * a * middle));
    f = *Sum(f, Polynomial::Constant(n, a * middle * middle));
    for (int j = i; j < n && shape.degree > 1; ++j) {
      f = *Sum(f, basis[at++].Scale(i == j ? a : Uniform(bits, -2, 2)));
    }
  }
  for (; at < p; ++at) f = *Sum(f, basis[at].Scale(Uniform(bits, -1, 1)));
  // Covariance = B B' / p, standard error near 1 % of the surface.
  std::vector<double> root(p * p);
  std::vector<double> covariance(p * p);
  for (double& entry : root) entry = Uniform(bits, -1, 1);
  for (int i = 0; i < p; ++i) {
    for (int j = 0; j < p; ++j) {
      double sum = i == j ? 0.2 : 0;
      for (int k = 0; k < p; ++k) sum += root[i * p + k] * root[j * p + k];
      covariance[i * p + j] = sum / p;
    }
  }
  claim.g = {f, {{1.7, *QuadraticForm(basis, covariance)}}};
  const double margin = 100 * shape.margin;
  const MinimumEnclosure minimum = *EncloseMinimum(claim.g, claim.box, 0.01 * margin);
  claim.g.f = *Sum(f, Polynomial::Constant(n, margin - minimum.value.lo));
  return claim;
}

// A polynomial of three variables or more as nested Horner forms in the first variable,
// the coefficient of each power again such a form.
struct Nested {
  int variable = -1;  // -1: a constant
  double constant = 0;
  std::vector<Nested> powers;
};

Nested Nest(const std::vector<std::pair<MonomialKey, double>>& terms, int variable,
            int n) {
  if (variable == n) return {.constant = terms.empty() ? 0 : terms[0].second};
  int degree = 0;
  for (const auto& term : terms)
    degree = std::max(degree, Exponent(term.first, variable));
  Nested nested{.variable = variable};
  for (int e = 0; e <= degree; ++e) {
    std::vector<std::pair<MonomialKey, double>> part;
    for (const auto& term : terms) {
      if (Exponent(term.first, variable) == e) part.push_back(term);
    }
    nested.powers.push_back(Nest(part, variable + 1, n));
  }
  return nested;
}

// Flattened to a stack program and run over blocks that stay in the first-level cache, so
// that the cost of the interpreter is spread over kBlock points.
constexpr int kBlock = 256;

void Run(const Nested& nested, const double* const* x, int offset, double* out,
         std::vector<std::vector<double>>& buffers, int depth) {
  if (nested.variable < 0 || nested.powers.size() == 1) {
    if (nested.variable >= 0)
      return Run(nested.powers[0], x, offset, out, buffers, depth);
    for (int s = 0; s < kBlock; ++s) out[s] = nested.constant;
    return;
  }
  const double* xi = x[nested.variable] + offset;
  double* part = buffers[depth].data();
  Run(nested.powers.back(), x, offset, out, buffers, depth + 1);
  for (int e = static_cast<int>(nested.powers.size()) - 2; e >= 0; --e) {
    const Nested* inner = &nested.powers[e];
    while (inner->variable >= 0 && inner->powers.size() == 1) inner = &inner->powers[0];
    if (inner->variable < 0) {
      const double c = inner->constant;
      for (int s = 0; s < kBlock; ++s) out[s] = out[s] * xi[s] + c;
    } else {
      Run(*inner, x, offset, part, buffers, depth + 1);
      for (int s = 0; s < kBlock; ++s) out[s] = out[s] * xi[s] + part[s];
    }
  }
}

// Three variables, f of degree 2 and Q of degree 4, unrolled by hand.
struct Cubes {
  __m128d f[3][3][3];
  __m128d q[5][5][5];
};

Cubes Unroll(const Claim& claim) {
  double f[3][3][3] = {};
  double q[5][5][5] = {};
  const auto fill = [](const Polynomial& p, auto& table) {
    for (int k = 0; k < p.terms(); ++k) {
      const MonomialKey key = p.keys()[k];
      table[Exponent(key, 0)][Exponent(key, 1)][Exponent(key, 2)] = p.coefficients()[k];
    }
  };
  fill(claim.g.f, f);
  fill(claim.g.terms[0].square, q);
  Cubes cubes;
  for (int i = 0; i < 27; ++i) (&cubes.f[0][0][0])[i] = _mm_set1_pd((&f[0][0][0])[i]);
  for (int i = 0; i < 125; ++i) (&cubes.q[0][0][0])[i] = _mm_set1_pd((&q[0][0][0])[i]);
  return cubes;
}

template <int kDegree, typename Table>
inline __attribute__((always_inline)) __m128d Horner3(const Table& c, __m128d x,
                                                      __m128d y, __m128d z) {
  __m128d outer = c[kDegree][0][0];
#pragma GCC unroll 8
  for (int i = kDegree - 1; i >= 0; --i) {
    __m128d middle = c[i][kDegree - i][0];
#pragma GCC unroll 8
    for (int j = kDegree - i - 1; j >= 0; --j) {
      __m128d inner = c[i][j][kDegree - i - j];
#pragma GCC unroll 8
      for (int k = kDegree - i - j - 1; k >= 0; --k) {
        inner = _mm_add_pd(_mm_mul_pd(inner, z), c[i][j][k]);
      }
      middle = _mm_add_pd(_mm_mul_pd(middle, y), inner);
    }
    outer = _mm_add_pd(_mm_mul_pd(outer, x), middle);
  }
  return outer;
}

double Sample3(const Cubes& cubes, double weight,
               const std::vector<std::vector<double>>& x) {
  const size_t count = x[0].size();
  const __m128d w = _mm_set1_pd(weight);
  __m128d least[4];
  for (__m128d& value : least) value = _mm_set1_pd(1e300);
  for (size_t s = 0; s + 8 <= count; s += 8) {
    for (int lane = 0; lane < 4; ++lane) {
      const size_t at = s + 2 * lane;
      const __m128d a = _mm_loadu_pd(&x[0][at]);
      const __m128d b = _mm_loadu_pd(&x[1][at]);
      const __m128d c = _mm_loadu_pd(&x[2][at]);
      const __m128d root = _mm_sqrt_pd(Horner3<4>(cubes.q, a, b, c));
      const __m128d value = _mm_sub_pd(Horner3<2>(cubes.f, a, b, c), _mm_mul_pd(w, root));
      least[lane] = _mm_min_pd(least[lane], value);
    }
  }
  double lanes[2];
  _mm_storeu_pd(
      lanes, _mm_min_pd(_mm_min_pd(least[0], least[1]), _mm_min_pd(least[2], least[3])));
  return std::min(lanes[0], lanes[1]);
}

double SampleAny(const Nested& f, const Nested& q, double weight,
                 const std::vector<std::vector<double>>& x) {
  std::vector<const double*> columns;
  for (const std::vector<double>& column : x) columns.push_back(column.data());
  std::vector<std::vector<double>> buffers(x.size() + 2, std::vector<double>(kBlock));
  std::vector<double> surface(kBlock);
  std::vector<double> square(kBlock);
  double least = 1e300;
  for (size_t offset = 0; offset + kBlock <= x[0].size(); offset += kBlock) {
    Run(f, columns.data(), static_cast<int>(offset), surface.data(), buffers, 0);
    Run(q, columns.data(), static_cast<int>(offset), square.data(), buffers, 0);
    __m128d least2 = _mm_set1_pd(1e300);
    for (int s = 0; s < kBlock; s += 2) {
      const __m128d root = _mm_sqrt_pd(_mm_loadu_pd(&square[s]));
      least2 = _mm_min_pd(least2, _mm_sub_pd(_mm_loadu_pd(&surface[s]),
                                             _mm_mul_pd(_mm_set1_pd(weight), root)));
    }
    double lanes[2];
    _mm_storeu_pd(lanes, least2);
    least = std::min({least, lanes[0], lanes[1]});
  }
  return least;
}

double Microseconds(const std::function<void()>& work, int repeats) {
  const Clock::time_point start = Clock::now();
  for (int r = 0; r < repeats; ++r) work();
  return std::chrono::duration<double, std::micro>(Clock::now() - start).count() /
         repeats;
}

// Of the processor, by this thread or by the whole program: what other programs on the
// machine take does not count.
double ProcessorMicroseconds(clockid_t clock, const std::function<void()>& work,
                             int repeats) {
  const auto now_us = [clock] {
    timespec now{};
    clock_gettime(clock, &now);
    return 1e6 * static_cast<double>(now.tv_sec) +
           1e-3 * static_cast<double>(now.tv_nsec);
  };
  const double start_us = now_us();
  for (int r = 0; r < repeats; ++r) work();
  return (now_us() - start_us) / repeats;
}

struct Times {
  double median_us;
  double least_us;  // what a busy machine does not disturb
};

Times Summary(std::vector<double> values_us) {
  std::sort(values_us.begin(), values_us.end());
  return {values_us[values_us.size() / 2], values_us[0]};
}

// One line of JSON; false where the claim was not proven.
bool Measure(const std::string& name, const Shape& shape, double wanted) {
  constexpr int kPoints = 1'000'192;  // a whole number of blocks
  const int n = shape.conditions;
  const Claim claim = MakeClaim(shape);
  const Polynomial& square = claim.g.terms[0].square;
  const double weight = claim.g.terms[0].weight;
  std::mt19937_64 bits(7);
  std::vector<std::vector<double>> x(n, std::vector<double>(kPoints));
  for (std::vector<double>& column : x) {
    for (double& value : column) value = Uniform(bits, -1, 1);
  }
  const auto nest = [n](const Polynomial& p) {
    std::vector<std::pair<MonomialKey, double>> terms;
    for (int k = 0; k < p.terms(); ++k)
      terms.push_back({p.keys()[k], p.coefficients()[k]});
    return Nest(terms, 0, n);
  };
  const Nested f = nest(claim.g.f);
  const Nested q = nest(square);
  const bool unrolled = n == 3 && shape.degree == 2;
  const Cubes cubes = unrolled ? Unroll(claim) : Cubes{};
  Proof proof;
  double sampled = 0;
  std::vector<double> ours;
  std::vector<double> peer;
  const int rounds = shape.degree == 2 ? 15 : 5;
  for (int round = 0; round < rounds; ++round) {
    ours.push_back(ProcessorMicroseconds(
        CLOCK_THREAD_CPUTIME_ID,
        [&] { proof = *ProveNonNegative(claim.g, claim.box, {}); },
        n <= 3              ? 100
        : shape.degree == 2 ? 10
                            : 1));
    peer.push_back(ProcessorMicroseconds(
        CLOCK_THREAD_CPUTIME_ID,
        [&] {
          sampled = unrolled ? Sample3(cubes, weight, x) : SampleAny(f, q, weight, x);
        },
        1));
  }
  const Times our_times = Summary(ours);
  const Times peer_times = Summary(peer);
  absl::PrintF(
      "{\"name\":\"%s\",\"ours\":%.2f,\"peer\":%.1f,\"unit\":\"us\",\"ratio\":%.1f,"
      "\"wanted\":%g,\"ours_least\":%.2f,\"peer_least\":%.1f,\"boxes\":%d,\"outcome\":%d,"
      "\"lower_bound\":%.3g,\"at_worst\":%.6g,"
      "\"sampled\":%.6g}\n",
      name, our_times.median_us, peer_times.median_us,
      peer_times.median_us / our_times.median_us, wanted, our_times.least_us,
      peer_times.least_us, proof.boxes, static_cast<int>(proof.outcome),
      proof.lower_bound, proof.value_at_worst.hi, sampled);
  return proof.outcome == Proof::kHolds;
}

// Sixteen claims on one thread and on two, each claim on one thread alone: results cannot
// depend on threads.
void MeasureThreads() {
  std::vector<Claim> claims;
  for (int seed = 1; seed <= 16; ++seed) {
    claims.push_back(MakeClaim({.conditions = 5, .degree = 2}, seed));
  }
  const auto prove_all = [&claims](int threads) {
    std::atomic<size_t> next = 0;
    const auto work = [&] {
      for (size_t at = next++; at < 20 * claims.size(); at = next++) {
        const Claim& claim = claims[at % claims.size()];
        if (!ProveNonNegative(claim.g, claim.box, {}).ok()) std::abort();
      }
    };
    std::vector<std::thread> pool;
    for (int t = 1; t < threads; ++t) pool.emplace_back(work);
    work();
    for (std::thread& thread : pool) thread.join();
  };
  std::vector<double> one;
  std::vector<double> two;
  std::vector<double> one_work;
  std::vector<double> two_work;
  for (int round = 0; round < 5; ++round) {
    one.push_back(Microseconds([&] { prove_all(1); }, 1));
    two.push_back(Microseconds([&] { prove_all(2); }, 1));
    one_work.push_back(ProcessorMicroseconds(
        CLOCK_PROCESS_CPUTIME_ID, [&] { prove_all(1); }, 1));
    two_work.push_back(ProcessorMicroseconds(
        CLOCK_PROCESS_CPUTIME_ID, [&] { prove_all(2); }, 1));
  }
  // What two free processors would gain: all but what the threads cost each other.
  const double free_ratio = 2 * Summary(one_work).least_us / Summary(two_work).least_us;
  const Times one_times = Summary(one);
  const Times two_times = Summary(two);
  absl::PrintF(
      "{\"name\":\"prove-threads\",\"ours\":%.1f,\"peer\":%.1f,\"unit\":\"us\","
      "\"ratio\":%.2f,\"wanted\":1.7,\"ours_least\":%.1f,\"peer_least\":%.1f,"
      "\"ratio_of_least\":%.2f,\"ratio_on_free_processors\":%.2f}\n",
      two_times.median_us, one_times.median_us, one_times.median_us / two_times.median_us,
      two_times.least_us, one_times.least_us, one_times.least_us / two_times.least_us,
      free_ratio);
}

// What the whole program grows by while it proves a claim that takes the whole budget.
void MeasureMemory() {
  const auto most_kib = [] {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return usage.ru_maxrss;
  };
  // Least along whole diagonals, by next to nothing: halved until the budget ends.
  Polynomial f = Polynomial::Constant(6, 1e-12);
  for (int i = 0; i < 6; i += 2) {
    std::vector<int> exponents(12, 0);
    exponents[i] = 2;
    exponents[6 + i + 1] = 2;
    const Polynomial parts[] = {
        *Polynomial::Create(6, exponents, std::vector<double>{1, -1})};
    f = *Sum(f, *SumOfSquares(parts));
  }
  const Claim claim{.g = {.f = f},
                    .box = {std::vector<double>(6, -1), std::vector<double>(6, 1)}};
  const auto before = most_kib();
  const Proof proof =
      *ProveNonNegative(claim.g, claim.box, {.max_boxes = 200'000, .max_undecided = 64});
  absl::PrintF(
      "{\"name\":\"prove-memory\",\"boxes\":%d,\"grown_mib\":%.2f,\"wanted_mib\":50}\n",
      proof.boxes, static_cast<double>(most_kib() - before) / 1024);
}

void PrintTable() {
  absl::PrintF("conditions,degree,margin_fraction,boxes,microseconds,outcome\n");
  for (int n = 1; n <= 6; ++n) {
    for (int degree = 1; degree <= 3; ++degree) {
      for (const double margin : {1e-2, 1e-3, 1e-4, 1e-5}) {
        if (degree == 3 && n == 6 && margin < 1e-4) continue;
        const Claim claim =
            MakeClaim({.conditions = n, .degree = degree, .margin = margin});
        Proof proof;
        const double time_us = Microseconds(
            [&] { proof = *ProveNonNegative(claim.g, claim.box, {}); }, n <= 4 ? 10 : 1);
        absl::PrintF("%d,%d,%g,%d,%.1f,%d\n", n, degree, margin, proof.boxes, time_us,
                     static_cast<int>(proof.outcome));
      }
    }
  }
}

}  // namespace
}  // namespace ratebound::bound

int main(int count, char** arguments) {
  using ratebound::bound::Measure;
  if (count > 1 && std::string_view(arguments[1]) == "--table") {
    ratebound::bound::PrintTable();
    return 0;
  }
  ratebound::bound::MeasureMemory();  // before the peers' points raise the mark
  bool proven = Measure("prove-3", {.conditions = 3}, 300);
  proven = Measure("prove-3-corner", {.conditions = 3, .inside = false}, 300) && proven;
  proven = Measure("prove-5", {.conditions = 5}, 10) && proven;
  proven = Measure("prove-6", {.conditions = 6}, 2) && proven;
  proven = Measure("prove-6-cubic", {.conditions = 6, .degree = 3}, 1) && proven;
  ratebound::bound::MeasureThreads();
  return proven ? 0 : 1;
}
