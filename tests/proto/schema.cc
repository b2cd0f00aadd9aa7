#include "tests/proto/schema.h"

#include <google/protobuf/descriptor.pb.h>

#include <fstream>

#include "gtest/gtest.h"

namespace ratebound {

using ::google::protobuf::Descriptor;
using ::google::protobuf::FileDescriptor;

Schema::Schema() {
  std::ifstream stream(RATEBOUND_SCHEMA, std::ios::binary);
  google::protobuf::FileDescriptorSet set;
  EXPECT_TRUE(set.ParseFromIstream(&stream)) << RATEBOUND_SCHEMA;
  for (const auto& file : set.file()) {
    const FileDescriptor* built = pool_.BuildFile(file);
    if (built == nullptr || built->package() != "ratebound.v1") continue;
    files_.push_back(built);
    for (int i = 0; i < built->enum_type_count(); ++i) {
      enums_.push_back(built->enum_type(i));
    }
    for (int i = 0; i < built->message_type_count(); ++i) Add(built->message_type(i));
  }
}

void Schema::Add(const Descriptor* message) {
  messages_.push_back(message);
  for (int i = 0; i < message->enum_type_count(); ++i) {
    enums_.push_back(message->enum_type(i));
  }
  for (int i = 0; i < message->nested_type_count(); ++i) Add(message->nested_type(i));
}

}  // namespace ratebound
