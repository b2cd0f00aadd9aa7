#include "engine/document/region_pieces.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::document {
namespace {

// A condition in a unit, as factor times its SI value plus a constant.
struct Linear {
  size_t condition = 0;
  double factor = 0;
  double constant = 0;
};

class Cutter {
 public:
  explicit Cutter(std::span<const std::string> conditions) : conditions_(conditions) {}

  // The pieces of one cut.
  absl::StatusOr<std::vector<std::vector<HalfSpace>>> Pieces(const RegionCut& cut) const {
    if (cut.polygon) return OfPolygon(*cut.polygon);
    HalfSpace half_space;
    if (cut.linear) {
      ASSIGN_OR_RETURN(half_space, OfLinear(*cut.linear));
    } else if (cut.order) {
      ASSIGN_OR_RETURN(half_space, OfOrder(*cut.order));
    } else if (cut.bound) {
      ASSIGN_OR_RETURN(half_space, OfBound(*cut.bound));
    } else {
      return absl::InvalidArgumentError("says nothing");
    }
    return std::vector<std::vector<HalfSpace>>{{half_space}};
  }

 private:
  absl::StatusOr<size_t> Find(const std::string& quantity) const {
    const auto found = std::find(conditions_.begin(), conditions_.end(), quantity);
    if (found == conditions_.end()) {
      return absl::InvalidArgumentError(
          absl::StrCat("'", quantity, "' is no condition of the map"));
    }
    return static_cast<size_t>(found - conditions_.begin());
  }

  absl::StatusOr<quantity::Unit> UnitOf(const std::string& quantity,
                                        const std::string& unit) const {
    ASSIGN_OR_RETURN(const auto* const known, quantity::FindQuantity(quantity));
    ASSIGN_OR_RETURN(const quantity::Unit found,
                     quantity::FindUnit(unit, known->dimension));
    if (found.reciprocal) {
      return absl::InvalidArgumentError(
          absl::StrCat("'", unit, "' is not linear in ", quantity));
    }
    return found;
  }

  absl::StatusOr<Linear> InUnit(const std::string& quantity,
                                const std::string& unit) const {
    Linear linear;
    ASSIGN_OR_RETURN(linear.condition, Find(quantity));
    ASSIGN_OR_RETURN(const quantity::Unit known, UnitOf(quantity, unit));
    linear.factor = 1 / known.scale.high();
    linear.constant = -known.shift.high();
    return linear;
  }

  HalfSpace Zero() const {
    return {.factors = std::vector<double>(conditions_.size(), 0.0)};
  }

  absl::StatusOr<HalfSpace> OfLinear(const LinearCut& cut) const {
    HalfSpace half_space = Zero();
    half_space.constant = cut.at_most;
    for (const LinearCutTerm& term : cut.terms) {
      ASSIGN_OR_RETURN(const Linear linear, InUnit(term.quantity, term.unit));
      half_space.factors[linear.condition] -= term.factor * linear.factor;
      half_space.constant -= term.factor * linear.constant;
    }
    return half_space;
  }

  absl::StatusOr<HalfSpace> OfOrder(const OrderCut& cut) const {
    HalfSpace half_space = Zero();
    ASSIGN_OR_RETURN(const size_t below, Find(cut.quantity));
    ASSIGN_OR_RETURN(const size_t above, Find(cut.not_above));
    if (below == above)
      return absl::InvalidArgumentError("compares a condition with itself");
    half_space.factors[below] = -1;
    half_space.factors[above] = 1;
    if (!cut.unit.empty()) {
      ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit(cut.unit));
      half_space.constant = quantity::DifferenceToSi(cut.offset, unit);
    }
    return half_space;
  }

