#include "engine/document/check_citation.h"

namespace ratebound::document {

void CheckCitation(const v1::Citation& citation, const Node& node) {
  using C = v1::Citation;
  node.Require({C::kSourceFieldNumber, C::kBasisFieldNumber});
  if (citation.source().empty() ||
      citation.source().find_first_not_of(" \t\n") != std::string::npos) {
    return;
  }
  node.Fault(C::kSourceFieldNumber, "is blank", "name document, edition and clause");
}

void CheckCitedText(const v1::CitedText& text, const Node& node) {
  node.Require({v1::CitedText::kTextFieldNumber});
  CheckCited(text, node);
}

void CheckRequiredInputs(
    const google::protobuf::RepeatedPtrField<v1::RequiredInput>& inputs, int field,
    Unique& names, const Node& owner) {
  using R = v1::RequiredInput;
  for (int i = 0; i < inputs.size(); ++i) {
    const Node child = owner.Child(field, i);
    child.Require({R::kNameFieldNumber, R::kDescriptionFieldNumber});
    CheckId(child, R::kNameFieldNumber, inputs[i].name());
    names.Check(child, R::kNameFieldNumber, inputs[i].name());
  }
}

}  // namespace ratebound::document
