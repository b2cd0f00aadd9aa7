#include "engine/rating/season/declared_columns.h"

#include <algorithm>
#include <cstring>
#include <limits>

#include "engine/rating/season/lane_sums.h"

namespace ratebound::rating {
namespace {

constexpr int kBlock = 64;  // a multiple of the lanes, and small enough for the stack

// Two doubles; arithmetic is that of each by itself.
typedef double Pair __attribute__((vector_size(16)));
typedef long long Mask __attribute__((vector_size(16)));
constexpr int kPairs = kSumLanes / 2;

Pair Load(const double* from) {
  Pair pair;
  std::memcpy(&pair, from, sizeof(pair));
  return pair;
}

Pair Lesser(Pair a, Pair b) {
  const Mask less = a < b;
  return (Pair)(((Mask)a & less) | ((Mask)b & ~less));
}

struct Sums {
  Pair counted[kPairs] = {};
  Pair used[kPairs] = {};
  Pair unit_counted[kPairs] = {};
  Pair unit_used[kPairs] = {};
};

// Capacity and efficiency of the bins of a block; of whole lanes.
struct Block {
  alignas(16) double efficiency[kBlock];
  alignas(16) double capacity_w[kBlock];
};

// Adds the bins from `begin` on, whose number is a multiple of the lanes.
template <document::UnmetLoad kUnmet>
void AddBlock(const SeasonPlan& plan, int begin, int count, double design_load_w,
              const Block& block, Sums& sums) {
  const DeclaredColumns& columns = plan.declared_columns;
  const Pair design = {design_load_w, design_load_w};
  const Pair backup_power = {plan.backup_power, plan.backup_power};
  for (int i = 0; i < count; i += kSumLanes) {
    for (int pair = 0; pair < kPairs; ++pair) {
      const int at = i + 2 * pair;
      const Pair load = design * Load(&columns.load_parts[begin + at]);
      const Pair weight = Load(&columns.weights[begin + at]);
      const Pair efficiency = Load(&block.efficiency[at]);
      if constexpr (kUnmet == document::UnmetLoad::kAtUnitEfficiency) {
        // Where the unit gives all of the load, this is its power, too.
        const Pair counted = weight * load;
        const Pair used = weight * (load / efficiency);
        sums.counted[pair] += counted;
        sums.used[pair] += used;
        sums.unit_counted[pair] += counted;
        sums.unit_used[pair] += used;
        continue;
      }
      const Pair on_part = Load(&columns.on_parts[begin + at]);
      const Pair given = Lesser(Load(&block.capacity_w[at]), load);
      const Pair power = given / efficiency * on_part;
      const Pair capacity = given * on_part;
      if constexpr (kUnmet == document::UnmetLoad::kBackup) {
        const Pair backup = (load - capacity) * backup_power;
        sums.counted[pair] += weight * load;
        sums.used[pair] += weight * (power + backup);
      } else {
        sums.counted[pair] += weight * capacity;
        sums.used[pair] += weight * power;
      }
      sums.unit_counted[pair] += weight * capacity;
      sums.unit_used[pair] += weight * power;
    }
  }
}

void AddBlock(const SeasonPlan& plan, int begin, int count, double design_load_w,
              const Block& block, Sums& sums) {
  using enum document::UnmetLoad;
  switch (plan.unmet_load) {
    case kBackup:
      return AddBlock<kBackup>(plan, begin, count, design_load_w, block, sums);
    case kNotCounted:
      return AddBlock<kNotCounted>(plan, begin, count, design_load_w, block, sums);
    case kAtUnitEfficiency:
      return AddBlock<kAtUnitEfficiency>(plan, begin, count, design_load_w, block, sums);
  }
}

}  // namespace

DeclaredColumns ColumnsOf(const SeasonPlan& plan) {
  DeclaredColumns columns;
  columns.usable =
      plan.degrade_at == document::DegradeAt::kPoints && !plan.off_below_backup;
  for (size_t i = 0; i < plan.bins.size(); ++i) {
    const BinPlan& bin = plan.bins[i];
    const LinePoint& line = plan.lines[i];
    columns.usable = columns.usable && bin.load_part > 0;
    columns.parts.push_back(line.part);
    columns.load_parts.push_back(bin.load_part);
    columns.on_parts.push_back(bin.on_part);
    columns.weights.push_back(bin.weight);
    const int index = static_cast<int>(i);
    const bool on = bin.on_part > 0;
    const auto goes_on = [&](const DeclaredColumns::Segment& last) {
      const double before = columns.parts[i - 1];
      const double way = before - columns.parts[static_cast<size_t>(last.begin)];
      return index % kBlock != 0 && last.a == line.a && last.b == line.b &&
             last.on == on && way * (line.part - before) >= 0;
    };
    if (!columns.segments.empty() && goes_on(columns.segments.back())) {
      columns.segments.back().end = index + 1;
    } else {
      columns.segments.push_back({line.a, line.b, index, index + 1, on});
    }
  }
  // Lanes are filled up with bins that weigh nothing.
  while (columns.weights.size() % kSumLanes != 0) {
    columns.load_parts.push_back(1);
    columns.on_parts.push_back(0);
    columns.weights.push_back(0);
  }
  return columns;
}

SeasonSums SumColumns(const SeasonPlan& plan, std::span<const DeclaredPoint> points,
                      double design_load_w) {
  const DeclaredColumns& columns = plan.declared_columns;
  const int bin_count = static_cast<int>(columns.parts.size());
  const int lane_count = static_cast<int>(columns.weights.size());
  Sums sums;
  Block block;
  bool possible = design_load_w > 0;
  size_t segment = 0;
  for (int begin = 0; begin < bin_count; begin += kBlock) {
    const int count = std::min(kBlock, lane_count - begin);
    for (int i = std::min(kBlock, bin_count - begin); i < count; ++i) {
      block.efficiency[i] = 1;
      block.capacity_w[i] = 0;
    }
    // Segments end where blocks do.
    for (; segment < columns.segments.size() &&
           columns.segments[segment].begin < begin + count;
         ++segment) {
      const DeclaredColumns::Segment& in = columns.segments[segment];
      const int first = in.begin - begin;
      const int last = in.end - begin;
      if (!in.on) {
        // Whatever the lines come to there.
        std::fill(block.efficiency + first, block.efficiency + last, 1.0);
        std::fill(block.capacity_w + first, block.capacity_w + last, 0.0);
        continue;
      }
      const DeclaredPoint& a = points[in.a];
      const DeclaredPoint& b = points[in.b];
      const double efficiency_step = b.efficiency - a.efficiency;
      const double capacity_step_w = b.capacity_w - a.capacity_w;
      const double* parts = columns.parts.data() + begin;
      for (int i = first; i < last; ++i) {
        block.efficiency[i] = a.efficiency + efficiency_step * parts[i];
      }
      for (int i = first; i < last; ++i) {
        block.capacity_w[i] = a.capacity_w + capacity_step_w * parts[i];
      }
      // A segment rises or falls, and lines with it, so that its ends stand for all.
      for (const int end : {first, last - 1}) {
        possible = possible && block.efficiency[end] > 0 && block.capacity_w[end] >= 0;
      }
    }
    AddBlock(plan, begin, count, design_load_w, block, sums);
  }
  LaneSums lanes;
  std::memcpy(lanes.counted, sums.counted, sizeof(lanes.counted));
  std::memcpy(lanes.used, sums.used, sizeof(lanes.used));
  std::memcpy(lanes.unit_counted, sums.unit_counted, sizeof(lanes.unit_counted));
  std::memcpy(lanes.unit_used, sums.unit_used, sizeof(lanes.unit_used));
  SeasonSums total = lanes.Total(design_load_w);
  if (!possible) total.used = total.unit_used = std::numeric_limits<double>::quiet_NaN();
  return total;
}

}  // namespace ratebound::rating
