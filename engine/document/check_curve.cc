#include "engine/document/check_line_parts.h"
#include "engine/document/check_parts.h"

namespace ratebound::document {
namespace {

using quantity::Dimension;

void CheckLiquidCurve(const v1::CurveRequest& curve, const Node& node) {
  using C = v1::CurveRequest;
  node.Require({C::kFlowFieldNumber, C::kPressureDropFieldNumber,
                C::kTemperatureFieldNumber, C::kLiquidFieldNumber});
  CheckMeasures(node, C::kFlowFieldNumber, curve.flow(),
                {Dimension::kVolumeFlow, Dimension::kMassFlow});
  CheckMeasures(node, C::kPressureDropFieldNumber, curve.pressure_drop(),
                {Dimension::kPressureDifference});
  CheckMeasures(node, C::kTemperatureFieldNumber, curve.temperature(),
                {Dimension::kTemperature});
  CheckLiquid(curve, node);
}

void CheckFanCurve(const Node& node) {
  using C = v1::CurveRequest;
  for (int field :
       {C::kFlowFieldNumber, C::kPressureDropFieldNumber, C::kTemperatureFieldNumber,
        C::kLiquidFieldNumber, C::kConcentrationFractionFieldNumber}) {
    if (node.Has(field)) {
      node.Fault(field, "the curve of a fan is over its own quantities", "leave it out");
    }
  }
}

}  // namespace

void CheckCurves(const v1::Unit& unit, const Node& node) {
  using C = v1::CurveRequest;
  Unique ids("curve");
  for (int i = 0; i < unit.curves_size(); ++i) {
    const v1::CurveRequest& curve = unit.curves(i);
    const Node child = node.Child(v1::Unit::kCurvesFieldNumber, i);
    child.Require({C::kIdFieldNumber, C::kKindFieldNumber});
    CheckId(child, C::kIdFieldNumber, curve.id());
    ids.Check(child, C::kIdFieldNumber, curve.id());
    if (curve.kind() == v1::CURVE_KIND_LIQUID_PRESSURE_DROP) {
      CheckLiquidCurve(curve, child);
    } else if (curve.kind() == v1::CURVE_KIND_FAN) {
      CheckFanCurve(child);
    }
  }
}

}  // namespace ratebound::document
