#include "engine/document/check_citation.h"
#include "engine/document/check_parts.h"
#include "engine/document/check_tolerance.h"

namespace ratebound::document {

// Which names and units a kind asks for is known where it is computed
// (engine/points/reduction/method_names.h); here they only have to be sound.
void CheckMethod(const v1::MeasurementMethod& method, const Node& node) {
  using M = v1::MeasurementMethod;
  if (!node.RequireAtMostMessages(kMostMessages)) return;
  node.RequireSoundValues();
  node.Require({M::kIdFieldNumber, M::kTitleFieldNumber, M::kDocumentFieldNumber,
                M::kEditionFieldNumber, M::kKindFieldNumber});
  CheckFolderId(node, M::kIdFieldNumber, method.id());
  // An input stands in for a number that nobody could read.
  Unique numbers("number");
  for (int i = 0; i < method.numbers_size(); ++i) {
    using N = v1::MethodNumber;
    const Node child = node.Child(M::kNumbersFieldNumber, i);
    child.Require({N::kNameFieldNumber, N::kValueFieldNumber});
    CheckId(child, N::kNameFieldNumber, method.numbers(i).name());
    numbers.Check(child, N::kNameFieldNumber, method.numbers(i).name());
    if (!method.numbers(i).has_value()) continue;
    const Node value = child.Child(N::kValueFieldNumber);
    value.Require({v1::CitedValue::kValueFieldNumber});
    CheckCited(method.numbers(i).value(), value);
  }
  CheckRequiredInputs(method.required_inputs(), M::kRequiredInputsFieldNumber, numbers,
                      node);
  Unique rules("rule");
  for (int i = 0; i < method.rules_size(); ++i) {
    using R = v1::MethodRule;
    const Node child = node.Child(M::kRulesFieldNumber, i);
    child.Require({R::kNameFieldNumber, R::kChoiceFieldNumber});
    CheckId(child, R::kNameFieldNumber, method.rules(i).name());
    rules.Check(child, R::kNameFieldNumber, method.rules(i).name());
    if (!method.rules(i).has_choice()) continue;
    CheckCitedText(method.rules(i).choice(), child.Child(R::kChoiceFieldNumber));
  }
  CheckTolerances(method.tolerances(), M::kTolerancesFieldNumber, node);
  if (method.kind() == v1::METHOD_KIND_UNSPECIFIED) return;
  const bool is_steadiness = method.kind() == v1::METHOD_KIND_STEADINESS;
  if (is_steadiness && method.tolerances_size() == 0) {
    node.Fault(M::kTolerancesFieldNumber, "is missing: nothing says what is steady",
               "write tolerances { ... }");
  } else if (!is_steadiness && method.tolerances_size() > 0) {
    node.Fault(M::kTolerancesFieldNumber,
               "only a method of METHOD_KIND_STEADINESS is asked for tolerances",
               "move them to one");
  }
}

}  // namespace ratebound::document
