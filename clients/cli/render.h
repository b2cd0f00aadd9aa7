// Messages as text for people and as CSV. JSON is the message itself and needs nothing
// here.
//
// Numbers are printed with as many digits as their uncertainty deserves, at most six.
// Thread-safety: pure functions.
#ifndef RATEBOUND_CLIENTS_CLI_RENDER_H_
#define RATEBOUND_CLIENTS_CLI_RENDER_H_

#include <span>
#include <string>
#include <vector>

#include "ratebound/v1/claim.pb.h"
#include "ratebound/v1/curve.pb.h"
#include "ratebound/v1/log.pb.h"
#include "ratebound/v1/map.pb.h"
#include "ratebound/v1/points.pb.h"
#include "ratebound/v1/query_service.pb.h"
#include "ratebound/v1/rating.pb.h"
#include "ratebound/v1/rating_service.pb.h"
#include "ratebound/v1/release_service.pb.h"
#include "ratebound/v1/table.pb.h"

namespace ratebound::cli {

// Six significant digits, without trailing zeros.
std::string Number(double value);
// Two significant digits, for an uncertainty: "0.033", "1500".
std::string Rough(double value);
// Decimals that a number deserves beside a half width of `half_width`: those that leave
// the half width two significant digits; at most six.
int DecimalsBeside(double half_width);
// The shortest digits that give the number back, for CSV.
std::string Exact(double value);
// "entering_water_temp 85 degF, water_flow 20 gpm"
std::string Conditions(std::span<const v1::Measure> measures);
std::string FootingWord(v1::Footing footing);

// One screen a unit: surfaces of capacity and power (of every quantity where `all`) with
// points, blocks, errors, warnings and curves. With `all` also the models that were tried
// and what speaks for and against each surface.
std::string FitText(const std::vector<v1::StageMap>& maps,
                    const std::vector<v1::CurveFit>& curves, bool all, bool inch_pound);
// What became of the facts and balances of a unit's stages: those not proven, and how
// many were; every one where `all`. Empty where nothing was judged.
std::string FactsText(const std::vector<const v1::StageMap*>& stages, bool all,
                      bool inch_pound);
// Stages that have no surface at all and why, one a line; empty where all have one.
std::string UnfittedStages(const std::vector<v1::StageMap>& maps);
std::string FitCsv(const std::vector<v1::StageMap>& maps);

std::string SeverityWord(v1::Severity severity);
// "published text", "quoted elsewhere", "from memory".
std::string BasisWord(v1::Basis basis);

// The gravest first. Unless `all`, findings that many stages share are one line, and at
// most twenty lines of a severity are shown.
std::string FindingsText(const std::vector<v1::Finding>& findings,
                         const v1::CheckSummary& summary, bool all);
std::string FindingsCsv(const std::vector<v1::Finding>& findings);

// How logs were cut; unless `all`, at most forty windows of each, and what was left out
// by reasons.
std::string LogsText(const std::vector<v1::LogReport>& logs, bool all);
// How a point came to its figures; unless `all`, without sources of error that contribute
// less than half a percent.
std::string ChainText(const v1::PointChain& chain, bool inch_pound, bool all);
// Its steps.
std::string ChainCsv(const v1::PointChain& chain);

// "DOES NOT MEET 14.8 Btu/Wh on 2026-03-31 by us-431-97-unitary (clause, basis): reason"
std::string MinimumText(const v1::MinimumVerdict& verdict, const std::string& unit);
// A table of trace steps, as trees by their depth, then the clauses that they cite.
std::string TraceText(const google::protobuf::RepeatedPtrField<v1::TraceStep>& steps,
                      int indent);

// Ratings with their uncertainty, what is missing and how they stand to minimum levels;
// those under another procedure beside them, and who falls below a minimum.
std::string RatingsText(const std::vector<v1::RateLineResponse>& items, bool explain);
std::string RatingsCsv(const std::vector<v1::RateLineResponse>& items);
// One row for each bin of each season.
std::string BinsCsv(const std::vector<v1::RateLineResponse>& items);

// "PROVEN", "NOT_SHOWN (UNTESTED)".
std::string OutcomeWord(const v1::Verdict& verdict);
// "same", "WEAKER"; empty without a baseline.
std::string ChangeWord(v1::VerdictChange change);
std::string VerdictsText(const std::vector<v1::VerifyLineResponse>& verdicts);
std::string VerdictsCsv(const std::vector<v1::VerifyLineResponse>& verdicts);

std::string TableText(const v1::Table& table);
std::string TableCsv(const v1::Table& table);

std::string AnswerText(const v1::EvaluateResponse& answer, bool inch_pound);
std::string AnswerCsv(const v1::EvaluateResponse& answer, bool inch_pound);
std::string CurveAnswerText(const v1::EvaluateCurveResponse& answer, bool inch_pound);
std::string CurveAnswerCsv(const v1::EvaluateCurveResponse& answer, bool inch_pound);

std::string ProceduresText(const v1::ListProceduresResponse& procedures);
std::string ReleaseText(const v1::ReleaseSummary& release);
std::string ReleasesText(const v1::ListReleasesResponse& releases);
std::string ChangesText(const v1::CompareReleasesResponse& changes);
std::string ProceduresCsv(const v1::ListProceduresResponse& procedures);
std::string ReleasesCsv(const v1::ListReleasesResponse& releases);
std::string ChangesCsv(const v1::CompareReleasesResponse& changes);

}  // namespace ratebound::cli

#endif  // RATEBOUND_CLIENTS_CLI_RENDER_H_
