#include "engine/claim/region_shares.h"

#include <algorithm>
#include <deque>
#include <map>
#include <tuple>
#include <utility>

#include "engine/base/status_macros.h"
#include "engine/bound/box_bound.h"
#include "engine/bound/cover_region.h"
#include "engine/map/surface_polynomials.h"

namespace ratebound::claim {
namespace {

using bound::Membership;
using document::ConditionBox;
using document::PartState;

constexpr int kMostBoxes = 2'000;
constexpr int kMostHalvings = 24;
constexpr size_t kMostParts = 8;

enum class Inside { kAll, kSome, kNone };

// A box in unit coordinates of the whole region.
struct Cell {
  bound::UnitPart unit;
  int halvings = 0;
};

// Bounds of one alternative over the whole box of the region, made once.
struct AlternativeBounds {
  const Alternative* alternative = nullptr;
  std::vector<bound::BoxBounder> proving;
  std::vector<bound::BoxBounder> refuting;
  std::vector<bound::RangeBounder> leverages;  // of the parts inside the tested ranges
};

class Divider {
 public:
  Divider(const ProblemSet& set, const document::RegionPieces& region)
      : set_(set), region_(region), whole_(BoxIn(set.frame, region.box)), map_(whole_) {}

  absl::StatusOr<Division> Divide() {
    RETURN_IF_ERROR(MakeBounds());
    std::deque<Cell> queue(1);
    for (int i = 0; i < map_.variables; ++i) {
      queue[0].unit.lo[i] = -1;
      queue[0].unit.hi[i] = 1;
    }
    int boxes = 0;
    while (!queue.empty()) {
      const Cell cell = queue.front();
      queue.pop_front();
      ++boxes;
      const ConditionBox box = BoxOf(cell);
      const Inside inside = InsideOf(box);
      if (inside == Inside::kNone) continue;
      std::string stage;
      auto state = StateOf(cell, box, stage);
      const int split = WidestSide(cell);
      const bool last = cell.halvings >= kMostHalvings || split < 0 ||
                        boxes + static_cast<int>(queue.size()) >= kMostBoxes;
      // A box that a cut runs through is divided for its share alone, less finely.
      const bool rough = inside == Inside::kSome && cell.halvings < kMostHalvings / 2;
      if (last || (state && !rough)) {
        Count(cell, box, state.value_or(PartState::kUncertain), stage, inside);
        continue;
      }
      for (int half = 0; half < 2; ++half) {
        Cell part = cell;
        const double middle = (cell.unit.lo[split] + cell.unit.hi[split]) / 2;
        (half == 0 ? part.unit.hi : part.unit.lo)[split] = middle;
        ++part.halvings;
        queue.push_back(part);
      }
    }
    return Finish();
  }

 private:
  absl::Status MakeBounds() {
    for (const Problem& problem : set_.problems) {
      std::vector<AlternativeBounds>& of_problem = bounds_.emplace_back();
      for (const auto& alternative : problem.alternatives) {
        AlternativeBounds bounds{.alternative = alternative.get()};
        for (const SideMargin& side : alternative->sides) {
          RETURN_IF_ERROR(bound::CheckBandedFunction(side.pessimistic, whole_));
          bounds.proving.emplace_back(side.pessimistic, whole_);
          if (side.shortfall && !problem.lacks_a_stage) {
            RETURN_IF_ERROR(bound::CheckBandedFunction(*side.shortfall, whole_));
            bounds.refuting.emplace_back(*side.shortfall, whole_);
          }
        }
        for (const TestedStage& tested : alternative->tested) {
          const bound::Box range = map::ScaledBox(
              *tested.surface, tested.map->tested_low_si, tested.map->tested_high_si);
          ASSIGN_OR_RETURN(auto leverage, tested.tested.LeverageOver(range));
          bounds.leverages.push_back(std::move(leverage));
        }
        of_problem.push_back(std::move(bounds));
      }
    }
    return absl::OkStatus();
  }

