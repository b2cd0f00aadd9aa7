#include <google/protobuf/descriptor.h>

#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/text_document.h"

namespace ratebound::document {
namespace {

using ::google::protobuf::EnumDescriptor;
using ::google::protobuf::FieldDescriptor;
using ::google::protobuf::Reflection;

std::string ValuesOf(const EnumDescriptor* type) {
  std::string all;
  for (int i = 0; i < type->value_count(); ++i) {
    if (type->value(i)->number() == 0) continue;
    absl::StrAppend(&all, all.empty() ? "" : ", ", type->value(i)->name());
  }
  return all;
}

// How to write a field that is missing.
std::string HowToWrite(const FieldDescriptor* field) {
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_MESSAGE:
      return absl::StrCat("write ", field->name(), " { ... }");
    case FieldDescriptor::CPPTYPE_STRING:
      return absl::StrCat("write ", field->name(), ": \"...\"");
    case FieldDescriptor::CPPTYPE_ENUM:
      return absl::StrCat("write ", field->name(), ": and one of ",
                          ValuesOf(field->enum_type()));
    default:
      return absl::StrCat("write ", field->name(), ": and a number");
  }
}

}  // namespace

const FieldDescriptor* Node::Field(int field_number) const {
  return message_->GetDescriptor()->FindFieldByNumber(field_number);
}

void Node::Require(std::initializer_list<int> field_numbers) const {
  for (int number : field_numbers) RequireOne(Field(number));
}

void Node::RequireOne(const FieldDescriptor* field) const {
  if (Has(field->number())) return;
  const bool written = !field->is_repeated() && tree_ != nullptr &&
                       tree_->GetLocation(field, -1).line >= 0;
  if (written && document_->ValueReported(tree_->GetLocation(field, -1), field)) return;
  Fault(field->number(), written ? "is empty" : "is missing", HowToWrite(field));
}

bool Node::Has(int field_number) const {
  const FieldDescriptor* field = Field(field_number);
  const Reflection* reflection = message_->GetReflection();
  if (field->is_repeated()) return reflection->FieldSize(*message_, field) > 0;
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_MESSAGE:
      return reflection->HasField(*message_, field);
    case FieldDescriptor::CPPTYPE_STRING:
      return !reflection->GetString(*message_, field).empty();
    case FieldDescriptor::CPPTYPE_ENUM:
      return reflection->GetEnumValue(*message_, field) != 0;
    default:
      // A number of zero is present when it was written.
      return reflection->HasField(*message_, field) ||
             (tree_ != nullptr && tree_->GetLocation(field, -1).line >= 0);
  }
}

bool Node::FaultsAreMany() const {
  return document_->faults_.total() >= base::FaultList::kMostKept;
}

bool Node::RequireAtMostMessages(int most) const {
  int count = 0;
  std::vector<const google::protobuf::Message*> open = {message_};
  while (!open.empty()) {
    const google::protobuf::Message& message = *open.back();
    open.pop_back();
    if (++count > most) {
      document_->AddFault(place_, path_, absl::StrCat("has more than ", most, " parts"),
                          "divide it");
      return false;
    }
    const Reflection* reflection = message.GetReflection();
    std::vector<const FieldDescriptor*> present;
    reflection->ListFields(message, &present);
    for (const FieldDescriptor* field : present) {
      if (field->cpp_type() != FieldDescriptor::CPPTYPE_MESSAGE) continue;
      const int size = field->is_repeated() ? reflection->FieldSize(message, field) : 1;
      for (int i = 0; i < size; ++i) {
        open.push_back(field->is_repeated()
                           ? &reflection->GetRepeatedMessage(message, field, i)
                           : &reflection->GetMessage(message, field));
      }
    }
  }
  return true;
}

void Node::RequireSoundValues() const {
  const Reflection* reflection = message_->GetReflection();
  std::vector<const FieldDescriptor*> present;
  reflection->ListFields(*message_, &present);
  for (const FieldDescriptor* field : present) {
    const int count = field->is_repeated() ? reflection->FieldSize(*message_, field) : 1;
    for (int i = 0; i < count; ++i) {
      const int index = field->is_repeated() ? i : -1;
      if (field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE) {
        Child(field->number(), index).RequireSoundValues();
      } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_DOUBLE) {
        CheckNumber(field, index);
      } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_ENUM) {
        CheckEnum(field, index);
      }
    }
  }
}

void Node::CheckNumber(const FieldDescriptor* field, int index) const {
  const Reflection* reflection = message_->GetReflection();
  const double value = index < 0 ? reflection->GetDouble(*message_, field)
                                 : reflection->GetRepeatedDouble(*message_, field, index);
  if (std::isfinite(value)) return;
  Fault(field->number(), "is not a finite number", "write a decimal such as 85.0", index);
}

void Node::CheckEnum(const FieldDescriptor* field, int index) const {
  const Reflection* reflection = message_->GetReflection();
  const int value = index < 0 ? reflection->GetEnumValue(*message_, field)
                              : reflection->GetRepeatedEnumValue(*message_, field, index);
  if (field->enum_type()->FindValueByNumber(value) != nullptr) return;
  Fault(field->number(), absl::StrCat("unknown value '", value, "'"),
        absl::StrCat("write one of ", ValuesOf(field->enum_type())), index);
}

void Node::Fault(int field_number, std::string message, std::string remedy,
                 int index) const {
  document_->AddFault(PlaceOf(field_number, index), PathOf(field_number, index),
                      std::move(message), std::move(remedy));
}

Node Node::Child(int field_number, int index) const {
  const FieldDescriptor* field = Field(field_number);
  const Reflection* reflection = message_->GetReflection();
  const auto& child = index < 0 ? reflection->GetMessage(*message_, field)
                                : reflection->GetRepeatedMessage(*message_, field, index);
  const Tree* tree = tree_ == nullptr ? nullptr : tree_->GetTreeForNested(field, index);
  return Node(document_, &child, tree, PlaceOf(field_number, index),
              PathOf(field_number, index));
}

Place Node::PlaceOf(int field_number, int index) const {
  if (tree_ == nullptr) return place_;
  const FieldDescriptor* field = Field(field_number);
  if (field->is_repeated()) {
    const std::vector<Place>& places = document_->ItemPlaces(*tree_, field);
    if (places.empty()) return place_;
    const size_t at = index < 0 ? 0 : static_cast<size_t>(index);
    return at < places.size() ? places[at] : places[0];
  }
  const auto at = tree_->GetLocation(field, -1);
  if (at.line < 0) return place_;
  return document_->PlaceOf(document_->OffsetOf(at.line, at.column));
}

std::string Node::PathOf(int field_number, int index) const {
  std::string path = path_;
  absl::StrAppend(&path, path.empty() ? "" : ".", Field(field_number)->name());
  if (index >= 0) absl::StrAppend(&path, "[", index, "]");
  return path;
}

}  // namespace ratebound::document