  absl::StatusOr<HalfSpace> OfBound(const BoundCut& cut) const {
    HalfSpace half_space = Zero();
    ASSIGN_OR_RETURN(const Linear bound, InUnit(cut.quantity, cut.unit));
    ASSIGN_OR_RETURN(const Linear other, InUnit(cut.other_quantity, cut.other_unit));
    if (bound.condition == other.condition) {
      return absl::InvalidArgumentError("binds a condition by itself");
    }
    const double sign = cut.side == BoundSide::kAtLeast ? 1 : -1;
    half_space.factors[bound.condition] = sign * bound.factor;
    half_space.factors[other.condition] = -sign * cut.slope * other.factor;
    half_space.constant =
        sign * (bound.constant - cut.constant - cut.slope * other.constant);
    return half_space;
  }

  absl::StatusOr<std::vector<std::vector<HalfSpace>>> OfPolygon(
      const PolygonCut& cut) const {
    ASSIGN_OR_RETURN(const size_t first, Find(cut.quantity));
    ASSIGN_OR_RETURN(const size_t second, Find(cut.other_quantity));
    ASSIGN_OR_RETURN(const quantity::Unit unit, UnitOf(cut.quantity, cut.unit));
    ASSIGN_OR_RETURN(const quantity::Unit other_unit,
                     UnitOf(cut.other_quantity, cut.other_unit));
    if (first == second) {
      return absl::InvalidArgumentError("a polygon needs two conditions");
    }
    std::vector<PolygonVertex> vertices_si;
    for (const PolygonVertex& vertex : cut.vertices) {
      vertices_si.push_back({quantity::ToSi(vertex.value, unit),
                             quantity::ToSi(vertex.other_value, other_unit)});
    }
    ASSIGN_OR_RETURN(const auto planes, ConvexPieces(vertices_si));
    std::vector<std::vector<HalfSpace>> pieces;
    for (const std::vector<HalfPlane>& of_piece : planes) {
      std::vector<HalfSpace>& piece = pieces.emplace_back();
      for (const HalfPlane& plane : of_piece) {
        HalfSpace half_space = Zero();
        half_space.factors[first] = plane.factor;
        half_space.factors[second] = plane.other_factor;
        half_space.constant = plane.constant;
        piece.push_back(std::move(half_space));
      }
    }
    return pieces;
  }

  std::span<const std::string> conditions_;
};

// The greatest t for which some u in the unit cube has a_i'u + c_i >= t for all i: the
// simplex method with Bland's rule, from the vertex u = 0.
double GreatestSlack(const std::vector<std::vector<double>>& a,
                     const std::vector<double>& c) {
  const size_t n = a[0].size(), m = a.size();
  const double least = *std::min_element(c.begin(), c.end());
  // Columns: u_1 .. u_n, t - least, right side. Rows: constraints, then u_i <= 1.
  std::vector<std::vector<double>> rows(m + n, std::vector<double>(n + 2, 0.0));
  std::vector<size_t> basis(m + n), free(n + 1);
  for (size_t i = 0; i < m; ++i) {
    for (size_t j = 0; j < n; ++j) rows[i][j] = -a[i][j];
    rows[i][n] = 1;
    rows[i][n + 1] = c[i] - least;
  }
  for (size_t j = 0; j < n; ++j) rows[m + j][j] = rows[m + j][n + 1] = 1;
  for (size_t j = 0; j <= n; ++j) free[j] = j;
  for (size_t i = 0; i < m + n; ++i) basis[i] = n + 1 + i;
  std::vector<double> objective(n + 2, 0.0);
  objective[n] = 1;
  constexpr double kTiny = 1e-13;
  constexpr int kMostSteps = 10'000;
  for (int step = 0; step < kMostSteps; ++step) {
    size_t in = n + 1;
    for (size_t j = 0; j <= n; ++j) {
      if (objective[j] > kTiny && (in > n || free[j] < free[in])) in = j;
    }
    if (in > n) break;
    size_t out = rows.size();
    for (size_t i = 0; i < rows.size(); ++i) {
      if (!(rows[i][in] > kTiny)) continue;
      if (out == rows.size()) {
        out = i;
        continue;
      }
      const double here = rows[i][n + 1] / rows[i][in];
      const double best = rows[out][n + 1] / rows[out][in];
      if (here < best || (here == best && basis[i] < basis[out])) out = i;
    }
    if (out == rows.size()) break;
    const double pivot = rows[out][in];
    for (size_t j = 0; j < n + 2; ++j) {
      rows[out][j] = j == in ? 1 / pivot : rows[out][j] / pivot;
    }
    const auto eliminate = [&](std::vector<double>& row) {
      const double factor = row[in];
      for (size_t j = 0; j < n + 2; ++j) {
        row[j] = (j == in ? 0 : row[j]) - factor * rows[out][j];
      }
    };
    for (size_t i = 0; i < rows.size(); ++i) {
      if (i != out) eliminate(rows[i]);
    }
    eliminate(objective);
    std::swap(free[in], basis[out]);
  }
  return least - objective[n + 1];
}

}  // namespace

