// What is changed in certificates of every kind is refused: any number at all, and what
// would make a false claim provable, where all proofs follow and only the release knows
// better.
#include <cmath>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "engine/document/certificate_bytes.h"
#include "engine/recheck/recheck.h"
#include "gmock/gmock.h"
#include "google/protobuf/message.h"
#include "gtest/gtest.h"
#include "tests/engine/release/certified_lines.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::release {
namespace {

using document::Certificate;
using google::protobuf::FieldDescriptor;
using google::protobuf::Message;
using ::ratebound::testing::IsOk;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

// A number of a message: its name, and how to change it.
struct Number {
  std::string name;
  std::function<void(double factor)> change;
};

void CollectNumbers(Message& message, const std::string& prefix,
                    std::vector<Number>& numbers) {
  const auto* const reflection = message.GetReflection();
  std::vector<const FieldDescriptor*> fields;
  reflection->ListFields(message, &fields);
  for (const FieldDescriptor* field : fields) {
    const std::string name = prefix + "." + std::string(field->name());
    const bool repeated = field->is_repeated();
    const int count = repeated ? reflection->FieldSize(message, field) : 1;
    Message* const at = &message;
    for (int k = 0; k < count; ++k) {
      switch (field->cpp_type()) {
        case FieldDescriptor::CPPTYPE_DOUBLE:
          numbers.push_back({name, [=](double factor) {
                               const double x =
                                   repeated ? reflection->GetRepeatedDouble(*at, field, k)
                                            : reflection->GetDouble(*at, field);
                               const double changed = x == 0 ? factor : x * factor;
                               repeated
                                   ? reflection->SetRepeatedDouble(at, field, k, changed)
                                   : reflection->SetDouble(at, field, changed);
                             }});
          break;
        case FieldDescriptor::CPPTYPE_INT32:
          numbers.push_back({name, [=](double factor) {
                               const int changed =
                                   (repeated ? reflection->GetRepeatedInt32(*at, field, k)
                                             : reflection->GetInt32(*at, field)) +
                                   (factor > 1 ? 1 : -1);
                               repeated
                                   ? reflection->SetRepeatedInt32(at, field, k, changed)
                                   : reflection->SetInt32(at, field, changed);
                             }});
          break;
        case FieldDescriptor::CPPTYPE_MESSAGE:
          CollectNumbers(repeated ? *reflection->MutableRepeatedMessage(at, field, k)
                                  : *reflection->MutableMessage(at, field),
                         name, numbers);
          break;
        default:
          break;
      }
    }
  }
}

// What a proof may state in several ways, all of them true; errors that are wider hold
// no less; and a refutation may have another point.
bool MayBeOtherwise(const std::string& name) {
  for (const char* const part :
       {".leaves.", ".lower_bound", ".unit_centre", ".unit_radius", ".combinations.",
        ".anchors", ".splits", ".errors", ".worst_point", ".missing", ".margin"}) {
    if (name.find(part) != std::string::npos) return true;
  }
  return false;
}

std::vector<const absl::StatusOr<CertifiedLine>*> Lines() {
  return {&FormsLine(), &DemoLine(), &MeasuredLine(), &SpecimensLine()};
}

TEST(ChangedCertificate, IsRefusedWhateverNumberWasChanged) {
  Random random("CERTIFICATES_WITH_ONE_NUMBER_CHANGED");
  int unsealed = 0, sealed = 0;
  for (const auto* line : Lines()) {
    ASSERT_THAT(line->status(), IsOk());
    for (const claim::Certification& certification : (*line)->certifications) {
      if (!certification.certificate) continue;
      SCOPED_TRACE(certification.certificate->claim);
      for (int sample = 0; sample < 12; ++sample) {
        v1::Certificate message = document::ToMessage(*certification.certificate);
        std::vector<Number> numbers;
        CollectNumbers(message, "", numbers);
        ASSERT_FALSE(numbers.empty());
        const Number& number =
            numbers[random.Integer(0, static_cast<int>(numbers.size()) - 1)];
        number.change(random.Integer(0, 1) == 0 ? 0.98 : 1.02);
        const auto changed = document::FromMessage(message);
        if (!changed.ok()) continue;  // no certificate at all
        EXPECT_THAT(recheck::RecheckAgainst(*changed, (*line)->release),
                    StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("seal")))
            << number.name;
        ++unsealed;
        if (MayBeOtherwise(number.name)) continue;
        EXPECT_FALSE(recheck::RecheckAgainst(Sealed(*changed), (*line)->release).ok())
            << number.name << " and sealed again";
        ++sealed;
      }
    }
  }
  EXPECT_GT(unsealed, 400);
  EXPECT_GT(sealed, 100);
}

