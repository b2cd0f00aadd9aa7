#include "engine/document/digest.h"

#include <google/protobuf/any.pb.h>
#include <google/protobuf/descriptor.h>
#include <google/protobuf/struct.pb.h>
#include <google/protobuf/type.pb.h>
#include <google/protobuf/wrappers.pb.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <memory>
#include <set>

#include "absl/strings/escaping.h"
#include "engine/document/convert.h"
#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "ratebound/v1/claim.pb.h"
#include "ratebound/v1/line.pb.h"
#include "ratebound/v1/measure.pb.h"
#include "ratebound/v1/release.pb.h"
#include "tests/engine/document/documents.h"
#include "tests/engine/document/populate.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::google::protobuf::FieldDescriptor;
using ::google::protobuf::Message;
using ::google::protobuf::Reflection;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

std::string DigestOf(const Message& message) {
  const auto digest = Digest(message);
  EXPECT_TRUE(digest.ok()) << digest.status();
  return digest.ok() ? *digest : "";
}

// Written out by hand from the rules in digest.h.
TEST(Digest, CanonicalFormIsTheOneDescribed) {
  v1::Measure measure;
  measure.set_quantity("ab");
  measure.set_value(1.5);  // 0x3ff8000000000000
  ASSERT_OK_AND_ASSIGN(const std::string form, CanonicalForm(measure));
  EXPECT_EQ(absl::BytesToHexString(form),
            "0000000000000001"  // quantity
            "0000000000000003"  // text
            "0000000000000002"
            "6162"
            "0000000000000002"  // value
            "0000000000000002"  // double
            "3ff8000000000000");
}

TEST(Digest, CanonicalFormOfListsAndMessagesIsTheOneDescribed) {
  v1::Stage stage;
  stage.add_machines("a");
  stage.add_machines("");
  v1::Mode mode;
  *mode.add_stages() = stage;
  mode.set_declared_proof_degree(0);  // present, though zero
  ASSERT_OK_AND_ASSIGN(const std::string form, CanonicalForm(mode));
  EXPECT_EQ(absl::BytesToHexString(form),
            "0000000000000008"  // stages
            "0000000000000005"  // a list
            "0000000000000004"  // of messages
            "0000000000000001"  // one
            "0000000000000031"  // of 49 bytes
            "0000000000000002"  // machines
            "0000000000000005"  // a list
            "0000000000000003"  // of texts
            "0000000000000002"  // two
            "0000000000000001"
            "61"
            "0000000000000000"
            "0000000000000009"  // declared_proof_degree
            "0000000000000001"  // integer
            "0000000000000000");
}