absl::StatusOr<RegionPieces> PiecesOf(std::span<const std::string> conditions,
                                      std::span<const MeasureRange> ranges,
                                      std::span<const RegionCut> cuts) {
  RegionPieces region;
  for (const std::string& condition : conditions) {
    const auto range =
        std::find_if(ranges.begin(), ranges.end(),
                     [&](const MeasureRange& r) { return r.quantity == condition; });
    if (range == ranges.end()) {
      return absl::InvalidArgumentError(absl::StrCat("region has no ", condition));
    }
    // Negated so that NaN is caught, too.
    if (!(range->low_si <= range->high_si) || !std::isfinite(range->low_si) ||
        !std::isfinite(range->high_si)) {
      return absl::InvalidArgumentError(
          absl::StrCat("region: the range of ", condition,
                       " ends before it starts or is not a finite number"));
    }
    region.box.low_si.push_back(range->low_si);
    region.box.high_si.push_back(range->high_si);
  }
  // A range over what the surface does not follow would promise what nobody looks at.
  for (const MeasureRange& range : ranges) {
    if (std::find(conditions.begin(), conditions.end(), range.quantity) ==
        conditions.end()) {
      return absl::InvalidArgumentError(
          absl::StrCat("region: ", range.quantity, " is no condition of the map"));
    }
  }
  region.pieces = {{}};
  const Cutter cutter(conditions);
  for (size_t i = 0; i < cuts.size(); ++i) {
    auto pieces = cutter.Pieces(cuts[i]);
    if (!pieces.ok()) {
      return absl::InvalidArgumentError(
          absl::StrCat("cuts[", i, "]: ", pieces.status().message()));
    }
    if (region.pieces.size() * pieces->size() > kMostRegionPieces) {
      return absl::InvalidArgumentError(
          absl::StrCat("cuts[", i, "]: the polygons cut the region into more than ",
                       kMostRegionPieces, " pieces; make several claims of it"));
    }
    std::vector<std::vector<HalfSpace>> both;
    for (const std::vector<HalfSpace>& earlier : region.pieces) {
      for (const std::vector<HalfSpace>& piece : *pieces) {
        both.push_back(earlier);
        both.back().insert(both.back().end(), piece.begin(), piece.end());
      }
    }
    region.pieces = std::move(both);
  }
  for (const std::vector<HalfSpace>& piece : region.pieces) {
    for (const HalfSpace& half_space : piece) {
      bool finite = std::isfinite(half_space.constant);
      for (double factor : half_space.factors) finite = finite && std::isfinite(factor);
      if (!finite) {
        return absl::InvalidArgumentError("cuts: a number is not finite, or too large");
      }
    }
  }
  std::erase_if(region.pieces, [&](const std::vector<HalfSpace>& piece) {
    return IsEmpty(region.box, piece);
  });
  return region;
}

