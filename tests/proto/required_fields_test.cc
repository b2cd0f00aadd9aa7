// What the schema calls "Required" is what reading a document demands.
#include <google/protobuf/message.h>
#include <google/protobuf/text_format.h>

#include <functional>
#include <memory>
#include <set>
#include <string>

#include "absl/status/status.h"
#include "absl/strings/match.h"
#include "engine/base/fault.h"
#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "ratebound/v1/claim.pb.h"
#include "ratebound/v1/line.pb.h"
#include "ratebound/v1/method.pb.h"
#include "ratebound/v1/procedure.pb.h"
#include "tests/engine/document/documents.h"
#include "tests/proto/schema.h"

namespace ratebound {
namespace {

using ::google::protobuf::FieldDescriptor;
using ::google::protobuf::Message;
using ::google::protobuf::Reflection;
using ::google::protobuf::TextFormat;

class RequiredFields : public ::testing::Test {
 protected:
  bool IsRequired(const FieldDescriptor* field) const {
    const auto* message = schema_.FindMessage(field->containing_type()->full_name());
    return absl::StartsWith(CommentOf(message->FindFieldByNumber(field->number())),
                            "Required");
  }

  // Clears each required field below `message` in turn and calls `act` with it.
  void WithoutEach(Message* message,
                   const std::function<void(const FieldDescriptor*)>& act) const {
    const Reflection* reflection = message->GetReflection();
    std::vector<const FieldDescriptor*> present;
    reflection->ListFields(*message, &present);
    for (const FieldDescriptor* field : present) {
      if (field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE) {
        const int count =
            field->is_repeated() ? reflection->FieldSize(*message, field) : 1;
        for (int i = 0; i < count; ++i) {
          WithoutEach(field->is_repeated()
                          ? reflection->MutableRepeatedMessage(message, field, i)
                          : reflection->MutableMessage(message, field),
                      act);
        }
      }
      if (!IsRequired(field)) continue;
      const std::unique_ptr<Message> before(message->New());
      before->CopyFrom(*message);
      reflection->ClearField(message, field);
      act(field);
      message->CopyFrom(*before);
    }
  }

  template <typename Wire>
  void Check(const char* text, const std::function<absl::Status(std::string_view)>& parse,
             size_t at_least) {
    Wire message;
    ASSERT_TRUE(TextFormat::ParseFromString(text, &message));
    std::string printed;
    TextFormat::PrintToString(message, &printed);
    ASSERT_TRUE(parse(printed).ok()) << parse(printed);
    std::set<std::string> demanded;
    WithoutEach(&message, [&](const FieldDescriptor* field) {
      std::string without;
      TextFormat::PrintToString(message, &without);
      bool found = false;
      for (const base::Fault& fault : base::FaultsOf(parse(without))) {
        found = found || (absl::EndsWith(fault.field, field->name()) &&
                          absl::StartsWith(fault.message, "is missing"));
      }
      EXPECT_TRUE(found) << field->full_name() << " is required and was not missed";
      demanded.insert(field->full_name());
    });
    EXPECT_GE(demanded.size(), at_least);
  }

  Schema schema_;
};

TEST_F(RequiredFields, OfAManifestAreDemanded) {
  Check<v1::LineManifest>(
      document::kManifest,
      [](std::string_view text) {
        return document::ParseLineManifest("f", text).status();
      },
      40);
}

TEST_F(RequiredFields, OfInstrumentsReductionsLogsAndCurvesAreDemanded) {
  Check<v1::LineManifest>(
      document::kLabManifest,
      [](std::string_view text) {
        return document::ParseLineManifest("f", text).status();
      },
      80);
}

TEST_F(RequiredFields, OfAMethodAreDemanded) {
  Check<v1::MeasurementMethod>(
      document::kMethod,
      [](std::string_view text) { return document::ParseMethod("f", text).status(); },
      17);
}

TEST_F(RequiredFields, OfClaimsAreDemanded) {
  Check<v1::ClaimDocument>(
      document::kClaims,
      [](std::string_view text) { return document::ParseClaims("f", text).status(); },
      15);
}

TEST_F(RequiredFields, OfAProcedureAreDemanded) {
  Check<v1::Procedure>(
      document::kProcedure,
      [](std::string_view text) { return document::ParseProcedure("f", text).status(); },
      40);
}

}  // namespace
}  // namespace ratebound