TEST(Digest, EmptyMessageHasTheDigestOfNoBytes) {
  EXPECT_EQ(DigestOf(v1::Release()),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

// Splits a serialized message into its fields; all of ours are wire types 0, 1 and 2.
std::vector<std::string> WireFields(const std::string& bytes) {
  std::vector<std::string> fields;
  size_t at = 0;
  const auto varint = [&] {
    uint64_t value = 0;
    for (int shift = 0;; shift += 7) {
      const auto byte = static_cast<uint8_t>(bytes[at++]);
      value |= static_cast<uint64_t>(byte & 0x7f) << shift;
      if (byte < 0x80) return value;
    }
  };
  while (at < bytes.size()) {
    const size_t start = at;
    const uint64_t type = varint() & 7;
    if (type == 0) {
      varint();
    } else if (type == 1) {
      at += 8;
    } else {
      const uint64_t size = varint();
      at += size;
    }
    fields.push_back(bytes.substr(start, at - start));
  }
  return fields;
}

TEST(Digest, DoesNotDependOnTheOrderOfFieldsOnTheWire) {
  Random random("WIRE_ORDER");
  v1::Verdict verdict;
  Populate(&verdict, random);
  std::vector<std::string> fields = WireFields(verdict.SerializeAsString());
  // Reversing would also turn repeated fields round, so only single ones change places.
  std::stable_sort(fields.begin(), fields.end(), [](const auto& a, const auto& b) {
    return static_cast<uint8_t>(a[0]) > static_cast<uint8_t>(b[0]);
  });
  std::string turned;
  for (const std::string& field : fields) turned += field;
  ASSERT_NE(turned, verdict.SerializeAsString());
  v1::Verdict again;
  ASSERT_TRUE(again.ParseFromString(turned));
  EXPECT_EQ(DigestOf(again), DigestOf(verdict));
}

TEST(Digest, NegativeZeroIsZero) {
  v1::TableAxis with;
  with.add_values(-0.0);
  v1::TableAxis without;
  without.add_values(0.0);
  EXPECT_EQ(DigestOf(with), DigestOf(without));

  v1::Measure implicit;  // present for protobuf, which compares bits
  implicit.set_value(-0.0);
  EXPECT_EQ(DigestOf(implicit), DigestOf(v1::Measure()));

  v1::Allowance negative;
  negative.set_absolute(-0.0);
  v1::Allowance positive;
  positive.set_absolute(0.0);
  EXPECT_EQ(DigestOf(negative), DigestOf(positive));
  EXPECT_NE(DigestOf(positive), DigestOf(v1::Allowance())) << "zero is a choice";
}

// Calls `act` for every scalar below `message`, once for each item of a list, with a way
// to change it and to change it back.
void ForEachScalar(Message* message, const std::function<void(const std::string&)>& act) {
  const Reflection* reflection = message->GetReflection();
  std::vector<const FieldDescriptor*> present;
  reflection->ListFields(*message, &present);
  for (const FieldDescriptor* field : present) {
    const int count = field->is_repeated() ? reflection->FieldSize(*message, field) : 1;
    for (int i = 0; i < count; ++i) {
      if (field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE) {
        ForEachScalar(field->is_repeated()
                          ? reflection->MutableRepeatedMessage(message, field, i)
                          : reflection->MutableMessage(message, field),
                      act);
        continue;
      }
      const std::unique_ptr<Message> before(message->New());
      before->CopyFrom(*message);
      const auto change = [&]<typename T>(auto get, auto set, auto get_item,
                                          auto set_item, T by) {
        if (field->is_repeated()) {
          (reflection->*set_item)(message, field, i,
                                  (reflection->*get_item)(*message, field, i) + by);
        } else {
          (reflection->*set)(message, field, (reflection->*get)(*message, field) + by);
        }
      };
      switch (field->cpp_type()) {
        case FieldDescriptor::CPPTYPE_DOUBLE:
          change(&Reflection::GetDouble, &Reflection::SetDouble,
                 &Reflection::GetRepeatedDouble, &Reflection::SetRepeatedDouble, 1e-12);
          break;
        case FieldDescriptor::CPPTYPE_INT32:
          change(&Reflection::GetInt32, &Reflection::SetInt32,
                 &Reflection::GetRepeatedInt32, &Reflection::SetRepeatedInt32, 1);
          break;
        case FieldDescriptor::CPPTYPE_INT64:
          change(&Reflection::GetInt64, &Reflection::SetInt64,
                 &Reflection::GetRepeatedInt64, &Reflection::SetRepeatedInt64, 1);
          break;
        case FieldDescriptor::CPPTYPE_ENUM:
          change(&Reflection::GetEnumValue, &Reflection::SetEnumValue,
                 &Reflection::GetRepeatedEnumValue, &Reflection::SetRepeatedEnumValue, 1);
          break;
        case FieldDescriptor::CPPTYPE_STRING:
          change(&Reflection::GetString, &Reflection::SetString,
                 &Reflection::GetRepeatedString, &Reflection::SetRepeatedString, "x");
          break;
        case FieldDescriptor::CPPTYPE_BOOL:
          reflection->SetBool(message, field, !reflection->GetBool(*message, field));
          break;
        default:
          FAIL() << field->full_name();
      }
      act(field->full_name());
      message->CopyFrom(*before);
    }
  }
}

TEST(Digest, ChangesWithEverySingleField) {
  Random random("EVERY_FIELD");
  v1::Release release;
  Populate(&release, random);
  const std::string digest = DigestOf(release);
  std::set<std::string> digests = {digest};
  std::set<std::string> fields;
  int count = 0;
  ForEachScalar(&release, [&](const std::string& field) {
    ++count;
    fields.insert(field);
    EXPECT_TRUE(digests.insert(DigestOf(release)).second) << field;
  });
  EXPECT_EQ(DigestOf(release), digest);
  EXPECT_GT(count, 1000);
  EXPECT_GT(fields.size(), 200u);
}

// A release that uses none of the fields that came after the first version of the schema.
// Its digest was written down then: fields that are not used leave no trace.
TEST(Digest, GrowthOfTheSchemaChangesNoDigestOfWhatIsThere) {
  Release release;
  release.engine_version = "1";
  ASSERT_OK_AND_ASSIGN(release.manifest, ParseLineManifest("l", kManifest));
  ASSERT_OK_AND_ASSIGN(const Procedure procedure, ParseProcedure("p", kProcedure));
  release.procedures.push_back(procedure);
  release.source_files.push_back({.path = "points/day1.csv", .byte_count = 7});
  TestPoint point;
  point.id = "1";
  point.line = 2;
  point.values.push_back({.quantity = "entering_water_temp", .value_si = 29.5});
  release.points.push_back(point);
  release.findings.push_back({.severity = Severity::kWarning, .subject = "w60"});
  StageMap map;
  map.conditions = {"entering_water_temp"};
  map.tested_low_si = {10};
  map.tested_high_si = {30};
  Surface surface;
  surface.quantity = "total_capacity";
  surface.coefficients_si = {17000};
  map.surfaces.push_back(surface);
  release.maps.push_back(map);
  EXPECT_EQ(DigestOf(ToMessage(release)),
            "26fbdc96bdc3cdc45e7dd55a652ec6dd5d238bd0e0b0598ae5d35df1c78e1943");
}

TEST(Digest, ItemsOfAListDoNotRunIntoEachOther) {
  v1::Stage one;
  one.add_machines("ab");
  one.add_machines("c");
  v1::Stage other;
  other.add_machines("a");
  other.add_machines("bc");
  EXPECT_NE(DigestOf(one), DigestOf(other));
}

TEST(Digest, NumbersThatAreNotFiniteAreRefused) {
  v1::Measure measure;
  measure.set_value(std::numeric_limits<double>::quiet_NaN());
  EXPECT_THAT(Digest(measure),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       "ratebound.v1.Measure.value: not a finite number"));
  v1::TableAxis axis;
  axis.add_values(-std::numeric_limits<double>::infinity());
  EXPECT_THAT(Digest(axis),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       "ratebound.v1.TableAxis.values: not a finite number"));
}

