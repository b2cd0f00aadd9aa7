#include "engine/rating/season/declared_columns.h"

#include <algorithm>
#include <limits>

#include "engine/rating/season/lane_sums.h"

namespace ratebound::rating {
namespace {

constexpr int kBlock = 64;  // a multiple of the lanes, and small enough for the stack

struct Block {
  alignas(16) double efficiency[kBlock];
  alignas(16) double capacity_w[kBlock];
  alignas(16) double load_w[kBlock];
  alignas(16) double power_w[kBlock];
  alignas(16) double counted[kBlock];
  alignas(16) double used[kBlock];
  alignas(16) double unit_counted[kBlock];
  alignas(16) double unit_used[kBlock];
};

void AddLanes(const double* __restrict terms, int count, double* __restrict lanes) {
  int i = 0;
  for (; i + kSumLanes <= count; i += kSumLanes) {
    for (int lane = 0; lane < kSumLanes; ++lane) lanes[lane] += terms[i + lane];
  }
  for (; i < count; ++i) lanes[i % kSumLanes] += terms[i];
}

// Load, and what the unit gives of it, at its power.
void Operate(const SeasonPlan& plan, int begin, int count, double design_load_w,
             Block& block) {
  const double* __restrict load_parts = plan.declared_columns.load_parts.data() + begin;
  const double* __restrict on_parts = plan.declared_columns.on_parts.data() + begin;
  for (int i = 0; i < count; ++i) {
    const double load_w = design_load_w * load_parts[i];
    const double capacity_w = block.capacity_w[i];
    const double given_w = capacity_w < load_w ? capacity_w : load_w;
    block.load_w[i] = load_w;
    block.power_w[i] = given_w / block.efficiency[i] * on_parts[i];
    block.capacity_w[i] = given_w * on_parts[i];
  }
}

// The terms of the sums.
void Count(const SeasonPlan& plan, int begin, int count, Block& block) {
  const double* __restrict weights = plan.declared_columns.weights.data() + begin;
  switch (plan.unmet_load) {
    case document::UnmetLoad::kBackup: {
      const double backup_efficiency = plan.backup_efficiency;
      for (int i = 0; i < count; ++i) {
        const double backup_w =
            (block.load_w[i] - block.capacity_w[i]) / backup_efficiency;
        block.counted[i] = weights[i] * block.load_w[i];
        block.used[i] = weights[i] * (block.power_w[i] + backup_w);
      }
      break;
    }
    case document::UnmetLoad::kNotCounted:
      for (int i = 0; i < count; ++i) {
        block.counted[i] = weights[i] * block.capacity_w[i];
        block.used[i] = weights[i] * block.power_w[i];
      }
      break;
    case document::UnmetLoad::kAtUnitEfficiency:
      // Where the unit gives all of the load, this is its power, too.
      for (int i = 0; i < count; ++i) {
        block.power_w[i] = block.load_w[i] / block.efficiency[i];
        block.capacity_w[i] = block.load_w[i];
        block.counted[i] = weights[i] * block.load_w[i];
        block.used[i] = weights[i] * block.power_w[i];
      }
      break;
  }
  for (int i = 0; i < count; ++i) {
    block.unit_counted[i] = weights[i] * block.capacity_w[i];
    block.unit_used[i] = weights[i] * block.power_w[i];
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
    if (!columns.segments.empty() && columns.segments.back().a == line.a &&
        columns.segments.back().b == line.b && index % kBlock != 0) {
      columns.segments.back().end = index + 1;
    } else {
      columns.segments.push_back({line.a, line.b, index, index + 1});
    }
  }
  return columns;
}

SeasonSums SumColumns(const SeasonPlan& plan, std::span<const DeclaredPoint> points,
                      double design_load_w) {
  const DeclaredColumns& columns = plan.declared_columns;
  const int bin_count = static_cast<int>(columns.parts.size());
  LaneSums sums;
  Block block;
  bool possible = design_load_w > 0;
  size_t segment = 0;
  for (int begin = 0; begin < bin_count; begin += kBlock) {
    const int count = std::min(kBlock, bin_count - begin);
    // Segments end where blocks do.
    for (; segment < columns.segments.size() &&
           columns.segments[segment].begin < begin + count;
         ++segment) {
      const DeclaredColumns::Segment& in = columns.segments[segment];
      const DeclaredPoint& a = points[in.a];
      const DeclaredPoint& b = points[in.b];
      const double efficiency_step = b.efficiency - a.efficiency;
      const double capacity_step_w = b.capacity_w - a.capacity_w;
      const double* __restrict parts = columns.parts.data();
      for (int i = in.begin; i < in.end; ++i) {
        block.efficiency[i - begin] = a.efficiency + efficiency_step * parts[i];
        block.capacity_w[i - begin] = a.capacity_w + capacity_step_w * parts[i];
      }
    }
    const double* __restrict on_parts = columns.on_parts.data() + begin;
    for (int i = 0; i < count; ++i) {
      // Off, whatever the lines come to there.
      block.efficiency[i] = on_parts[i] > 0 ? block.efficiency[i] : 1;
      block.capacity_w[i] = on_parts[i] > 0 ? block.capacity_w[i] : 0;
      possible &= block.efficiency[i] > 0 && block.capacity_w[i] >= 0;
    }
    Operate(plan, begin, count, design_load_w, block);
    Count(plan, begin, count, block);
    AddLanes(block.counted, count, sums.counted);
    AddLanes(block.used, count, sums.used);
    AddLanes(block.unit_counted, count, sums.unit_counted);
    AddLanes(block.unit_used, count, sums.unit_used);
  }
  SeasonSums total = sums.Total(design_load_w);
  if (!possible) total.used = total.unit_used = std::numeric_limits<double>::quiet_NaN();
  return total;
}

}  // namespace ratebound::rating
