// What shows a verdict, so that a small checker can follow it without the prover.
// See proto/ratebound/v1/certificate.proto; engine/recheck/recheck.h checks it.
#ifndef RATEBOUND_ENGINE_DOCUMENT_CERTIFICATE_H_
#define RATEBOUND_ENGINE_DOCUMENT_CERTIFICATE_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/claim.h"

namespace ratebound::document {

// In as many variables as its certificate part has conditions; every polynomial whose
// coefficients are within `errors` of the given ones is meant.
struct CertifiedPolynomial {
  std::vector<int> exponents;  // term by term
  std::vector<double> coefficients;
  std::vector<double> errors;  // empty: all 0
  friend bool operator==(const CertifiedPolynomial&,
                         const CertifiedPolynomial&) = default;
};

// value - sum of weight * sqrt(square).
struct CertifiedFunction {
  struct Term {
    double weight = 0;
    CertifiedPolynomial square;
    friend bool operator==(const Term&, const Term&) = default;
  };
  std::string stage;
  std::string quantity;  // or what is said of a combination: "total_capacity - 3.2 ..."
  double coverage_factor = 0;
  CertifiedPolynomial value;
  std::vector<Term> terms;
  friend bool operator==(const CertifiedFunction&, const CertifiedFunction&) = default;
};

struct CertifiedCombination {
  std::vector<double> weights;      // of the functions
  std::vector<double> multipliers;  // of the cuts
  friend bool operator==(const CertifiedCombination&,
                         const CertifiedCombination&) = default;
};

struct CertifiedLeaf {
  int combination = -1;  // -1 where a cut is negative
  int cut = -1;
  int anchor = -1;  // -1 for the centre
  double bound = 0;
  std::vector<double> tangents;
  friend bool operator==(const CertifiedLeaf&, const CertifiedLeaf&) = default;
};

// One that holds: at every point of the region at least one of the functions, margins
// with every uncertainty taken off, is not negative. One that does not: at the worst
// point all of the functions, what is missing though every uncertainty is granted, are
// positive.
struct CertificatePart {
  std::vector<std::string> conditions;
  // z = (x - centre_si) / half_range_si are the variables of all polynomials.
  std::vector<double> centre_si;
  std::vector<double> half_range_si;
  std::vector<double> box_low;  // in z
  std::vector<double> box_high;
  std::vector<CertifiedFunction> functions;
  std::vector<CertifiedPolynomial> cuts;
  bool holds = true;
  // Of one that holds: of the largest function over the region, and the proof (see
  // engine/bound/prove_region.h).
  double lower_bound = 0;
  std::vector<double> unit_centre;
  std::vector<double> unit_radius;
  std::vector<CertifiedCombination> combinations;
  std::vector<double> anchors;  // point by point
  std::vector<int> splits;
  std::vector<CertifiedLeaf> leaves;
  // Of one that does not: in z, and what the smallest function is at least there.
  std::vector<double> worst_point;
  double missing = 0;
  friend bool operator==(const CertificatePart&, const CertificatePart&) = default;
};

// What decides a verdict on a rating, in the unit of the claim.
struct CertifiedRating {
  std::string procedure;
  double value = 0;
  double standard_error = 0;
  double degrees_of_freedom = 0;
  double systematic = 0;
  double coverage_factor = 0;
  double allowance = 0;
  double limit = 0;
  bool less_is_better = false;
  double margin = 0;  // left at least, or below 0 what is missing at least
  std::string unit;
  friend bool operator==(const CertifiedRating&, const CertifiedRating&) = default;
};

struct Certificate {
  std::string claim;                     // id
  std::string release_digest;            // of the data that the verdict rests on
  Outcome outcome = Outcome::kNotShown;  // proven or refuted
  double level = 0;
  int look = 1;
  double allowance_si = 0;
  std::string model;
  // Proven: all hold. Refuted: one does not, and only that one is here.
  std::vector<CertificatePart> parts;
  std::string seal;                            // SealOf all the rest
  std::optional<CertifiedRating> rating = {};  // in place of parts
  friend bool operator==(const Certificate&, const Certificate&) = default;
};

// SHA-256, 64 hexadecimal digits, of every field but the seal in the order of the
// structs: whole numbers as 8 big-endian bytes, doubles as the 8 big-endian bytes of IEEE
// 754, texts and lists with their length before them; a rating, where there is one, last.
// No two certificates have one form.
std::string SealOf(const Certificate& certificate);

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_CERTIFICATE_H_