  ConditionBox BoxOf(const Cell& cell) const {
    const size_t n = static_cast<size_t>(map_.variables);
    std::vector<double> low(n), high(n);
    map_.ToBox(cell.unit.lo.data(), low.data());
    map_.ToBox(cell.unit.hi.data(), high.data());
    ConditionBox box{.low_si = PointOf(set_.frame, low),
                     .high_si = PointOf(set_.frame, high)};
    // The ends of the region as they were written.
    for (size_t i = 0; i < n; ++i) {
      if (cell.unit.lo[i] == -1) box.low_si[i] = region_.box.low_si[i];
      if (cell.unit.hi[i] == 1) box.high_si[i] = region_.box.high_si[i];
    }
    return box;
  }

  Inside InsideOf(const ConditionBox& box) const {
    bool some = false;
    for (const auto& piece : region_.pieces) {
      bool all = true, none = false;
      for (const document::HalfSpace& half_space : piece) {
        double least = half_space.constant, greatest = half_space.constant;
        for (size_t i = 0; i < half_space.factors.size(); ++i) {
          const double factor = half_space.factors[i];
          least += factor * (factor > 0 ? box.low_si[i] : box.high_si[i]);
          greatest += factor * (factor > 0 ? box.high_si[i] : box.low_si[i]);
        }
        all = all && least >= 0;
        none = none || greatest < 0;
      }
      if (all) return Inside::kAll;
      some = some || !none;
    }
    return some ? Inside::kSome : Inside::kNone;
  }

  // Whether the box lies in the part of a problem.
  static Inside InPart(const Problem& problem, const ConditionBox& box) {
    bool all = true;
    for (size_t i = 0; i < box.low_si.size(); ++i) {
      const double low = problem.box.low_si[i], high = problem.box.high_si[i];
      // Parts that only touch have a face in common, and a face has no volume.
      if (box.low_si[i] < box.high_si[i] &&
          (box.high_si[i] <= low || box.low_si[i] >= high)) {
        return Inside::kNone;
      }
      if (box.high_si[i] < low || box.low_si[i] > high) return Inside::kNone;
      all = all && low <= box.low_si[i] && box.high_si[i] <= high;
    }
    return all ? Inside::kAll : Inside::kSome;
  }

  Membership TestedIn(AlternativeBounds& bounds, const ConditionBox& box) {
    Membership all = Membership::kIn;
    for (size_t k = 0; k < bounds.leverages.size(); ++k) {
      const TestedStage& stage = bounds.alternative->tested[k];
      Membership here = Membership::kIn;
      for (size_t i = 0; i < box.low_si.size(); ++i) {
        const double slack = 1e-12 * stage.surface->half_range_si[i];
        const double low = stage.map->tested_low_si[i] - slack;
        const double high = stage.map->tested_high_si[i] + slack;
        if (box.high_si[i] < low || box.low_si[i] > high ||
            (box.low_si[i] < box.high_si[i] &&
             (box.high_si[i] <= low || box.low_si[i] >= high))) {
          return Membership::kOut;
        }
        if (box.low_si[i] < low || box.high_si[i] > high) here = Membership::kUnknown;
      }
      if (here == Membership::kIn) {
        here = stage.tested.Classify(
            map::ScaledBox(*stage.surface, box.low_si, box.high_si), bounds.leverages[k]);
      }
      if (here == Membership::kOut) return here;
      if (here == Membership::kUnknown) all = here;
    }
    return all;
  }

  static bool NotNegative(bound::BoxBounder& bounder, const Cell& cell) {
    bound::BoxBounder::Vector centre{};
    for (int i = 0; i < bounder.variables(); ++i) {
      centre[i] = (cell.unit.lo[i] + cell.unit.hi[i]) / 2;
    }
    return bounder.Bound(cell.unit, centre, 0).lower >= 0;
  }

  // What is true of the whole box; empty where nothing is known to be.
  std::optional<PartState> StateOf(const Cell& cell, const ConditionBox& box,
                                   std::string& stage) {
    bool proven = true, untested = false;
    for (size_t p = 0; p < set_.problems.size(); ++p) {
      const Inside in_part = InPart(set_.problems[p], box);
      if (in_part == Inside::kNone) continue;
      if (in_part == Inside::kSome) {
        proven = false;
        continue;
      }
      bool shown = false, fails = true, nowhere = true;
      for (AlternativeBounds& bounds : bounds_[p]) {
        const Membership tested = TestedIn(bounds, box);
        nowhere = nowhere && tested == Membership::kOut;
        if (tested != Membership::kIn) {
          fails = false;
          continue;
        }
        bool holds = true, misses = false;
        for (bound::BoxBounder& bounder : bounds.proving) {
          holds = holds && NotNegative(bounder, cell);
        }
        for (bound::BoxBounder& bounder : bounds.refuting) {
          misses = misses || (!holds && NotNegative(bounder, cell));
        }
        if (holds) {
          if (stage.empty()) stage = bounds.alternative->stage;
          shown = true;
          break;
        }
        fails = fails && misses;
      }
      if (!shown && fails) return PartState::kRefuted;
      untested = untested || nowhere;
      proven = proven && shown;
    }
    if (untested) return PartState::kUntested;
    if (proven) return PartState::kProven;
    return std::nullopt;
  }

