#include <google/protobuf/descriptor.h>
#include <google/protobuf/unknown_field_set.h>

#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/convert_parts.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::document {
namespace {

using ::google::protobuf::FieldDescriptor;
using ::google::protobuf::Message;
using ::google::protobuf::Reflection;

static_assert(static_cast<int>(Footing::kPredicted) == v1::FOOTING_PREDICTED);

bool IsFinite(const Message& message, const FieldDescriptor* field, int i) {
  const Reflection* reflection = message.GetReflection();
  return std::isfinite(field->is_repeated()
                           ? reflection->GetRepeatedDouble(message, field, i)
                           : reflection->GetDouble(message, field));
}

bool IsKnownValue(const Message& message, const FieldDescriptor* field, int i) {
  const Reflection* reflection = message.GetReflection();
  const int value = field->is_repeated()
                        ? reflection->GetRepeatedEnumValue(message, field, i)
                        : reflection->GetEnumValue(message, field);
  return field->enum_type()->FindValueByNumber(value) != nullptr;
}

const Message& Nested(const Message& message, const FieldDescriptor* field, int i) {
  const Reflection* reflection = message.GetReflection();
  return field->is_repeated() ? reflection->GetRepeatedMessage(message, field, i)
                              : reflection->GetMessage(message, field);
}

void CheckSoundBelow(const Message& message, const std::string& path,
                     base::FaultList& faults) {
  const Reflection* reflection = message.GetReflection();
  if (!reflection->GetUnknownFields(message).empty()) {
    faults.Add({.field = path,
                .message = "has fields that this version does not know",
                .remedy = "read it with the version that wrote it"});
  }
  std::vector<const FieldDescriptor*> present;
  reflection->ListFields(message, &present);
  for (const FieldDescriptor* field : present) {
    const int count = field->is_repeated() ? reflection->FieldSize(message, field) : 1;
    const auto path_of = [&](int i) {
      std::string text = path;
      absl::StrAppend(&text, text.empty() ? "" : ".", field->name());
      if (field->is_repeated()) absl::StrAppend(&text, "[", i, "]");
      return text;
    };
    for (int i = 0; i < count; ++i) {
      if (field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE) {
        CheckSoundBelow(Nested(message, field, i), path_of(i), faults);
      } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_DOUBLE &&
                 !IsFinite(message, field, i)) {
        faults.Add({.field = path_of(i), .message = "is not a finite number"});
      } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_ENUM &&
                 !IsKnownValue(message, field, i)) {
        faults.Add({.field = path_of(i), .message = "is a value that is not known"});
      }
    }
  }
}

// `si` where it is finite, as that of `value` in `unit`.
double Finite(double si, const std::string& field, double value, const std::string& unit,
              base::FaultList& faults) {
  if (std::isfinite(si)) return si;
  faults.Add({.field = field,
              .message = absl::StrCat(base::ShortestText(value), " ", unit,
                                      " has no finite value in SI")});
  return 0;
}

enum class As { kValue, kDifference };

double Si(As as, const std::string& quantity_name, double value,
          const std::string& unit_name, base::FaultList& faults) {
  if (quantity_name.empty() && unit_name.empty()) return 0;
  const auto quantity = quantity::FindQuantity(quantity_name);
  if (!quantity.ok()) {
    faults.AddStatus(quantity.status());
    return 0;
  }
  auto unit = quantity::FindUnit(unit_name, (*quantity)->dimension);
  if (as == As::kDifference && !unit.ok()) {
    // A difference may also be written in a unit of difference.
    const auto of_difference =
        quantity::FindUnit(unit_name, quantity::DifferenceOf((*quantity)->dimension));
    if (of_difference.ok()) unit = of_difference;
  }
  if (!unit.ok()) {
    faults.Add({.field = quantity_name, .message = std::string(unit.status().message())});
    return 0;
  }
  const double si = as == As::kValue ? quantity::ToSi(value, *unit)
                                     : quantity::DifferenceToSi(value, *unit);
  return Finite(si, quantity_name, value, unit_name, faults);
}

template <typename Plain, typename Wire>
absl::StatusOr<Plain> FromSound(const Wire& message) {
  base::FaultList faults;
  CheckSound(message, faults);
  Plain plain;
  if (faults.empty()) Read(message, plain, faults);
  if (!faults.empty()) return faults.ToStatus();
  return plain;
}

template <typename Wire, typename Plain>
Wire Written(const Plain& plain) {
  Wire message;
  Write(plain, &message);
  return message;
}

}  // namespace

void CheckSound(const Message& message, base::FaultList& faults) {
  CheckSoundBelow(message, "", faults);
}

double SiOf(const std::string& quantity, double value, const std::string& unit,
            base::FaultList& faults) {
  return Si(As::kValue, quantity, value, unit, faults);
}

double SiOf(quantity::Dimension dimension, const char* field, double value,
            const std::string& unit_name, base::FaultList& faults) {
  if (unit_name.empty()) return 0;
  const auto unit = quantity::FindUnit(unit_name, dimension);
  if (!unit.ok()) {
    faults.Add({.field = field, .message = std::string(unit.status().message())});
    return 0;
  }
  return Finite(quantity::ToSi(value, *unit), field, value, unit_name, faults);
}

double SiDifferenceOf(const std::string& quantity, double difference,
                      const std::string& unit, base::FaultList& faults) {
  return Si(As::kDifference, quantity, difference, unit, faults);
}

void RequireSize(size_t size, size_t wanted, const char* field, base::FaultList& faults) {
  if (size == wanted) return;
  faults.Add(
      {.field = field, .message = absl::StrCat("has ", size, " values, not ", wanted)});
}

