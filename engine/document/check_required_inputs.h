// The inputs that a procedure asks the manifest for, each held against what it is used
// as: a unit that does not fit would be found only where a manifest gives the input.
// Private to engine/document.
//
// Example:
//   inputs.CheckMeasures(node, C::kInputFieldNumber, condition.input(),
//                        Dimension::kTemperature);
//
// Every check faults a name that is no input; an empty name refers to nothing. Faults
// stand where the input is used. Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_REQUIRED_INPUTS_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_REQUIRED_INPUTS_H_

#include <google/protobuf/repeated_field.h>

#include <map>
#include <string>

#include "engine/document/check_parts.h"
#include "engine/quantity/dimension.h"

namespace ratebound::document {

class RequiredInputs {
 public:
  explicit RequiredInputs(
      const google::protobuf::RepeatedPtrField<v1::RequiredInput>& inputs);

  const Names& names() const { return names_; }
  // The unit that an input is asked for in; empty for none and for an unknown input.
  std::string UnitOf(const std::string& name) const;

  // `index`, here and below, of a name in a list.
  bool Check(const Node& node, int field, const std::string& name, int index = -1) const;
  // A number that a formula takes as it is written.
  void CheckPlain(const Node& node, int field, const std::string& name) const;
  void CheckMeasures(const Node& node, int field, const std::string& name,
                     quantity::Dimension dimension, int index = -1) const;
  // Turned into this unit. One that is not known is faulted elsewhere.
  void CheckConverts(const Node& node, int field, const std::string& name,
                     const std::string& unit) const;

 private:
  Names names_;
  std::map<std::string, std::string> units_;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_REQUIRED_INPUTS_H_
