// The schema as protoc read it, with its comments.
#ifndef RATEBOUND_TESTS_PROTO_SCHEMA_H_
#define RATEBOUND_TESTS_PROTO_SCHEMA_H_

#include <google/protobuf/descriptor.h>

#include <string>
#include <vector>

namespace ratebound {

class Schema {
 public:
  Schema();

  const std::vector<const google::protobuf::FileDescriptor*>& files() const {
    return files_;
  }
  // Nested ones included.
  const std::vector<const google::protobuf::Descriptor*>& messages() const {
    return messages_;
  }
  const std::vector<const google::protobuf::EnumDescriptor*>& enums() const {
    return enums_;
  }
  const google::protobuf::Descriptor* FindMessage(const std::string& full_name) const {
    return pool_.FindMessageTypeByName(full_name);
  }

 private:
  void Add(const google::protobuf::Descriptor* message);

  google::protobuf::DescriptorPool pool_;
  std::vector<const google::protobuf::FileDescriptor*> files_;
  std::vector<const google::protobuf::Descriptor*> messages_;
  std::vector<const google::protobuf::EnumDescriptor*> enums_;
};

// The comment before a declaration, on one line; empty where there is none.
template <typename Declaration>
std::string CommentOf(const Declaration* declaration) {
  google::protobuf::SourceLocation location;
  if (!declaration->GetSourceLocation(&location)) return "";
  std::string text;
  for (char c : location.leading_comments) {
    const bool blank = c == '\n' || c == ' ';
    if (blank && (text.empty() || text.back() == ' ')) continue;
    text.push_back(blank ? ' ' : c);
  }
  while (text.ends_with(' ')) text.pop_back();
  return text;
}

}  // namespace ratebound

#endif  // RATEBOUND_TESTS_PROTO_SCHEMA_H_
