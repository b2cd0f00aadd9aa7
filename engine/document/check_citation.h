// Checks of what published documents are quoted with: numbers, words and inputs that have
// a source. Private to engine/document.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CHECK_CITATION_H_
#define RATEBOUND_ENGINE_DOCUMENT_CHECK_CITATION_H_

#include <google/protobuf/repeated_field.h>

#include "engine/document/check_parts.h"
#include "engine/document/text_document.h"
#include "ratebound/v1/procedure.pb.h"

namespace ratebound::document {

void CheckCitation(const v1::Citation& citation, const Node& node);

// The citation of anything that has one.
template <typename Cited>
void CheckCited(const Cited& cited, const Node& node) {
  node.Require({Cited::kCitationFieldNumber});
  if (!cited.has_citation()) return;
  CheckCitation(cited.citation(), node.Child(Cited::kCitationFieldNumber));
}

void CheckCitedText(const v1::CitedText& text, const Node& node);

// Names that differ from each other and from all in `names`, each with its description.
void CheckRequiredInputs(
    const google::protobuf::RepeatedPtrField<v1::RequiredInput>& inputs, int field,
    Unique& names, const Node& owner);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CHECK_CITATION_H_