TEST(Digest, UnknownFieldsAreRefusedAtAnyDepth) {
  v1::Release release;
  v1::Finding* finding = release.add_findings();
  finding->GetReflection()->MutableUnknownFields(finding)->AddVarint(77, 1);
  EXPECT_THAT(Digest(release), StatusIs(absl::StatusCode::kInvalidArgument,
                                        HasSubstr("ratebound.v1.Finding: has fields")));
}

TEST(Digest, TextThatIsNotUtf8IsRefused) {
  v1::Measure measure;
  measure.set_unit("\xff");
  EXPECT_THAT(Digest(measure), StatusIs(absl::StatusCode::kInvalidArgument,
                                        "ratebound.v1.Measure.unit: not UTF-8 text"));
}

TEST(Digest, KindsWithoutOneFormAreRefused) {
#ifndef __SANITIZE_THREAD__  // under it protobuf's headers give maps another shape
  google::protobuf::Struct with_map;
  (*with_map.mutable_fields())["a"].set_number_value(1);
  EXPECT_THAT(Digest(with_map),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("map")));
#endif
  google::protobuf::FloatValue with_float;
  with_float.set_value(1);
  EXPECT_THAT(Digest(with_float),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("float")));
  google::protobuf::Any any;
  any.set_type_url("x/y");
  EXPECT_THAT(Digest(any),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("Any")));
}

}  // namespace
}  // namespace ratebound::document
