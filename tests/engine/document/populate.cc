#include "tests/engine/document/populate.h"

#include <google/protobuf/descriptor.h>

#include "absl/strings/str_cat.h"
#include "ratebound/v1/method.pb.h"
#include "ratebound/v1/procedure.pb.h"
#include "ratebound/v1/reduction.pb.h"
#include "ratebound/v1/table.pb.h"

namespace ratebound::document {
namespace {

using ::google::protobuf::FieldDescriptor;
using ::google::protobuf::Message;
using ::google::protobuf::Reflection;

constexpr int kItems = 2;
constexpr char kQuantity[] = "leaving_water_temp";
constexpr char kUnit[] = "degF";

void SetScalar(Message* message, const FieldDescriptor* field, bool add,
               testing::Random& random) {
  const Reflection* reflection = message->GetReflection();
  const int whole = random.Integer(1, 12);
  const double number = random.Uniform(1, 100);
  const std::string text = absl::StrCat("text-", random.Bits());
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_INT32:
      add ? reflection->AddInt32(message, field, whole)
          : reflection->SetInt32(message, field, whole);
      break;
    case FieldDescriptor::CPPTYPE_INT64:
      add ? reflection->AddInt64(message, field, whole)
          : reflection->SetInt64(message, field, whole);
      break;
    case FieldDescriptor::CPPTYPE_DOUBLE:
      add ? reflection->AddDouble(message, field, number)
          : reflection->SetDouble(message, field, number);
      break;
    case FieldDescriptor::CPPTYPE_BOOL:
      reflection->SetBool(message, field, true);
      break;
    case FieldDescriptor::CPPTYPE_STRING:
      add ? reflection->AddString(message, field, text)
          : reflection->SetString(message, field, text);
      break;
    case FieldDescriptor::CPPTYPE_ENUM: {
      const int value = random.Integer(1, field->enum_type()->value_count() - 1);
      add ? reflection->AddEnumValue(message, field, value)
          : reflection->SetEnumValue(message, field, value);
      break;
    }
    default:
      break;
  }
}

void MakeFit(v1::StageMap* map) {
  map->clear_point_conditions_si();
  for (int i = 0; i < map->point_ids_size() * map->conditions_size(); ++i) {
    map->add_point_conditions_si(i);
  }
  for (v1::Surface& surface : *map->mutable_surfaces()) {
    // Two terms in two conditions.
    surface.clear_exponents();
    for (int exponent : {0, 0, 1, 2}) surface.add_exponents(exponent);
    for (double entry : {0.25}) surface.add_covariance_si(entry);
    for (double entry : {0.5}) surface.add_leverage_matrix(entry);
  }
}

void MakeFit(v1::Table* table) {
  for (v1::TableColumnSet& figure : *table->mutable_figures()) {
    for (int i = 0; i < 2; ++i) {
      figure.add_values(i + 0.5);
      figure.add_half_widths(i + 0.25);
      figure.add_footings(v1::FOOTING_EXTRAPOLATED);
    }
  }
}

// Names where the conversion looks things up, sizes where it compares them.
void MakeFit(Message* message) {
  const auto* type = message->GetDescriptor();
  const Reflection* reflection = message->GetReflection();
  const FieldDescriptor* quantity = type->FindFieldByName("quantity");
  if (quantity != nullptr && quantity->containing_oneof() == nullptr) {
    reflection->SetString(message, quantity, kQuantity);
  }
  const FieldDescriptor* unit = type->FindFieldByName("unit");
  if (quantity != nullptr && unit != nullptr && type != v1::Claim::descriptor()) {
    reflection->SetString(message, unit, kUnit);
  }
  if (auto* claim = dynamic_cast<v1::Claim*>(message)) claim->set_limit_unit(kUnit);
  if (auto* figure = dynamic_cast<v1::ToleranceFigure*>(message)) figure->set_unit(kUnit);
  if (auto* nozzle = dynamic_cast<v1::Nozzle*>(message)) nozzle->set_unit("mm");
  if (auto* map = dynamic_cast<v1::StageMap*>(message)) MakeFit(map);
  if (auto* table = dynamic_cast<v1::Table*>(message)) MakeFit(table);
  if (auto* procedure = dynamic_cast<v1::Procedure*>(message)) {
    procedure->set_mode_kind("heating");
  }
}

}  // namespace

void Populate(Message* message, testing::Random& random) {
  const auto* type = message->GetDescriptor();
  const Reflection* reflection = message->GetReflection();
  for (int i = 0; i < type->field_count(); ++i) {
    const FieldDescriptor* field = type->field(i);
    const auto* oneof = field->real_containing_oneof();
    if (oneof != nullptr && reflection->HasOneof(*message, oneof) &&
        random.Integer(0, 1) == 0) {
      continue;
    }
    const bool is_message = field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE;
    for (int item = 0; item < (field->is_repeated() ? kItems : 1); ++item) {
      if (!is_message) {
        SetScalar(message, field, field->is_repeated(), random);
      } else {
        Populate(field->is_repeated() ? reflection->AddMessage(message, field)
                                      : reflection->MutableMessage(message, field),
                 random);
      }
    }
  }
  MakeFit(message);
}

}  // namespace ratebound::document
