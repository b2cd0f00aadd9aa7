#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(CurveKind::kFan) + 1 == v1::CURVE_KIND_FAN);

void Read(const v1::CurveRequest& from, CurveRequest& to, base::FaultList& faults) {
  to.id = from.id();
  to.kind = ReadEnum<CurveKind>(from.kind(), "CurveRequest.kind", faults);
  to.flow = from.flow();
  to.pressure_drop = from.pressure_drop();
  to.temperature = from.temperature();
  to.liquid = from.liquid();
  if (from.has_concentration_fraction())
    to.concentration_fraction = from.concentration_fraction();
}

void Write(const CurveRequest& from, v1::CurveRequest* to) {
  to->set_id(from.id);
  to->set_kind(WriteEnum<v1::CurveKind>(from.kind));
  to->set_flow(from.flow);
  to->set_pressure_drop(from.pressure_drop);
  to->set_temperature(from.temperature);
  to->set_liquid(from.liquid);
  if (from.concentration_fraction.has_value())
    to->set_concentration_fraction(*from.concentration_fraction);
}

static void Read(const v1::TestedSpan& from, TestedSpan& to, base::FaultList&) {
  to.quantity = from.quantity();
  to.low_si = from.low_si();
  to.high_si = from.high_si();
}

static void Write(const TestedSpan& from, v1::TestedSpan* to) {
  to->set_quantity(from.quantity);
  to->set_low_si(from.low_si);
  to->set_high_si(from.high_si);
}

void Read(const v1::CurveFit& from, CurveFit& to, base::FaultList& faults) {
  to.unit = from.unit();
  to.id = from.id();
  to.kind = ReadEnum<CurveKind>(from.kind(), "CurveFit.kind", faults);
  to.points = Plainly(from.points());
  to.coefficients = Plainly(from.coefficients());
  to.standard_errors = Plainly(from.standard_errors());
  to.form = from.form();
  to.residual_fraction = from.residual_fraction();
  ReadAll(from.tested(), to.tested, faults);
  to.warnings = Plainly(from.warnings());
  to.reference_density = from.reference_density();
  to.reference_viscosity = from.reference_viscosity();
  to.power_coefficients = Plainly(from.power_coefficients());
  to.power_residual_fraction = from.power_residual_fraction();
  if (!to.standard_errors.empty()) {
    RequireSize(to.standard_errors.size(), to.coefficients.size(),
                "CurveFit.standard_errors", faults);
  }
}

void Write(const CurveFit& from, v1::CurveFit* to) {
  to->set_unit(from.unit);
  to->set_id(from.id);
  to->set_kind(WriteEnum<v1::CurveKind>(from.kind));
  Fill(from.points, to->mutable_points());
  Fill(from.coefficients, to->mutable_coefficients());
  Fill(from.standard_errors, to->mutable_standard_errors());
  to->set_form(from.form);
  to->set_residual_fraction(from.residual_fraction);
  WriteAll(from.tested, to->mutable_tested());
  Fill(from.warnings, to->mutable_warnings());
  to->set_reference_density(from.reference_density);
  to->set_reference_viscosity(from.reference_viscosity);
  Fill(from.power_coefficients, to->mutable_power_coefficients());
  to->set_power_residual_fraction(from.power_residual_fraction);
}

}  // namespace ratebound::document
