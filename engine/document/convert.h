// Messages of proto/ratebound/v1 to plain structs and back.
//
// Example:
//   v1::StageMap message = ToMessage(map);
//   ASSIGN_OR_RETURN(StageMap again, FromMessage(message));   // again == map
//
// ToMessage takes what the engine made and cannot fail. FromMessage trusts nothing: a
// message may come from a store or a peer. It refuses numbers that are not finite,
// unspecified or unknown values of enumerations, unknown fields, sizes that do not fit
// each other, and units that do not fit their quantity, since SI values are computed from
// the values as written. It does not repeat the checks of documents that people write
// (engine/document/text.h), so that a release stays readable when those become stricter.
// Errors: INVALID_ARGUMENT with all faults, each with its field.
// Thread-safety: all functions may be called concurrently.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CONVERT_H_
#define RATEBOUND_ENGINE_DOCUMENT_CONVERT_H_

#include "absl/status/statusor.h"
#include "engine/document/chain.h"
#include "engine/document/claim.h"
#include "engine/document/curve.h"
#include "engine/document/line.h"
#include "engine/document/log.h"
#include "engine/document/map.h"
#include "engine/document/measure.h"
#include "engine/document/method.h"
#include "engine/document/minimum.h"
#include "engine/document/points.h"
#include "engine/document/procedure.h"
#include "engine/document/rating.h"
#include "engine/document/release.h"
#include "engine/document/shape.h"
#include "engine/document/table.h"
#include "ratebound/v1/claim.pb.h"
#include "ratebound/v1/curve.pb.h"
#include "ratebound/v1/line.pb.h"
#include "ratebound/v1/log.pb.h"
#include "ratebound/v1/map.pb.h"
#include "ratebound/v1/measure.pb.h"
#include "ratebound/v1/method.pb.h"
#include "ratebound/v1/minimum.pb.h"
#include "ratebound/v1/points.pb.h"
#include "ratebound/v1/procedure.pb.h"
#include "ratebound/v1/rating.pb.h"
#include "ratebound/v1/release.pb.h"
#include "ratebound/v1/shape.pb.h"
#include "ratebound/v1/table.pb.h"

namespace ratebound::document {

v1::Footing ToMessage(Footing footing);
v1::Measure ToMessage(const Measure& measure);
v1::MeasureRange ToMessage(const MeasureRange& range);
v1::LineManifest ToMessage(const LineManifest& manifest);
v1::Claim ToMessage(const Claim& claim);
v1::Verdict ToMessage(const Verdict& verdict);
v1::Procedure ToMessage(const Procedure& procedure);
v1::StageMap ToMessage(const StageMap& map);
v1::TestPoint ToMessage(const TestPoint& point);
v1::Finding ToMessage(const Finding& finding);
v1::Rating ToMessage(const Rating& rating);
v1::TableRequest ToMessage(const TableRequest& request);
v1::Table ToMessage(const Table& table);
v1::MeasurementMethod ToMessage(const MeasurementMethod& method);
v1::MinimumLevels ToMessage(const MinimumLevels& levels);
v1::LogReport ToMessage(const LogReport& report);
v1::CurveFit ToMessage(const CurveFit& fit);
v1::PointChain ToMessage(const PointChain& chain);
v1::Release ToMessage(const Release& release);

absl::StatusOr<Measure> FromMessage(const v1::Measure& message);
absl::StatusOr<MeasureRange> FromMessage(const v1::MeasureRange& message);
absl::StatusOr<LineManifest> FromMessage(const v1::LineManifest& message);
absl::StatusOr<Claim> FromMessage(const v1::Claim& message);
absl::StatusOr<Verdict> FromMessage(const v1::Verdict& message);
absl::StatusOr<Procedure> FromMessage(const v1::Procedure& message);
absl::StatusOr<StageMap> FromMessage(const v1::StageMap& message);
absl::StatusOr<TestPoint> FromMessage(const v1::TestPoint& message);
absl::StatusOr<Finding> FromMessage(const v1::Finding& message);
absl::StatusOr<Rating> FromMessage(const v1::Rating& message);
absl::StatusOr<TableRequest> FromMessage(const v1::TableRequest& message);
absl::StatusOr<Table> FromMessage(const v1::Table& message);
absl::StatusOr<MeasurementMethod> FromMessage(const v1::MeasurementMethod& message);
absl::StatusOr<MinimumLevels> FromMessage(const v1::MinimumLevels& message);
absl::StatusOr<LogReport> FromMessage(const v1::LogReport& message);
absl::StatusOr<CurveFit> FromMessage(const v1::CurveFit& message);
absl::StatusOr<PointChain> FromMessage(const v1::PointChain& message);
absl::StatusOr<Release> FromMessage(const v1::Release& message);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CONVERT_H_
