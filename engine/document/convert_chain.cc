#include "engine/document/convert_parts.h"

namespace ratebound::document {

static void Read(const v1::UncertaintyContribution& from, UncertaintyContribution& to,
                 base::FaultList&) {
  to.name = from.name();
  to.input = from.input();
  to.contribution_si = from.contribution_si();
  to.share = from.share();
  to.systematic = from.systematic();
}

static void Write(const UncertaintyContribution& from, v1::UncertaintyContribution* to) {
  to->set_name(from.name);
  to->set_input(from.input);
  to->set_contribution_si(from.contribution_si);
  to->set_share(from.share);
  to->set_systematic(from.systematic);
}

static void Read(const v1::UncertaintyBudget& from, UncertaintyBudget& to,
                 base::FaultList& faults) {
  to.quantity = from.quantity();
  to.value_si = from.value_si();
  ReadAll(from.contributions(), to.contributions, faults);
  Read(from.uncertainty(), to.uncertainty, faults);
}

static void Write(const UncertaintyBudget& from, v1::UncertaintyBudget* to) {
  to->set_quantity(from.quantity);
  to->set_value_si(from.value_si);
  WriteAll(from.contributions, to->mutable_contributions());
  Write(from.uncertainty, to->mutable_uncertainty());
}

static void Read(const v1::MonteCarloFigure& from, MonteCarloFigure& to,
                 base::FaultList&) {
  to.quantity = from.quantity();
  to.draw_count = from.draw_count();
  to.mean_si = from.mean_si();
  to.standard_deviation_si = from.standard_deviation_si();
  to.low_si = from.low_si();
  to.high_si = from.high_si();
  to.adequacy = from.adequacy();
  to.adequate = from.adequate();
}

static void Write(const MonteCarloFigure& from, v1::MonteCarloFigure* to) {
  to->set_quantity(from.quantity);
  to->set_draw_count(from.draw_count);
  to->set_mean_si(from.mean_si);
  to->set_standard_deviation_si(from.standard_deviation_si);
  to->set_low_si(from.low_si);
  to->set_high_si(from.high_si);
  to->set_adequacy(from.adequacy);
  to->set_adequate(from.adequate);
}

void Read(const v1::PointChain& from, PointChain& to, base::FaultList& faults) {
  Read(from.point(), to.point, faults);
  ReadAll(from.steps(), to.steps, faults);
  ReadAll(from.budgets(), to.budgets, faults);
  ReadAll(from.monte_carlo(), to.monte_carlo, faults);
  ReadAll(from.findings(), to.findings, faults);
}

void Write(const PointChain& from, v1::PointChain* to) {
  Write(from.point, to->mutable_point());
  WriteAll(from.steps, to->mutable_steps());
  WriteAll(from.budgets, to->mutable_budgets());
  WriteAll(from.monte_carlo, to->mutable_monte_carlo());
  WriteAll(from.findings, to->mutable_findings());
}

}  // namespace ratebound::document
