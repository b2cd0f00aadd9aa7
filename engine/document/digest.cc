#include "engine/document/digest.h"

#include <google/protobuf/descriptor.h>
#include <google/protobuf/unknown_field_set.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/sha256.h"

namespace ratebound::document {
namespace {

using ::google::protobuf::FieldDescriptor;
using ::google::protobuf::Message;
using ::google::protobuf::Reflection;

// Documents are far less deep; a message that came as bytes is held to 100 by the parser.
constexpr int kDeepest = 100;

enum class Kind : uint64_t { kInteger = 1, kDouble, kText, kMessage, kList };

void AppendWord(uint64_t word, std::string& form) {
  for (int shift = 56; shift >= 0; shift -= 8) {
    form.push_back(static_cast<char>(word >> shift & 0xff));
  }
}

void AppendBytes(const std::string& bytes, std::string& form) {
  AppendWord(bytes.size(), form);
  form.append(bytes);
}

absl::Status Refused(const FieldDescriptor* field, const char* why) {
  return absl::InvalidArgumentError(absl::StrCat(field->full_name(), ": ", why));
}

absl::Status AppendDouble(const FieldDescriptor* field, double value, std::string& form) {
  if (!std::isfinite(value)) return Refused(field, "not a finite number");
  AppendWord(std::bit_cast<uint64_t>(value == 0 ? 0.0 : value), form);
  return absl::OkStatus();
}

absl::Status AppendText(const FieldDescriptor* field, const std::string& text,
                        std::string& form) {
  const bool is_text = field->type() == FieldDescriptor::TYPE_STRING;
  if (is_text && !base::IsUtf8(text)) return Refused(field, "not UTF-8 text");
  AppendBytes(text, form);
  return absl::OkStatus();
}

absl::Status AppendMessage(const Message& message, int depth, std::string& form);

absl::Status AppendNested(const FieldDescriptor* field, const Message& message, int depth,
                          std::string& form) {
  if (depth >= kDeepest) return Refused(field, "nested too deep");
  std::string nested;
  RETURN_IF_ERROR(AppendMessage(message, depth + 1, nested));
  AppendBytes(nested, form);
  return absl::OkStatus();
}

absl::StatusOr<Kind> KindOf(const FieldDescriptor* field) {
  if (field->is_map()) return Refused(field, "a map has no one order");
  if (field->is_extension())
    return Refused(field, "extensions are not known to every reader");
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_INT32:
    case FieldDescriptor::CPPTYPE_INT64:
    case FieldDescriptor::CPPTYPE_UINT32:
    case FieldDescriptor::CPPTYPE_UINT64:
    case FieldDescriptor::CPPTYPE_BOOL:
    case FieldDescriptor::CPPTYPE_ENUM:
      return Kind::kInteger;
    case FieldDescriptor::CPPTYPE_DOUBLE:
      return Kind::kDouble;
    case FieldDescriptor::CPPTYPE_STRING:
      return Kind::kText;
    case FieldDescriptor::CPPTYPE_MESSAGE:
      return Kind::kMessage;
    case FieldDescriptor::CPPTYPE_FLOAT:
      break;
  }
  return Refused(field, "float does not occur in documents");
}

uint64_t Integer(const Message& message, const FieldDescriptor* field) {
  const Reflection* reflection = message.GetReflection();
  const auto widen = [](int64_t value) { return static_cast<uint64_t>(value); };
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_INT32:
      return widen(reflection->GetInt32(message, field));
    case FieldDescriptor::CPPTYPE_INT64:
      return widen(reflection->GetInt64(message, field));
    case FieldDescriptor::CPPTYPE_UINT32:
      return reflection->GetUInt32(message, field);
    case FieldDescriptor::CPPTYPE_UINT64:
      return reflection->GetUInt64(message, field);
    case FieldDescriptor::CPPTYPE_BOOL:
      return reflection->GetBool(message, field) ? 1 : 0;
    default:
      return widen(reflection->GetEnumValue(message, field));
  }
}

