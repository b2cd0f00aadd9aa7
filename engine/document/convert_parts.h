// What the conversions of the single documents share. Private to engine/document.
//
// Read fills a plain struct from a message and adds what is wrong to `faults`; the
// messages have been through CheckSound. Write fills a message.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CONVERT_PARTS_H_
#define RATEBOUND_ENGINE_DOCUMENT_CONVERT_PARTS_H_

#include <google/protobuf/message.h>
#include <google/protobuf/repeated_field.h>

#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/base/fault.h"
#include "engine/document/convert.h"
#include "engine/quantity/dimension.h"

namespace ratebound::document {

// Faults numbers that are not finite, values of enumerations that this version does not
// know, and unknown fields, everywhere below `message`.
void CheckSound(const google::protobuf::Message& message, base::FaultList& faults);

// SI of a value as written; 0 with a fault where the unit does not fit the quantity.
// Without quantity and unit there is nothing to turn: 0.
double SiOf(const std::string& quantity, double value, const std::string& unit,
            base::FaultList& faults);
double SiOf(quantity::Dimension dimension, const char* field, double value,
            const std::string& unit, base::FaultList& faults);
double SiDifferenceOf(const std::string& quantity, double difference,
                      const std::string& unit, base::FaultList& faults);

// Faults a list that has not the size that another asks for.
void RequireSize(size_t size, size_t wanted, const char* field, base::FaultList& faults);

// Enumerations have the values of their messages in the same order. Most plain ones have
// no "unspecified" and so begin one lower; those that have it begin at the same.
enum class Unspecified { kFault, kKept };

template <typename Plain, Unspecified kUnspecified = Unspecified::kFault, typename Wire>
Plain ReadEnum(Wire value, const char* field, base::FaultList& faults) {
  if constexpr (kUnspecified == Unspecified::kKept) {
    return static_cast<Plain>(static_cast<int>(value));
  } else {
    if (static_cast<int>(value) == 0) {
      faults.Add({.field = field, .message = "is unspecified"});
      return Plain{};
    }
    return static_cast<Plain>(static_cast<int>(value) - 1);
  }
}

template <typename Wire, Unspecified kUnspecified = Unspecified::kFault, typename Plain>
Wire WriteEnum(Plain value) {
  const int shift = kUnspecified == Unspecified::kFault ? 1 : 0;
  return static_cast<Wire>(static_cast<int>(value) + shift);
}

void Read(const v1::Measure& from, Measure& to, base::FaultList& faults);
void Read(const v1::MeasureRange& from, MeasureRange& to, base::FaultList& faults);
void Read(const v1::LineManifest& from, LineManifest& to, base::FaultList& faults);
void Read(const v1::Claim& from, Claim& to, base::FaultList& faults);
void Read(const v1::Verdict& from, Verdict& to, base::FaultList& faults);
void Read(const v1::Procedure& from, Procedure& to, base::FaultList& faults);
void Read(const v1::StageMap& from, StageMap& to, base::FaultList& faults);
void Read(const v1::TestPoint& from, TestPoint& to, base::FaultList& faults);
void Read(const v1::Finding& from, Finding& to, base::FaultList& faults);
void Read(const v1::Rating& from, Rating& to, base::FaultList& faults);
void Read(const v1::TableRequest& from, TableRequest& to, base::FaultList& faults);
void Read(const v1::Table& from, Table& to, base::FaultList& faults);
void Read(const v1::Release& from, Release& to, base::FaultList& faults);
void Read(const v1::Citation& from, Citation& to, base::FaultList& faults);
void Read(const v1::CitedValue& from, CitedValue& to, base::FaultList& faults);
void Read(const v1::CitedText& from, CitedText& to, base::FaultList& faults);
void Read(const v1::RequiredInput& from, RequiredInput& to, base::FaultList& faults);
void Read(const v1::CitedNumber& from, CitedNumber& to, base::FaultList& faults);
void Read(const v1::CitedCondition& from, CitedCondition& to, base::FaultList& faults);
void Read(const v1::BinSeason& from, BinSeason& to, base::FaultList& faults);
void Read(const v1::PartLoad& from, PartLoad& to, base::FaultList& faults);
void Read(const v1::OnePoint& from, OnePoint& to, base::FaultList& faults);
void Read(const v1::WeightedConditions& from, WeightedConditions& to,
          base::FaultList& faults);
void Read(const v1::CompressorTable& from, CompressorTable& to, base::FaultList& faults);
void Read(const v1::MinimumLevels& from, MinimumLevels& to, base::FaultList& faults);
void Read(const v1::MinimumVerdict& from, MinimumVerdict& to, base::FaultList& faults);
void Read(const v1::TraceStep& from, TraceStep& to, base::FaultList& faults);
void Read(const v1::ValueUncertainty& from, ValueUncertainty& to,
          base::FaultList& faults);
void Read(const v1::Column& from, Column& to, base::FaultList& faults);
void Read(const v1::TestTolerance& from, TestTolerance& to, base::FaultList& faults);
void Read(const v1::MeasurementMethod& from, MeasurementMethod& to,
          base::FaultList& faults);
void Read(const v1::Instrument& from, Instrument& to, base::FaultList& faults);
void Read(const v1::ReadingCorrelation& from, ReadingCorrelation& to,
          base::FaultList& faults);
void Read(const v1::Reduction& from, Reduction& to, base::FaultList& faults);
void Read(const v1::LogFile& from, LogFile& to, base::FaultList& faults);
void Read(const v1::LogReport& from, LogReport& to, base::FaultList& faults);
void Read(const v1::CurveRequest& from, CurveRequest& to, base::FaultList& faults);
void Read(const v1::CurveFit& from, CurveFit& to, base::FaultList& faults);
void Read(const v1::PointChain& from, PointChain& to, base::FaultList& faults);
void Read(const v1::ShapeFact& from, ShapeFact& to, base::FaultList& faults);
void Read(const v1::ShapeResult& from, ShapeResult& to, base::FaultList& faults);
void Read(const v1::ShapeRefit& from, ShapeRefit& to, base::FaultList& faults);
void Read(const v1::EnergyBalance& from, EnergyBalance& to, base::FaultList& faults);
void Read(const v1::ConsistencyResult& from, ConsistencyResult& to,
          base::FaultList& faults);
void Read(const v1::ResponseCovariance& from, ResponseCovariance& to,
          base::FaultList& faults);

void Write(const Measure& from, v1::Measure* to);
void Write(const MeasureRange& from, v1::MeasureRange* to);
void Write(const LineManifest& from, v1::LineManifest* to);
void Write(const Claim& from, v1::Claim* to);
void Write(const Verdict& from, v1::Verdict* to);
void Write(const Procedure& from, v1::Procedure* to);
void Write(const StageMap& from, v1::StageMap* to);
void Write(const TestPoint& from, v1::TestPoint* to);
void Write(const Finding& from, v1::Finding* to);
void Write(const Rating& from, v1::Rating* to);
void Write(const TableRequest& from, v1::TableRequest* to);
void Write(const Table& from, v1::Table* to);
void Write(const Release& from, v1::Release* to);
void Write(const Citation& from, v1::Citation* to);
void Write(const CitedValue& from, v1::CitedValue* to);
void Write(const CitedText& from, v1::CitedText* to);
void Write(const RequiredInput& from, v1::RequiredInput* to);
void Write(const CitedNumber& from, v1::CitedNumber* to);
void Write(const CitedCondition& from, v1::CitedCondition* to);
void Write(const BinSeason& from, v1::BinSeason* to);
void Write(const PartLoad& from, v1::PartLoad* to);
void Write(const OnePoint& from, v1::OnePoint* to);
void Write(const WeightedConditions& from, v1::WeightedConditions* to);
void Write(const CompressorTable& from, v1::CompressorTable* to);
void Write(const MinimumLevels& from, v1::MinimumLevels* to);
void Write(const MinimumVerdict& from, v1::MinimumVerdict* to);
void Write(const TraceStep& from, v1::TraceStep* to);
void Write(const ValueUncertainty& from, v1::ValueUncertainty* to);
void Write(const Column& from, v1::Column* to);
void Write(const TestTolerance& from, v1::TestTolerance* to);
void Write(const MeasurementMethod& from, v1::MeasurementMethod* to);
void Write(const Instrument& from, v1::Instrument* to);
void Write(const ReadingCorrelation& from, v1::ReadingCorrelation* to);
void Write(const Reduction& from, v1::Reduction* to);
void Write(const LogFile& from, v1::LogFile* to);
void Write(const LogReport& from, v1::LogReport* to);
void Write(const CurveRequest& from, v1::CurveRequest* to);
void Write(const CurveFit& from, v1::CurveFit* to);
void Write(const PointChain& from, v1::PointChain* to);
void Write(const ShapeFact& from, v1::ShapeFact* to);
void Write(const ShapeResult& from, v1::ShapeResult* to);
void Write(const ShapeRefit& from, v1::ShapeRefit* to);
void Write(const EnergyBalance& from, v1::EnergyBalance* to);
void Write(const ConsistencyResult& from, v1::ConsistencyResult* to);
void Write(const ResponseCovariance& from, v1::ResponseCovariance* to);

// Lists of messages. Conversions of their own parts stand as static functions in
// namespace ratebound::document, where the lookup by argument finds them.
template <typename Wire, typename Plain>
void ReadAll(const google::protobuf::RepeatedPtrField<Wire>& from, std::vector<Plain>& to,
             base::FaultList& faults) {
  to.reserve(static_cast<size_t>(from.size()));
  for (const Wire& item : from) Read(item, to.emplace_back(), faults);
}
template <typename Wire, typename Plain>
void WriteAll(const std::vector<Plain>& from,
              google::protobuf::RepeatedPtrField<Wire>* to) {
  to->Reserve(static_cast<int>(from.size()));
  for (const Plain& item : from) Write(item, to->Add());
}

// Lists of strings and numbers.
template <typename Repeated>
auto Plainly(const Repeated& from) {
  using Item = std::decay_t<decltype(*from.begin())>;
  return std::vector<Item>(from.begin(), from.end());
}
template <typename Plain, typename Repeated>
void Fill(const std::vector<Plain>& from, Repeated* to) {
  to->Reserve(static_cast<int>(from.size()));
  for (const Plain& item : from) *to->Add() = item;
}

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CONVERT_PARTS_H_
