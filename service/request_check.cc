#include "service/request_check.h"

#include <google/protobuf/reflection.h>

#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"

namespace ratebound::service {
namespace {

using google::protobuf::FieldDescriptor;
using google::protobuf::Message;
using google::protobuf::Reflection;

void CheckValue(double value, const std::string& path, base::FaultList* faults) {
  if (std::isfinite(value)) return;
  faults->Add({.field = path,
               .message = std::isnan(value) ? "is no number (NaN)" : "is infinite",
               .remedy = "give a finite number"});
}

void CheckDoubles(const Message& message, const FieldDescriptor* field,
                  const std::string& path, base::FaultList* faults) {
  const Reflection& reflection = *message.GetReflection();
  if (!field->is_repeated()) {
    return CheckValue(reflection.GetDouble(message, field), path, faults);
  }
  const auto values = reflection.GetRepeatedFieldRef<double>(message, field);
  for (int i = 0; i < values.size(); ++i) {
    if (!std::isfinite(values.Get(i)))
      CheckValue(values.Get(i), absl::StrCat(path, "[", i, "]"), faults);
  }
}

void Check(const Message& message, const std::string& prefix, base::FaultList* faults) {
  const Reflection& reflection = *message.GetReflection();
  std::vector<const FieldDescriptor*> fields;
  reflection.ListFields(message, &fields);
  for (const FieldDescriptor* field : fields) {
    const std::string path = prefix + field->name();
    if (field->cpp_type() == FieldDescriptor::CPPTYPE_DOUBLE) {
      CheckDoubles(message, field, path, faults);
    } else if (field->cpp_type() != FieldDescriptor::CPPTYPE_MESSAGE) {
      continue;
    } else if (field->is_repeated()) {
      for (int i = 0; i < reflection.FieldSize(message, field); ++i) {
        Check(reflection.GetRepeatedMessage(message, field, i),
              absl::StrCat(path, "[", i, "]."), faults);
      }
    } else {
      Check(reflection.GetMessage(message, field), path + ".", faults);
    }
  }
}

}  // namespace

absl::Status CheckFinite(const Message& request) {
  base::FaultList faults;
  Check(request, "", &faults);
  return faults.ToStatus();
}

}  // namespace ratebound::service