uint64_t RepeatedInteger(const Message& message, const FieldDescriptor* field, int i) {
  const Reflection* reflection = message.GetReflection();
  const auto widen = [](int64_t value) { return static_cast<uint64_t>(value); };
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_INT32:
      return widen(reflection->GetRepeatedInt32(message, field, i));
    case FieldDescriptor::CPPTYPE_INT64:
      return widen(reflection->GetRepeatedInt64(message, field, i));
    case FieldDescriptor::CPPTYPE_UINT32:
      return reflection->GetRepeatedUInt32(message, field, i);
    case FieldDescriptor::CPPTYPE_UINT64:
      return reflection->GetRepeatedUInt64(message, field, i);
    case FieldDescriptor::CPPTYPE_BOOL:
      return reflection->GetRepeatedBool(message, field, i) ? 1 : 0;
    default:
      return widen(reflection->GetRepeatedEnumValue(message, field, i));
  }
}

absl::Status AppendValue(const Message& message, const FieldDescriptor* field, Kind kind,
                         int depth, std::string& form) {
  const Reflection* reflection = message.GetReflection();
  switch (kind) {
    case Kind::kInteger:
      AppendWord(Integer(message, field), form);
      break;
    case Kind::kDouble:
      return AppendDouble(field, reflection->GetDouble(message, field), form);
    case Kind::kText:
      return AppendText(field, reflection->GetString(message, field), form);
    default:
      return AppendNested(field, reflection->GetMessage(message, field), depth, form);
  }
  return absl::OkStatus();
}

absl::Status AppendItem(const Message& message, const FieldDescriptor* field, Kind kind,
                        int i, int depth, std::string& form) {
  const Reflection* reflection = message.GetReflection();
  switch (kind) {
    case Kind::kInteger:
      AppendWord(RepeatedInteger(message, field, i), form);
      break;
    case Kind::kDouble:
      return AppendDouble(field, reflection->GetRepeatedDouble(message, field, i), form);
    case Kind::kText:
      return AppendText(field, reflection->GetRepeatedString(message, field, i), form);
    default:
      return AppendNested(field, reflection->GetRepeatedMessage(message, field, i), depth,
                          form);
  }
  return absl::OkStatus();
}

absl::Status AppendMessage(const Message& message, int depth, std::string& form) {
  const Reflection* reflection = message.GetReflection();
  const std::string& name = message.GetDescriptor()->full_name();
  if (!reflection->GetUnknownFields(message).empty()) {
    return absl::InvalidArgumentError(
        absl::StrCat(name, ": has fields that this version does not know"));
  }
  if (name == "google.protobuf.Any") {
    return absl::InvalidArgumentError("google.protobuf.Any does not occur in documents");
  }
  std::vector<const FieldDescriptor*> present;
  reflection->ListFields(message, &present);
  std::sort(present.begin(), present.end(),
            [](const auto* a, const auto* b) { return a->number() < b->number(); });
  for (const FieldDescriptor* field : present) {
    ASSIGN_OR_RETURN(const Kind kind, KindOf(field));
    // protobuf lists -0 in a field without presence; +0 is its default, so both are left
    // out.
    if (kind == Kind::kDouble && !field->is_repeated() && !field->has_presence() &&
        reflection->GetDouble(message, field) == 0) {
      continue;
    }
    AppendWord(static_cast<uint64_t>(field->number()), form);
    if (!field->is_repeated()) {
      AppendWord(static_cast<uint64_t>(kind), form);
      RETURN_IF_ERROR(AppendValue(message, field, kind, depth, form));
      continue;
    }
    const int count = reflection->FieldSize(message, field);
    AppendWord(static_cast<uint64_t>(Kind::kList), form);
    AppendWord(static_cast<uint64_t>(kind), form);
    AppendWord(static_cast<uint64_t>(count), form);
    for (int i = 0; i < count; ++i) {
      RETURN_IF_ERROR(AppendItem(message, field, kind, i, depth, form));
    }
  }
  return absl::OkStatus();
}

}  // namespace

absl::StatusOr<std::string> CanonicalForm(const Message& message) {
  std::string form;
  RETURN_IF_ERROR(AppendMessage(message, 0, form));
  return form;
}

absl::StatusOr<std::string> Digest(const Message& message) {
  ASSIGN_OR_RETURN(const std::string form, CanonicalForm(message));
  return Sha256Hex(form);
}

}  // namespace ratebound::document