bool IsEmpty(const ConditionBox& box, std::span<const HalfSpace> half_spaces) {
  if (half_spaces.empty()) return false;
  std::vector<std::vector<double>> a;
  std::vector<double> c;
  for (const HalfSpace& half_space : half_spaces) {
    std::vector<double>& row = a.emplace_back();
    double at_low = half_space.constant, size = std::fabs(half_space.constant), sum = 0;
    for (size_t i = 0; i < half_space.factors.size(); ++i) {
      const double factor = half_space.factors[i];
      row.push_back(factor * (box.high_si[i] - box.low_si[i]));
      at_low += factor * box.low_si[i];
      size += std::fabs(factor * box.low_si[i]);
      sum += std::fabs(row.back());
    }
    // By its extent over the box; where it has none, by its own numbers.
    double extent = sum > 0 ? sum : size;
    if (!(extent > 0)) extent = 1;
    for (double& entry : row) entry /= extent;
    c.push_back(at_low / extent);
  }
  constexpr double kRoundingFraction = 1e-12;
  return GreatestSlack(a, c) < -kRoundingFraction;
}

bool IsEmptyIn(const RegionPieces& region, const ConditionBox& part) {
  for (const std::vector<HalfSpace>& piece : region.pieces) {
    if (!IsEmpty(part, piece)) return false;
  }
  return true;
}

absl::StatusOr<std::optional<ConditionBox>> Within(
    std::span<const std::string> conditions, const ConditionBox& box,
    std::span<const MeasureRange> ranges) {
  ConditionBox within = box;
  bool common = true;
  for (const MeasureRange& range : ranges) {
    const auto found = std::find(conditions.begin(), conditions.end(), range.quantity);
    if (found == conditions.end()) {
      return absl::InvalidArgumentError(
          absl::StrCat(range.quantity, " is no condition of the map"));
    }
    const size_t i = static_cast<size_t>(found - conditions.begin());
    within.low_si[i] = std::max(within.low_si[i], range.low_si);
    within.high_si[i] = std::min(within.high_si[i], range.high_si);
    common = common && within.low_si[i] <= within.high_si[i];
  }
  if (!common) return std::optional<ConditionBox>();
  return std::optional<ConditionBox>(std::move(within));
}

std::optional<ConditionBox> Uncovered(const RegionPieces& region,
                                      std::span<const ConditionBox> covers) {
  const size_t n = region.box.low_si.size();
  // Every end of a cover divides the region; what lies between two neighbouring ends is
  // inside a cover or outside it as a whole.
  std::vector<std::vector<double>> ends(n);
  for (size_t i = 0; i < n; ++i) {
    ends[i] = {region.box.low_si[i], region.box.high_si[i]};
    for (const ConditionBox& cover : covers) {
      for (double end : {cover.low_si[i], cover.high_si[i]}) {
        if (end > region.box.low_si[i] && end < region.box.high_si[i]) {
          ends[i].push_back(end);
        }
      }
    }
    std::sort(ends[i].begin(), ends[i].end());
    ends[i].erase(std::unique(ends[i].begin(), ends[i].end()), ends[i].end());
    if (ends[i].size() == 1) ends[i].push_back(ends[i][0]);
  }
  std::vector<size_t> at(n, 0);
  for (;;) {
    ConditionBox cell;
    for (size_t i = 0; i < n; ++i) {
      cell.low_si.push_back(ends[i][at[i]]);
      cell.high_si.push_back(ends[i][at[i] + 1]);
    }
    const bool covered =
        std::any_of(covers.begin(), covers.end(), [&](const ConditionBox& cover) {
          for (size_t i = 0; i < n; ++i) {
            if (cell.low_si[i] < cover.low_si[i] || cell.high_si[i] > cover.high_si[i]) {
              return false;
            }
          }
          return true;
        });
    if (!covered && !IsEmptyIn(region, cell)) return cell;
    size_t i = 0;
    while (i < n && ++at[i] + 1 >= ends[i].size()) at[i++] = 0;
    if (i == n) return std::nullopt;
  }
}

}  // namespace ratebound::document
