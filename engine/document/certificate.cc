#include "engine/document/certificate.h"

#include <bit>
#include <cstdint>
#include <string_view>

#include "engine/document/sha256.h"

namespace ratebound::document {
namespace {

class Writer {
 public:
  void Add(uint64_t value) {
    for (int shift = 56; shift >= 0; shift -= 8) {
      bytes_.push_back(static_cast<char>(value >> shift & 0xff));
    }
  }
  void Add(int value) { Add(static_cast<uint64_t>(static_cast<int64_t>(value))); }
  void Add(bool value) { Add(static_cast<uint64_t>(value)); }
  void Add(double value) { Add(std::bit_cast<uint64_t>(value)); }
  void Add(const std::string& text) {
    Add(static_cast<uint64_t>(text.size()));
    bytes_ += text;
  }
  template <typename Item>
  void Add(const std::vector<Item>& items) {
    Add(static_cast<uint64_t>(items.size()));
    for (const Item& item : items) Add(item);
  }
  void Add(const CertifiedPolynomial& p) { All(p.exponents, p.coefficients, p.errors); }
  void Add(const CertifiedFunction::Term& term) { All(term.weight, term.square); }
  void Add(const CertifiedFunction& f) {
    All(f.stage, f.quantity, f.coverage_factor, f.value, f.terms);
  }
  void Add(const CertifiedCombination& c) { All(c.weights, c.multipliers); }
  void Add(const CertifiedLeaf& leaf) {
    All(leaf.combination, leaf.cut, leaf.anchor, leaf.bound, leaf.tangents);
  }
  void Add(const CertificatePart& part) {
    All(part.conditions, part.centre_si, part.half_range_si, part.box_low, part.box_high,
        part.functions, part.cuts, part.holds, part.lower_bound, part.unit_centre,
        part.unit_radius, part.combinations, part.anchors, part.splits, part.leaves,
        part.worst_point, part.missing);
  }
  void Add(const CertifiedRating& rating) {
    All(rating.procedure, rating.value, rating.standard_error, rating.degrees_of_freedom,
        rating.systematic, rating.coverage_factor, rating.allowance, rating.limit,
        rating.less_is_better, rating.margin, rating.unit);
  }
  template <typename... Items>
  void All(const Items&... items) {
    (Add(items), ...);
  }
  const std::string& bytes() const { return bytes_; }

 private:
  std::string bytes_;
};

}  // namespace

std::string SealOf(const Certificate& certificate) {
  Writer writer;
  writer.All(certificate.claim, certificate.release_digest,
             static_cast<int>(certificate.outcome), certificate.level, certificate.look,
             certificate.allowance_si, certificate.model, certificate.parts);
  if (certificate.rating) writer.Add(*certificate.rating);
  return Sha256Hex(writer.bytes());
}

}  // namespace ratebound::document
