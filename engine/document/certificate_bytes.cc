#include "engine/document/certificate_bytes.h"

#include <google/protobuf/io/coded_stream.h>
#include <google/protobuf/io/zero_copy_stream_impl_lite.h>
#include <google/protobuf/text_format.h>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/document/convert_parts.h"
#include "engine/document/digest.h"
#include "engine/document/message_items.h"
#include "engine/document/text_document.h"

namespace ratebound::document {
namespace {

template <typename Item, typename Wire>
void AddNumbers(const std::vector<Item>& from, Wire* to) {
  to->Add(from.begin(), from.end());
}

template <typename Item, typename Wire>
std::vector<Item> Numbers(const Wire& from) {
  return {from.begin(), from.end()};
}

void WritePolynomial(const CertifiedPolynomial& from, v1::CertifiedPolynomial* to) {
  AddNumbers(from.exponents, to->mutable_exponents());
  AddNumbers(from.coefficients, to->mutable_coefficients());
  AddNumbers(from.errors, to->mutable_errors());
}

void WriteFunction(const CertifiedFunction& from, v1::CertifiedFunction* to) {
  to->set_stage(from.stage);
  to->set_quantity(from.quantity);
  to->set_coverage_factor(from.coverage_factor);
  WritePolynomial(from.value, to->mutable_value());
  for (const CertifiedFunction::Term& term : from.terms) {
    v1::CertifiedTerm* const wire = to->add_terms();
    wire->set_weight(term.weight);
    WritePolynomial(term.square, wire->mutable_square());
  }
}

void WriteLeaf(const CertifiedLeaf& from, v1::CertifiedLeaf* to) {
  if (from.combination >= 0) to->set_combination(from.combination);
  if (from.cut >= 0) to->set_cut(from.cut);
  if (from.anchor >= 0) to->set_anchor(from.anchor);
  to->set_bound(from.bound);
  AddNumbers(from.tangents, to->mutable_tangents());
}

void WritePart(const CertificatePart& from, v1::CertificatePart* to) {
  for (const std::string& condition : from.conditions) to->add_conditions(condition);
  AddNumbers(from.centre_si, to->mutable_centre_si());
  AddNumbers(from.half_range_si, to->mutable_half_range_si());
  AddNumbers(from.box_low, to->mutable_box_low());
  AddNumbers(from.box_high, to->mutable_box_high());
  for (const auto& function : from.functions)
    WriteFunction(function, to->add_functions());
  for (const auto& cut : from.cuts) WritePolynomial(cut, to->add_cuts());
  to->set_holds(from.holds);
  to->set_lower_bound(from.lower_bound);
  AddNumbers(from.unit_centre, to->mutable_unit_centre());
  AddNumbers(from.unit_radius, to->mutable_unit_radius());
  for (const CertifiedCombination& combination : from.combinations) {
    v1::CertifiedCombination* const wire = to->add_combinations();
    AddNumbers(combination.weights, wire->mutable_weights());
    AddNumbers(combination.multipliers, wire->mutable_multipliers());
  }
  AddNumbers(from.anchors, to->mutable_anchors());
  AddNumbers(from.splits, to->mutable_splits());
  for (const CertifiedLeaf& leaf : from.leaves) WriteLeaf(leaf, to->add_leaves());
  AddNumbers(from.worst_point, to->mutable_worst_point());
  to->set_missing(from.missing);
}

void WriteRating(const CertifiedRating& from, v1::CertifiedRating* to) {
  to->set_procedure(from.procedure);
  to->set_value(from.value);
  to->set_standard_error(from.standard_error);
  to->set_degrees_of_freedom(from.degrees_of_freedom);
  to->set_systematic(from.systematic);
  to->set_coverage_factor(from.coverage_factor);
  to->set_allowance(from.allowance);
  to->set_limit(from.limit);
  to->set_less_is_better(from.less_is_better);
  to->set_margin(from.margin);
  to->set_unit(from.unit);
}

CertifiedRating ReadRating(const v1::CertifiedRating& from) {
  return {.procedure = from.procedure(),
          .value = from.value(),
          .standard_error = from.standard_error(),
          .degrees_of_freedom = from.degrees_of_freedom(),
          .systematic = from.systematic(),
          .coverage_factor = from.coverage_factor(),
          .allowance = from.allowance(),
          .limit = from.limit(),
          .less_is_better = from.less_is_better(),
          .margin = from.margin(),
          .unit = from.unit()};
}

CertifiedPolynomial ReadPolynomial(const v1::CertifiedPolynomial& from, size_t variables,
                                   base::FaultList& faults) {
  CertifiedPolynomial to{.exponents = Numbers<int>(from.exponents()),
                         .coefficients = Numbers<double>(from.coefficients()),
                         .errors = Numbers<double>(from.errors())};
  RequireSize(to.exponents.size(), to.coefficients.size() * variables,
              "CertifiedPolynomial.exponents", faults);
  if (!to.errors.empty()) {
    RequireSize(to.errors.size(), to.coefficients.size(), "CertifiedPolynomial.errors",
                faults);
  }
  return to;
}

CertifiedFunction ReadFunction(const v1::CertifiedFunction& from, size_t variables,
                               base::FaultList& faults) {
  CertifiedFunction to{.stage = from.stage(),
                       .quantity = from.quantity(),
                       .coverage_factor = from.coverage_factor(),
                       .value = ReadPolynomial(from.value(), variables, faults)};
  for (const v1::CertifiedTerm& term : from.terms()) {
    to.terms.push_back({term.weight(), ReadPolynomial(term.square(), variables, faults)});
  }
  return to;
}

CertificatePart ReadPart(const v1::CertificatePart& from, base::FaultList& faults) {
  CertificatePart to;
  to.conditions = {from.conditions().begin(), from.conditions().end()};
  const size_t variables = to.conditions.size();
  to.centre_si = Numbers<double>(from.centre_si());
  to.half_range_si = Numbers<double>(from.half_range_si());
  to.box_low = Numbers<double>(from.box_low());
  to.box_high = Numbers<double>(from.box_high());
  RequireSize(to.centre_si.size(), variables, "CertificatePart.centre_si", faults);
  RequireSize(to.half_range_si.size(), variables, "CertificatePart.half_range_si",
              faults);
  RequireSize(to.box_low.size(), variables, "CertificatePart.box_low", faults);
  RequireSize(to.box_high.size(), variables, "CertificatePart.box_high", faults);
  for (const v1::CertifiedFunction& function : from.functions()) {
    to.functions.push_back(ReadFunction(function, variables, faults));
  }
  for (const v1::CertifiedPolynomial& cut : from.cuts()) {
    to.cuts.push_back(ReadPolynomial(cut, variables, faults));
  }
  to.holds = from.holds();
  to.lower_bound = from.lower_bound();
  to.unit_centre = Numbers<double>(from.unit_centre());
  to.unit_radius = Numbers<double>(from.unit_radius());
  for (const v1::CertifiedCombination& combination : from.combinations()) {
    to.combinations.push_back({Numbers<double>(combination.weights()),
                               Numbers<double>(combination.multipliers())});
  }
  to.anchors = Numbers<double>(from.anchors());
  to.splits = Numbers<int>(from.splits());
  for (const v1::CertifiedLeaf& leaf : from.leaves()) {
    to.leaves.push_back({.combination = leaf.has_combination() ? leaf.combination() : -1,
                         .cut = leaf.has_cut() ? leaf.cut() : -1,
                         .anchor = leaf.has_anchor() ? leaf.anchor() : -1,
                         .bound = leaf.bound(),
                         .tangents = Numbers<double>(leaf.tangents())});
  }
  to.worst_point = Numbers<double>(from.worst_point());
  to.missing = from.missing();
  return to;
}

absl::Status CheckSize(size_t byte_count) {
  if (byte_count <= kMostCertificateBytes) return absl::OkStatus();
  return absl::ResourceExhaustedError(absl::StrCat("a certificate of ", byte_count,
                                                   " bytes; at most ",
                                                   kMostCertificateBytes, " are read"));
}

}  // namespace

v1::Certificate ToMessage(const Certificate& certificate) {
  v1::Certificate message;
  message.set_claim(certificate.claim);
  message.set_release_digest(certificate.release_digest);
  message.set_outcome(WriteEnum<v1::Outcome>(certificate.outcome));
  message.set_level(certificate.level);
  message.set_look(certificate.look);
  message.set_allowance_si(certificate.allowance_si);
  message.set_model(certificate.model);
  for (const CertificatePart& part : certificate.parts) {
    WritePart(part, message.add_parts());
  }
  message.set_seal(certificate.seal);
  if (certificate.rating) WriteRating(*certificate.rating, message.mutable_rating());
  return message;
}

absl::StatusOr<Certificate> FromMessage(const v1::Certificate& message) {
  base::FaultList faults;
  CheckSound(message, faults);
  Certificate certificate;
  certificate.claim = message.claim();
  certificate.release_digest = message.release_digest();
  certificate.outcome =
      ReadEnum<Outcome>(message.outcome(), "Certificate.outcome", faults);
  certificate.level = message.level();
  certificate.look = message.look();
  certificate.allowance_si = message.allowance_si();
  certificate.model = message.model();
  for (const v1::CertificatePart& part : message.parts()) {
    certificate.parts.push_back(ReadPart(part, faults));
  }
  certificate.seal = message.seal();
  if (message.has_rating()) certificate.rating = ReadRating(message.rating());
  RETURN_IF_ERROR(faults.ToStatus());
  return certificate;
}

absl::StatusOr<std::string> SerializeCertificate(const Certificate& certificate) {
  const v1::Certificate message = ToMessage(certificate);
  RETURN_IF_ERROR(CheckSize(message.ByteSizeLong()));
  std::string bytes;
  {
    google::protobuf::io::StringOutputStream stream(&bytes);
    google::protobuf::io::CodedOutputStream coded(&stream);
    coded.SetSerializationDeterministic(true);
    if (!message.SerializeToCodedStream(&coded)) {
      return absl::InternalError("a text of the certificate is not UTF-8");
    }
  }
  return bytes;
}

absl::StatusOr<Certificate> ParseCertificate(std::string_view bytes) {
  RETURN_IF_ERROR(CheckSize(bytes.size()));
  RETURN_IF_ERROR(CheckItems(bytes, *v1::Certificate::descriptor(), "a certificate"));
  v1::Certificate message;
  if (!message.ParseFromArray(bytes.data(), static_cast<int>(bytes.size()))) {
    return absl::InvalidArgumentError("these bytes are no certificate");
  }
  return FromMessage(message);
}

std::string CertificateText(const Certificate& certificate) {
  google::protobuf::TextFormat::Printer printer;
  printer.SetUseShortRepeatedPrimitives(true);
  std::string text;
  printer.PrintToString(ToMessage(certificate), &text);
  return text;
}

absl::StatusOr<Certificate> ParseCertificateText(std::string_view name,
                                                 std::string_view text) {
  TextDocument document(name, text);
  v1::Certificate message;
  document.ParseInto(&message);
  RETURN_IF_ERROR(document.ToStatus());
  return FromMessage(message);
}

absl::StatusOr<std::string> DigestOfCertificate(const Certificate& certificate) {
  auto digest = Digest(ToMessage(certificate));
  if (!digest.ok()) return absl::InternalError(digest.status().message());
  return digest;
}

}  // namespace ratebound::document
