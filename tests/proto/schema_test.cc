// Habits of the schema that a linter of protos cannot check, such as units in names.
#include <algorithm>
#include <set>
#include <string>

#include "absl/strings/ascii.h"
#include "absl/strings/match.h"
#include "gtest/gtest.h"
#include "tests/proto/schema.h"

namespace ratebound {
namespace {

using ::google::protobuf::Descriptor;
using ::google::protobuf::EnumDescriptor;
using ::google::protobuf::FieldDescriptor;
using ::google::protobuf::FileDescriptor;
using ::google::protobuf::MethodDescriptor;

class SchemaTest : public ::testing::Test {
 protected:
  Schema schema_;
};

std::string UpperSnake(const std::string& camel) {
  std::string upper;
  for (size_t i = 0; i < camel.size(); ++i) {
    if (i > 0 && absl::ascii_isupper(camel[i])) upper.push_back('_');
    upper.push_back(absl::ascii_toupper(camel[i]));
  }
  return upper;
}

TEST_F(SchemaTest, IsThere) {
  EXPECT_GE(schema_.files().size(), 12u);
  EXPECT_GE(schema_.messages().size(), 80u);
  EXPECT_GE(schema_.enums().size(), 12u);
}

TEST_F(SchemaTest, EnumerationsBeginUnspecifiedAndNameThemselvesInTheirValues) {
  for (const EnumDescriptor* type : schema_.enums()) {
    const std::string prefix = UpperSnake(type->name()) + "_";
    ASSERT_GE(type->value_count(), 2) << type->full_name();
    EXPECT_EQ(type->value(0)->number(), 0) << type->full_name();
    EXPECT_EQ(type->value(0)->name(), prefix + "UNSPECIFIED");
    for (int i = 0; i < type->value_count(); ++i) {
      EXPECT_TRUE(absl::StartsWith(type->value(i)->name(), prefix))
          << type->value(i)->full_name();
      // Plain enumerations are converted by their order
      // (engine/document/convert_parts.h).
      EXPECT_EQ(type->value(i)->number(), i) << type->value(i)->full_name();
    }
  }
}

TEST_F(SchemaTest, EveryCallHasItsOwnRequestAndResponse) {
  std::set<const Descriptor*> used;
  for (const FileDescriptor* file : schema_.files()) {
    for (int i = 0; i < file->service_count(); ++i) {
      for (int j = 0; j < file->service(i)->method_count(); ++j) {
        const MethodDescriptor* method = file->service(i)->method(j);
        EXPECT_EQ(method->input_type()->name(), method->name() + "Request");
        EXPECT_EQ(method->output_type()->name(), method->name() + "Response");
        EXPECT_TRUE(used.insert(method->input_type()).second) << method->full_name();
        EXPECT_TRUE(used.insert(method->output_type()).second) << method->full_name();
      }
    }
  }
  EXPECT_GE(used.size(), 2 * 10u);
}

// What the digest refuses (engine/document/digest.h) must not get into a document.
TEST_F(SchemaTest, NoKindsWithoutOneForm) {
  for (const Descriptor* message : schema_.messages()) {
    for (int i = 0; i < message->field_count(); ++i) {
      const FieldDescriptor* field = message->field(i);
      EXPECT_FALSE(field->is_map()) << field->full_name();
      EXPECT_NE(field->cpp_type(), FieldDescriptor::CPPTYPE_FLOAT) << field->full_name();
      if (field->message_type() != nullptr) {
        EXPECT_EQ(field->message_type()->file()->package(), "ratebound.v1")
            << field->full_name();
      }
    }
  }
}

bool HasUnitBeside(const Descriptor* message) {
  for (int i = 0; i < message->field_count(); ++i) {
    const std::string& name = message->field(i)->name();
    if (name == "unit" || absl::EndsWith(name, "_unit")) return true;
  }
  return false;
}

// Plain numbers, and numbers whose unit the message around them gives.
const std::set<std::string>& NumbersWithoutUnit() {
  static const auto* names = new std::set<std::string>{
      "ratebound.v1.Allowance.absolute",                // the claim's limit_unit
      "ratebound.v1.CertifiedPolynomial.coefficients",  // of the margin, in SI
      "ratebound.v1.CertifiedPolynomial.errors",        // of the margin, in SI
      "ratebound.v1.CertifiedTerm.weight",              // plain, or a slope of the margin
      "ratebound.v1.CertifiedFunction.coverage_factor",     // plain
      "ratebound.v1.CertifiedCombination.weights",          // plain
      "ratebound.v1.CertifiedCombination.multipliers",      // margin over cut
      "ratebound.v1.CertifiedLeaf.bound",                   // of the margin, in SI
      "ratebound.v1.CertifiedLeaf.tangents",                // one over the margin
      "ratebound.v1.CertificatePart.box_low",               // coordinates of its part
      "ratebound.v1.CertificatePart.box_high",              // coordinates of its part
      "ratebound.v1.CertificatePart.lower_bound",           // of the margin, in SI
      "ratebound.v1.CertificatePart.unit_centre",           // coordinates of its part
      "ratebound.v1.CertificatePart.unit_radius",           // coordinates of its part
      "ratebound.v1.CertificatePart.anchors",               // plain
      "ratebound.v1.CertificatePart.worst_point",           // coordinates of its part
      "ratebound.v1.CertificatePart.missing",               // of the margin, in SI
      "ratebound.v1.Certificate.level",                     // plain
      "ratebound.v1.LinearCut.at_most",                     // of the sum of its terms
      "ratebound.v1.PolygonVertex.value",                   // the polygon's unit
      "ratebound.v1.PolygonVertex.other_value",             // the polygon's other_unit
      "ratebound.v1.AgainstQuantity.offset",                // the claim's limit_unit
      "ratebound.v1.AgainstQuantity.upper_offset",          // the claim's limit_unit
      "ratebound.v1.LimitRow.limit",                        // the claim's limit_unit
      "ratebound.v1.LimitRow.upper_limit",                  // the claim's limit_unit
      "ratebound.v1.TableColumnSet.values",                 // its figure's unit
      "ratebound.v1.TableColumnSet.half_widths",            // its figure's unit
      "ratebound.v1.Surface.leverage_matrix",               // plain
      "ratebound.v1.Surface.greatest_leverage",             // plain
      "ratebound.v1.Surface.degrees_of_freedom",            // plain
      "ratebound.v1.Surface.r_squared",                     // plain
      "ratebound.v1.Surface.condition_number",              // plain
      "ratebound.v1.MinimumVerdict.level",                  // the metric's unit
      "ratebound.v1.MetricUncertainty.standard_error",      // the metric's unit
      "ratebound.v1.MetricUncertainty.degrees_of_freedom",  // plain
      "ratebound.v1.MetricUncertainty.systematic",          // the metric's unit
      "ratebound.v1.MetricUncertainty.confidence",          // plain
      "ratebound.v1.MetricUncertainty.low",                 // the metric's unit
      "ratebound.v1.MetricUncertainty.high",                // the metric's unit
      "ratebound.v1.MetricContribution.value",              // the metric's unit
      "ratebound.v1.BinTable.step",               // the season's unit, and hours
      "ratebound.v1.BinTable.sum",                // the season's unit, and hours
      "ratebound.v1.Bin.temperature",             // the season's unit, and hours
      "ratebound.v1.Bin.weight",                  // the season's unit, and hours
      "ratebound.v1.ConditionAt.temperature",     // the season's and the condition's
      "ratebound.v1.ConditionAt.value",           // the season's and the condition's
      "ratebound.v1.SurveillanceWhatIf.limit",    // the metric's unit
      "ratebound.v1.EvaluateRequest.confidence",  // plain
      "ratebound.v1.EvaluateResponse.effective_confidence",       // plain
      "ratebound.v1.ReadingCorrelation.coefficient",              // plain
      "ratebound.v1.FrostCycles.threshold",                       // the column's unit
      "ratebound.v1.OnOffCycles.threshold",                       // the column's unit
      "ratebound.v1.ValueUncertainty.degrees_of_freedom",         // plain
      "ratebound.v1.UncertaintyContribution.share",               // plain
      "ratebound.v1.BalanceTerm.factor",                          // plain
      "ratebound.v1.ShapeRefit.stationarity",                     // plain
      "ratebound.v1.ShapeRefit.infeasibility",                    // plain
      "ratebound.v1.ShapeRefit.dual_infeasibility",               // plain
      "ratebound.v1.ShapeRefit.complementarity",                  // plain
      "ratebound.v1.ResponseCovariance.residual_correlation",     // plain
      "ratebound.v1.ModelRequest.stage_shares",                   // plain
      "ratebound.v1.SurfaceDiagnostics.condition_inflation",      // plain
      "ratebound.v1.SurfaceDiagnostics.greatest_studentised",     // plain
      "ratebound.v1.SurfaceDiagnostics.greatest_cooks_distance",  // plain
      "ratebound.v1.SurfaceDiagnostics.greatest_dffits",          // plain
      "ratebound.v1.SurfaceDiagnostics.predicted_r_squared",      // plain
      "ratebound.v1.SurfaceDiagnostics.adjusted_r_squared",       // plain
      "ratebound.v1.SurfaceDiagnostics.block_error_ratio",        // plain
      "ratebound.v1.PointDiagnostics.leverage",                   // plain
      "ratebound.v1.PointDiagnostics.internally_studentised",     // plain
      "ratebound.v1.PointDiagnostics.externally_studentised",     // plain
      "ratebound.v1.PointDiagnostics.cooks_distance",             // plain
      "ratebound.v1.PointDiagnostics.dffits",                     // plain
      "ratebound.v1.PointDiagnostics.robustness_weight",          // plain
      "ratebound.v1.PointDiagnostics.weight",                     // plain
      "ratebound.v1.SurfaceDiagnostics.press",   // of what the model is fitted to
      "ratebound.v1.PointDiagnostics.residual",  // of what the model is fitted to
  };
  return *names;
}

TEST_F(SchemaTest, EveryNumberTellsItsUnit) {
  std::set<std::string> unused = NumbersWithoutUnit();
  for (const Descriptor* message : schema_.messages()) {
    for (int i = 0; i < message->field_count(); ++i) {
      const FieldDescriptor* field = message->field(i);
      if (field->cpp_type() != FieldDescriptor::CPPTYPE_DOUBLE) continue;
      bool has_suffix = false;
      for (const char* suffix :
           {"_si", "_fraction", "_percent", "_probability", "_s", "_c", "_pa", "_w", "_k",
            "_w_per_k", "_fraction_low", "_fraction_high"}) {
        has_suffix = has_suffix || absl::EndsWith(field->name(), suffix);
      }
      if (has_suffix || HasUnitBeside(message)) continue;
      EXPECT_TRUE(NumbersWithoutUnit().contains(field->full_name()))
          << field->full_name() << " has no unit in its name or beside it";
      unused.erase(field->full_name());
    }
  }
  for (const std::string& name : unused) ADD_FAILURE() << name << " needs no exception";
}

bool IsSentence(const std::string& comment) {
  return comment.size() > 3 && absl::ascii_isupper(comment[0]) && comment.back() == '.';
}

TEST_F(SchemaTest, EverythingIsExplainedInSentences) {
  for (const Descriptor* message : schema_.messages()) {
    EXPECT_NE(CommentOf(message), "") << message->full_name();
    for (int i = 0; i < message->field_count(); ++i) {
      EXPECT_TRUE(IsSentence(CommentOf(message->field(i))))
          << message->field(i)->full_name();
    }
    for (int i = 0; i < message->real_oneof_decl_count(); ++i) {
      EXPECT_TRUE(IsSentence(CommentOf(message->oneof_decl(i))))
          << message->oneof_decl(i)->full_name();
    }
  }
  for (const EnumDescriptor* type : schema_.enums()) {
    EXPECT_TRUE(IsSentence(CommentOf(type))) << type->full_name();
    for (int i = 0; i < type->value_count(); ++i) {
      EXPECT_TRUE(IsSentence(CommentOf(type->value(i)))) << type->value(i)->full_name();
    }
  }
  for (const FileDescriptor* file : schema_.files()) {
    for (int i = 0; i < file->service_count(); ++i) {
      EXPECT_NE(CommentOf(file->service(i)), "") << file->service(i)->full_name();
      for (int j = 0; j < file->service(i)->method_count(); ++j) {
        EXPECT_TRUE(IsSentence(CommentOf(file->service(i)->method(j))))
            << file->service(i)->method(j)->full_name();
      }
    }
  }
}

bool IsOutput(const FieldDescriptor* field) {
  return absl::StartsWith(CommentOf(field), "Output only.");
}

// A message is either asked or answered; only SiValue stands in both.
TEST_F(SchemaTest, MessagesDoNotMixWhatIsAskedAndWhatIsAnswered) {
  for (const Descriptor* message : schema_.messages()) {
    int output_count = 0;
    for (int i = 0; i < message->field_count(); ++i) {
      const auto* oneof = message->field(i)->real_containing_oneof();
      const bool output =
          IsOutput(message->field(i)) ||
          (oneof != nullptr && absl::StartsWith(CommentOf(oneof), "Output only."));
      output_count += output ? 1 : 0;
    }
    EXPECT_TRUE(output_count == 0 || output_count == message->field_count())
        << message->full_name();
    const bool is_response = absl::EndsWith(message->name(), "Response");
    EXPECT_TRUE(!is_response || output_count == message->field_count())
        << message->full_name();
  }
}

}  // namespace
}  // namespace ratebound
