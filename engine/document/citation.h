// A number or rule of a published document with where it stands.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CITATION_H_
#define RATEBOUND_ENGINE_DOCUMENT_CITATION_H_

#include <optional>
#include <string>

namespace ratebound::document {

enum class Basis { kUnspecified, kPublishedText, kSecondaryText, kMemory };

// "PUBLISHED_TEXT", "SECONDARY_TEXT", "MEMORY"; "" for kUnspecified.
std::string BasisName(Basis basis);

struct Citation {
  std::string source;
  Basis basis = Basis::kUnspecified;
  friend bool operator==(const Citation&, const Citation&) = default;
};

struct CitedValue {
  double value = 0;
  std::string unit;
  Citation citation;
  friend bool operator==(const CitedValue&, const CitedValue&) = default;
};

struct CitedText {
  std::string text;
  Citation citation;
  friend bool operator==(const CitedText&, const CitedText&) = default;
};

// Exactly one of value and input is set.
struct CitedNumber {
  std::optional<CitedValue> value;
  std::string input;
  friend bool operator==(const CitedNumber&, const CitedNumber&) = default;
};

struct RequiredInput {
  std::string name;
  std::string description;
  std::string unit;
  friend bool operator==(const RequiredInput&, const RequiredInput&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CITATION_H_