void Read(const v1::Measure& from, Measure& to, base::FaultList& faults) {
  to.quantity = from.quantity();
  to.value = from.value();
  to.unit = from.unit();
  to.value_si = SiOf(to.quantity, to.value, to.unit, faults);
}

void Write(const Measure& from, v1::Measure* to) {
  to->set_quantity(from.quantity);
  to->set_value(from.value);
  to->set_unit(from.unit);
}

void Read(const v1::MeasureRange& from, MeasureRange& to, base::FaultList& faults) {
  to.quantity = from.quantity();
  to.low = from.low();
  to.high = from.high();
  to.unit = from.unit();
  to.low_si = SiOf(to.quantity, to.low, to.unit, faults);
  to.high_si = SiOf(to.quantity, to.high, to.unit, faults);
}

void Write(const MeasureRange& from, v1::MeasureRange* to) {
  to->set_quantity(from.quantity);
  to->set_low(from.low);
  to->set_high(from.high);
  to->set_unit(from.unit);
}

v1::Footing ToMessage(Footing footing) {
  return WriteEnum<v1::Footing, Unspecified::kKept>(footing);
}
v1::Measure ToMessage(const Measure& measure) { return Written<v1::Measure>(measure); }
v1::MeasureRange ToMessage(const MeasureRange& range) {
  return Written<v1::MeasureRange>(range);
}
v1::LineManifest ToMessage(const LineManifest& manifest) {
  return Written<v1::LineManifest>(manifest);
}
v1::Claim ToMessage(const Claim& claim) { return Written<v1::Claim>(claim); }
v1::Verdict ToMessage(const Verdict& verdict) { return Written<v1::Verdict>(verdict); }
v1::Procedure ToMessage(const Procedure& procedure) {
  return Written<v1::Procedure>(procedure);
}
v1::StageMap ToMessage(const StageMap& map) { return Written<v1::StageMap>(map); }
v1::TestPoint ToMessage(const TestPoint& point) { return Written<v1::TestPoint>(point); }
v1::Finding ToMessage(const Finding& finding) { return Written<v1::Finding>(finding); }
v1::Rating ToMessage(const Rating& rating) { return Written<v1::Rating>(rating); }
v1::TableRequest ToMessage(const TableRequest& request) {
  return Written<v1::TableRequest>(request);
}
v1::Table ToMessage(const Table& table) { return Written<v1::Table>(table); }
v1::MeasurementMethod ToMessage(const MeasurementMethod& method) {
  return Written<v1::MeasurementMethod>(method);
}
v1::MinimumLevels ToMessage(const MinimumLevels& levels) {
  return Written<v1::MinimumLevels>(levels);
}
v1::LogReport ToMessage(const LogReport& report) {
  return Written<v1::LogReport>(report);
}
v1::CurveFit ToMessage(const CurveFit& fit) { return Written<v1::CurveFit>(fit); }
v1::PointChain ToMessage(const PointChain& chain) {
  return Written<v1::PointChain>(chain);
}
v1::Release ToMessage(const Release& release) { return Written<v1::Release>(release); }

absl::StatusOr<Measure> FromMessage(const v1::Measure& message) {
  return FromSound<Measure>(message);
}
absl::StatusOr<MeasureRange> FromMessage(const v1::MeasureRange& message) {
  return FromSound<MeasureRange>(message);
}
absl::StatusOr<LineManifest> FromMessage(const v1::LineManifest& message) {
  return FromSound<LineManifest>(message);
}
absl::StatusOr<Claim> FromMessage(const v1::Claim& message) {
  return FromSound<Claim>(message);
}
absl::StatusOr<Verdict> FromMessage(const v1::Verdict& message) {
  return FromSound<Verdict>(message);
}
absl::StatusOr<Procedure> FromMessage(const v1::Procedure& message) {
  return FromSound<Procedure>(message);
}
absl::StatusOr<StageMap> FromMessage(const v1::StageMap& message) {
  return FromSound<StageMap>(message);
}
absl::StatusOr<TestPoint> FromMessage(const v1::TestPoint& message) {
  return FromSound<TestPoint>(message);
}
absl::StatusOr<Finding> FromMessage(const v1::Finding& message) {
  return FromSound<Finding>(message);
}
absl::StatusOr<Rating> FromMessage(const v1::Rating& message) {
  return FromSound<Rating>(message);
}
absl::StatusOr<TableRequest> FromMessage(const v1::TableRequest& message) {
  return FromSound<TableRequest>(message);
}
absl::StatusOr<Table> FromMessage(const v1::Table& message) {
  return FromSound<Table>(message);
}
absl::StatusOr<MeasurementMethod> FromMessage(const v1::MeasurementMethod& message) {
  return FromSound<MeasurementMethod>(message);
}
absl::StatusOr<MinimumLevels> FromMessage(const v1::MinimumLevels& message) {
  return FromSound<MinimumLevels>(message);
}
absl::StatusOr<LogReport> FromMessage(const v1::LogReport& message) {
  return FromSound<LogReport>(message);
}
absl::StatusOr<CurveFit> FromMessage(const v1::CurveFit& message) {
  return FromSound<CurveFit>(message);
}
absl::StatusOr<PointChain> FromMessage(const v1::PointChain& message) {
  return FromSound<PointChain>(message);
}
absl::StatusOr<Release> FromMessage(const v1::Release& message) {
  return FromSound<Release>(message);
}

}  // namespace ratebound::document
