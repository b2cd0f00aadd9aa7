// What cuts the region of a claim, and which stages may serve it. See
// proto/ratebound/v1/claim_region.proto for what each field means.
//
// Values are as written; engine/document/half_spaces.h turns the cuts into SI.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CLAIM_REGION_H_
#define RATEBOUND_ENGINE_DOCUMENT_CLAIM_REGION_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/measure.h"

namespace ratebound::document {

struct LinearCutTerm {
  std::string quantity;
  double factor = 0;
  std::string unit;
  friend bool operator==(const LinearCutTerm&, const LinearCutTerm&) = default;
};

struct LinearCut {
  std::vector<LinearCutTerm> terms;
  double at_most = 0;
  friend bool operator==(const LinearCut&, const LinearCut&) = default;
};

struct OrderCut {
  std::string quantity;
  std::string not_above;
  double offset = 0;
  std::string unit;  // empty where there is no offset
  friend bool operator==(const OrderCut&, const OrderCut&) = default;
};

struct PolygonVertex {
  double value = 0;
  double other_value = 0;
  friend bool operator==(const PolygonVertex&, const PolygonVertex&) = default;
};

struct PolygonCut {
  std::string quantity;
  std::string unit;
  std::string other_quantity;
  std::string other_unit;
  std::vector<PolygonVertex> vertices;
  friend bool operator==(const PolygonCut&, const PolygonCut&) = default;
};

enum class BoundSide { kAtLeast, kAtMost };

struct BoundCut {
  std::string quantity;
  BoundSide side = BoundSide::kAtLeast;
  std::string unit;
  double constant = 0;
  double slope = 0;
  std::string other_quantity;
  std::string other_unit;
  friend bool operator==(const BoundCut&, const BoundCut&) = default;
};

// One of them.
struct RegionCut {
  std::optional<LinearCut> linear;
  std::optional<OrderCut> order;
  std::optional<PolygonCut> polygon;
  std::optional<BoundCut> bound;
  friend bool operator==(const RegionCut&, const RegionCut&) = default;
};

enum class ServingRule { kSome, kEvery, kLowest, kHighest, kPerPart };

struct ServingPart {
  std::string stage;
  std::vector<MeasureRange> ranges;
  friend bool operator==(const ServingPart&, const ServingPart&) = default;
};

struct Serving {
  ServingRule rule = ServingRule::kSome;
  std::vector<std::string> stages;  // empty: all of the mode
  std::vector<ServingPart> parts;
  friend bool operator==(const Serving&, const Serving&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CLAIM_REGION_H_