  int WidestSide(const Cell& cell) const {
    int widest = -1;
    for (int i = 0; i < map_.variables; ++i) {
      if (!(map_.radius[i] > 0)) continue;
      if (widest < 0 || cell.unit.hi[i] - cell.unit.lo[i] >
                            cell.unit.hi[widest] - cell.unit.lo[widest]) {
        widest = i;
      }
    }
    return widest;
  }

  void Count(const Cell& cell, const ConditionBox& box, PartState state,
             const std::string& stage, Inside inside) {
    if (inside == Inside::kSome) {
      ConditionBox centre = box;
      for (size_t i = 0; i < box.low_si.size(); ++i) {
        centre.low_si[i] = centre.high_si[i] = (box.low_si[i] + box.high_si[i]) / 2;
      }
      if (InsideOf(centre) == Inside::kNone) return;
    }
    double volume = 1;
    for (int i = 0; i < map_.variables; ++i) {
      if (map_.radius[i] > 0) volume *= (cell.unit.hi[i] - cell.unit.lo[i]) / 2;
    }
    total_ += volume;
    volumes_[static_cast<int>(state)] += volume;
    const std::string shown_by = state == PartState::kProven ? stage : "";
    boxes_[{static_cast<int>(state), shown_by}].push_back(
        {.lo = {cell.unit.lo.begin(), cell.unit.lo.begin() + map_.variables},
         .hi = {cell.unit.hi.begin(), cell.unit.hi.begin() + map_.variables}});
  }

  Division Finish() {
    Division division;
    if (!(total_ > 0)) {  // cuts thinner than the smallest box
      division.shares.uncertain_fraction = 1;
      return division;
    }
    division.shares.proven_fraction = volumes_[0] / total_;
    division.shares.refuted_fraction = volumes_[1] / total_;
    division.shares.untested_fraction = volumes_[3] / total_;
    division.shares.uncertain_fraction =
        volumes_[2] == 0 ? 0
                         : std::max(0.0, 1 - division.shares.proven_fraction -
                                             division.shares.refuted_fraction -
                                             division.shares.untested_fraction);
    for (auto& [key, boxes] : boxes_) {
      for (const bound::Box& unit : bound::MergeBoxes(std::move(boxes))) {
        Cell cell;
        double volume = 1;
        for (int i = 0; i < map_.variables; ++i) {
          cell.unit.lo[i] = unit.lo[i];
          cell.unit.hi[i] = unit.hi[i];
          if (map_.radius[i] > 0) volume *= (unit.hi[i] - unit.lo[i]) / 2;
        }
        division.parts.push_back({.state = static_cast<PartState>(key.first),
                                  .box = BoxOf(cell),
                                  .fraction = std::min(1.0, volume / total_),
                                  .stage = key.second});
      }
    }
    std::stable_sort(
        division.parts.begin(), division.parts.end(),
        [](const SharedPart& a, const SharedPart& b) { return a.fraction > b.fraction; });
    if (division.parts.size() > kMostParts) division.parts.resize(kMostParts);
    return division;
  }

  const ProblemSet& set_;
  const document::RegionPieces& region_;
  const bound::Box whole_;
  const bound::UnitMap map_;
  std::vector<std::vector<AlternativeBounds>> bounds_;
  double total_ = 0;
  double volumes_[4] = {};
  std::map<std::pair<int, std::string>, std::vector<bound::Box>> boxes_;
};

}  // namespace

absl::StatusOr<Division> DivideRegion(const ProblemSet& set,
                                      const document::RegionPieces& region) {
  return Divider(set, region).Divide();
}

}  // namespace ratebound::claim
