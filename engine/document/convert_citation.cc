#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(Basis::kMemory) == v1::BASIS_MEMORY);

void Read(const v1::Citation& from, Citation& to, base::FaultList& faults) {
  to.source = from.source();
  to.basis = ReadEnum<Basis, Unspecified::kKept>(from.basis(), "Citation.basis", faults);
}

void Write(const Citation& from, v1::Citation* to) {
  to->set_source(from.source);
  to->set_basis(WriteEnum<v1::Basis, Unspecified::kKept>(from.basis));
}

void Read(const v1::CitedValue& from, CitedValue& to, base::FaultList& faults) {
  to.value = from.value();
  to.unit = from.unit();
  Read(from.citation(), to.citation, faults);
}

void Write(const CitedValue& from, v1::CitedValue* to) {
  to->set_value(from.value);
  to->set_unit(from.unit);
  Write(from.citation, to->mutable_citation());
}

void Read(const v1::CitedText& from, CitedText& to, base::FaultList& faults) {
  to.text = from.text();
  Read(from.citation(), to.citation, faults);
}

void Write(const CitedText& from, v1::CitedText* to) {
  to->set_text(from.text);
  Write(from.citation, to->mutable_citation());
}

void Read(const v1::RequiredInput& from, RequiredInput& to, base::FaultList&) {
  to.name = from.name();
  to.description = from.description();
  to.unit = from.unit();
}

void Write(const RequiredInput& from, v1::RequiredInput* to) {
  to->set_name(from.name);
  to->set_description(from.description);
  to->set_unit(from.unit);
}

void Read(const v1::CitedNumber& from, CitedNumber& to, base::FaultList& faults) {
  if (from.has_value()) Read(from.value(), to.value.emplace(), faults);
  to.input = from.input();
  if (from.from_case() == v1::CitedNumber::FROM_NOT_SET) {
    faults.Add({.field = "CitedNumber.from", .message = "is missing"});
  }
}

void Write(const CitedNumber& from, v1::CitedNumber* to) {
  if (from.value.has_value()) {
    Write(*from.value, to->mutable_value());
  } else {
    to->set_input(from.input);
  }
}

}  // namespace ratebound::document
