#include "engine/document/text.h"

#include <algorithm>

#include "absl/strings/str_cat.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/document/check_parts.h"
#include "engine/document/convert.h"
#include "engine/document/text_document.h"

namespace ratebound::document {
namespace {

// Reads, checks and converts a document; `check` takes the message and its root node.
template <typename Wire, typename Check, typename Convert>
auto ParseDocument(TextDocument& document, Check check, Convert convert)
    -> decltype(convert(Wire(), document.Root(Wire()))) {
  Wire message;
  if (!document.ParseInto(&message)) return document.ToStatus();
  const Node root = document.Root(message);
  check(message, root);
  RETURN_IF_ERROR(document.ToStatus());
  return convert(message, root);
}

// Notes where every field below `message` stands, by its path.
void NotePlaces(const google::protobuf::Message& message, const Node& node,
                const std::string& path, ClaimPlaces& places) {
  const auto* reflection = message.GetReflection();
  std::vector<const google::protobuf::FieldDescriptor*> fields;
  reflection->ListFields(message, &fields);
  for (const auto* field : fields) {
    const std::string here = absl::StrCat(path, path.empty() ? "" : ".", field->name());
    places.fields[here] = node.PlaceOf(field->number());
    const bool is_message =
        field->cpp_type() == google::protobuf::FieldDescriptor::CPPTYPE_MESSAGE;
    const int count = field->is_repeated() ? reflection->FieldSize(message, field) : 1;
    for (int i = 0; i < count; ++i) {
      const int index = field->is_repeated() ? i : -1;
      const std::string item =
          field->is_repeated() ? absl::StrCat(here, "[", i, "]") : here;
      places.fields[item] = node.PlaceOf(field->number(), index);
      if (!is_message) continue;
      NotePlaces(field->is_repeated() ? reflection->GetRepeatedMessage(message, field, i)
                                      : reflection->GetMessage(message, field),
                 node.Child(field->number(), index), item, places);
    }
  }
}

ClaimPlaces PlacesOf(const v1::Claim& claim, const Node& node) {
  ClaimPlaces places{.claim = node.place(), .fields = {}};
  NotePlaces(claim, node, "", places);
  return places;
}

absl::StatusOr<ParsedClaims> ConvertClaims(const v1::ClaimDocument& message,
                                           const Node& root) {
  ParsedClaims parsed;
  for (int i = 0; i < message.claims_size(); ++i) {
    ASSIGN_OR_RETURN(Claim claim, FromMessage(message.claims(i)));
    parsed.claims.push_back(std::move(claim));
    parsed.places.push_back(PlacesOf(
        message.claims(i), root.Child(v1::ClaimDocument::kClaimsFieldNumber, i)));
  }
  return parsed;
}

}  // namespace

absl::StatusOr<LineManifest> ParseLineManifest(std::string_view name,
                                               std::string_view bytes) {
  TextDocument document(name, bytes);
  return ParseDocument<v1::LineManifest>(
      document, CheckLineManifest,
      [](const v1::LineManifest& message, const Node&) { return FromMessage(message); });
}

absl::StatusOr<ParsedClaims> ParseClaims(std::string_view name, std::string_view bytes) {
  TextDocument document(name, bytes);
  ASSIGN_OR_RETURN(ParsedClaims parsed, ParseDocument<v1::ClaimDocument>(
                                            document, CheckClaimDocument, ConvertClaims));
  parsed.file = std::string(name);
  return parsed;
}

absl::StatusOr<Procedure> ParseProcedure(std::string_view name, std::string_view bytes) {
  TextDocument document(name, bytes);
  return ParseDocument<v1::Procedure>(
      document, CheckProcedure,
      [](const v1::Procedure& message, const Node&) { return FromMessage(message); });
}

absl::StatusOr<MeasurementMethod> ParseMethod(std::string_view name,
                                              std::string_view bytes) {
  TextDocument document(name, bytes);
  return ParseDocument<v1::MeasurementMethod>(
      document, CheckMethod, [](const v1::MeasurementMethod& message, const Node&) {
        return FromMessage(message);
      });
}

absl::StatusOr<MinimumLevels> ParseMinimumLevels(std::string_view name,
                                                 std::string_view bytes) {
  TextDocument document(name, bytes);
  return ParseDocument<v1::MinimumLevels>(
      document, CheckMinimumLevels,
      [](const v1::MinimumLevels& message, const Node&) { return FromMessage(message); });
}

}  // namespace ratebound::document