// Each part by itself, with what a change makes of it: the proofs follow all the same.
void ExpectOnlyTheReleaseKnows(
    const std::function<bool(document::CertificatePart&, size_t function)>& change,
    const std::string& message, int least) {
  int changed = 0;
  for (const auto* line : Lines()) {
    ASSERT_THAT(line->status(), IsOk());
    for (const claim::Certification& certification : (*line)->certifications) {
      if (!certification.certificate || certification.certificate->rating) continue;
      const Certificate& original = *certification.certificate;
      SCOPED_TRACE(original.claim);
      const size_t p = original.parts.size() / 2;
      for (size_t f = 0; f < original.parts[p].functions.size(); ++f) {
        Certificate other = original;
        if (!change(other.parts[p], f)) continue;
        other = Sealed(std::move(other));
        ASSERT_THAT(recheck::Recheck(other), IsOk()) << f;
        EXPECT_THAT(recheck::RecheckAgainst(other, (*line)->release),
                    StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(message)))
            << f;
        ++changed;
      }
    }
  }
  EXPECT_GE(changed, least);
}

// Where all exponents are 0; the part has one.
double& ConstantOf(document::CertifiedPolynomial& p, size_t conditions) {
  for (size_t k = 0; k < p.coefficients.size(); ++k) {
    bool constant = true;
    for (size_t i = 0; i < conditions; ++i) {
      constant = constant && p.exponents[k * conditions + i] == 0;
    }
    if (constant) return p.coefficients[k];
  }
  ADD_FAILURE() << "no constant";
  return p.coefficients[0];
}

TEST(ChangedCertificate, AFunctionThatIsShiftedALittleIsRefused) {
  ExpectOnlyTheReleaseKnows(
      [](document::CertificatePart& part, size_t f) {
        double& constant = ConstantOf(part.functions[f].value, part.conditions.size());
        constant += 1e-7 * std::fabs(constant);
        return true;
      },
      "not that of surface and limit", 40);
}

TEST(ChangedCertificate, ANarrowerBandIsRefused) {
  ExpectOnlyTheReleaseKnows(
      [](document::CertificatePart& part, size_t f) {
        for (auto& term : part.functions[f].terms) {
          ConstantOf(term.square, part.conditions.size()) *= 1 - 1e-7;
        }
        return !part.functions[f].terms.empty() && !part.holds;
      },
      "band or systematic", 4);
}

TEST(ChangedCertificate, WhatInstrumentsTakeIsNotLeftOut) {
  ExpectOnlyTheReleaseKnows(
      [](document::CertificatePart& part, size_t f) {
        if (part.holds || part.functions[f].terms.empty()) return false;
        part.functions[f].terms.pop_back();
        return true;
      },
      "band or systematic", 4);
}

TEST(ChangedCertificate, ASmallerFactorIsRefused) {
  ExpectOnlyTheReleaseKnows(
      [](document::CertificatePart& part, size_t f) {
        // Of the band and of all that goes with it. Degrees of freedom of a combination
        // are bounded from one side, to a few parts in a hundred.
        document::CertifiedFunction& function = part.functions[f];
        const double less = 0.95;
        for (auto& term : function.terms) {
          // Factors are above 1, and parts of them below.
          if (term.weight > 1) term.weight *= less;
        }
        function.coverage_factor *= less;
        return part.holds;
      },
      "", 30);
}

TEST(ChangedCertificate, ASmallerRegionIsRefused) {
  ExpectOnlyTheReleaseKnows(
      [](document::CertificatePart& part, size_t f) {
        if (f > 0 || part.cuts.empty()) return false;
        // Less of the region where it holds; where it does not the point is still inside.
        ConstantOf(part.cuts[0], part.conditions.size()) += part.holds ? -1e-7 : 1e-7;
        return true;
      },
      "cuts", 3);
}

}  // namespace
}  // namespace ratebound::release
