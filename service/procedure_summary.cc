#include "service/procedure_summary.h"

#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/convert.h"

namespace ratebound::service {
namespace {

using google::protobuf::FieldDescriptor;
using google::protobuf::Message;
using google::protobuf::Reflection;

struct BasisCounts {
  int published = 0;
  int secondary = 0;
  int memory = 0;
};

void Count(v1::Basis basis, BasisCounts* counts) {
  counts->published += basis == v1::BASIS_PUBLISHED_TEXT;
  counts->secondary += basis == v1::BASIS_SECONDARY_TEXT;
  counts->memory += basis == v1::BASIS_MEMORY;
}

// Over the message, where a citation added to the schema is counted without a change
// here.
void Count(const Message& message, BasisCounts* counts) {
  const Reflection& reflection = *message.GetReflection();
  std::vector<const FieldDescriptor*> fields;
  reflection.ListFields(message, &fields);
  for (const FieldDescriptor* field : fields) {
    if (field->enum_type() == v1::Basis_descriptor() && !field->is_repeated()) {
      Count(static_cast<v1::Basis>(reflection.GetEnumValue(message, field)), counts);
    } else if (field->cpp_type() != FieldDescriptor::CPPTYPE_MESSAGE) {
      continue;
    } else if (field->is_repeated()) {
      for (int i = 0; i < reflection.FieldSize(message, field); ++i) {
        Count(reflection.GetRepeatedMessage(message, field, i), counts);
      }
    } else {
      Count(reflection.GetMessage(message, field), counts);
    }
  }
}

std::string KindName(document::MethodKind kind) {
  switch (kind) {
    case document::MethodKind::kAirEnthalpy:
      return "air enthalpy";
    case document::MethodKind::kNozzleAirFlow:
      return "nozzle air flow";
    case document::MethodKind::kLiquidHeat:
      return "liquid heat";
    case document::MethodKind::kFanPumpCorrection:
      return "fan and pump correction";
    case document::MethodKind::kSteadiness:
      break;
  }
  return "steadiness";
}

}  // namespace

v1::ProcedureSummary SummaryOf(const document::Procedure& procedure) {
  v1::ProcedureSummary summary;
  summary.set_id(procedure.id);
  summary.set_title(procedure.title);
  summary.set_edition(procedure.edition.empty()
                          ? procedure.document
                          : absl::StrCat(procedure.document, ", ", procedure.edition));
  summary.set_metric(procedure.metric);
  for (const std::string& equipment_class : procedure.scope.equipment_classes) {
    summary.add_equipment_classes(equipment_class);
  }
  BasisCounts counts;
  Count(document::ToMessage(procedure), &counts);
  summary.set_published_count(counts.published);
  summary.set_secondary_count(counts.secondary);
  summary.set_memory_count(counts.memory);
  return summary;
}

v1::MethodSummary SummaryOf(const document::MeasurementMethod& method) {
  v1::MethodSummary summary;
  summary.set_id(method.id);
  summary.set_title(method.title);
  summary.set_edition(method.edition.empty()
                          ? method.document
                          : absl::StrCat(method.document, ", ", method.edition));
  summary.set_kind(KindName(method.kind));
  BasisCounts counts;
  Count(document::ToMessage(method), &counts);
  summary.set_published_count(counts.published);
  summary.set_secondary_count(counts.secondary);
  summary.set_memory_count(counts.memory);
  return summary;
}

v1::MinimumSummary SummaryOf(const document::MinimumLevels& levels) {
  v1::MinimumSummary summary;
  summary.set_id(levels.id);
  summary.set_title(levels.title);
  summary.set_edition(levels.edition.empty()
                          ? levels.document
                          : absl::StrCat(levels.document, ", ", levels.edition));
  summary.set_level_count(static_cast<int>(levels.levels.size()));
  for (const document::MinimumLevel& level : levels.levels) {
    if (!level.value) summary.set_not_known_count(summary.not_known_count() + 1);
  }
  BasisCounts counts;
  Count(document::ToMessage(levels), &counts);
  summary.set_published_count(counts.published);
  summary.set_secondary_count(counts.secondary);
  summary.set_memory_count(counts.memory);
  return summary;
}

}  // namespace ratebound::service
