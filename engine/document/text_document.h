// A text-format file read into a message, with the place of every field and all its
// faults.
//
// A syntax error ends its file. Everything else is collected: unknown fields, unknown
// values of enumerations, and whatever the checks of check.h add through Node.
//
// Example:
//   TextDocument document("claims.textproto", bytes);
//   v1::ClaimDocument claims;
//   if (document.ParseInto(&claims)) {
//     Node root = document.Root(claims);
//     root.Require({v1::ClaimDocument::kClaimsFieldNumber});
//   }
//   return document.ToStatus();
//
// Limits: 8 MiB of well-formed UTF-8, messages 64 deep.
// Lifetime: a TextDocument refers to the bytes, a Node to its document and message.
// Thread-safety: one thread at a time.
#ifndef RATEBOUND_ENGINE_DOCUMENT_TEXT_DOCUMENT_H_
#define RATEBOUND_ENGINE_DOCUMENT_TEXT_DOCUMENT_H_

#include <google/protobuf/message.h>
#include <google/protobuf/text_format.h>

#include <initializer_list>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "absl/status/status.h"
#include "engine/base/fault.h"
#include "engine/document/place.h"

namespace ratebound::document {

class Node;

class TextDocument {
 public:
  static constexpr size_t kMostBytes = size_t{8} << 20;
  static constexpr int kDeepest = 64;

  TextDocument(std::string_view name, std::string_view bytes);

  // False, with the reason among the faults, where the text ends early; the message then
  // holds only part of it and is not worth checking.
  bool ParseInto(google::protobuf::Message* message);

  // The root of a message that ParseInto filled.
  Node Root(const google::protobuf::Message& message);

  const std::string& name() const { return name_; }

  // OK, or all faults in the order of the file.
  absl::Status ToStatus() const;

 private:
  friend class Node;
  class Collector;
  using Tree = google::protobuf::TextFormat::ParseInfoTree;

  // `line` and `column` as the tokenizer counts: from 0, a tab to the next multiple of 8.
  size_t OffsetOf(int line, int column) const;
  Place PlaceOf(size_t offset) const;
  // Where `name` stands last before `offset`; the tokenizer reports names behind
  // themselves.
  size_t OffsetOfNameBefore(std::string_view name, size_t offset) const;
  // Places of the items of a repeated field, whether written as a list or one by one; the
  // parser knows only where a list begins.
  const std::vector<Place>& ItemPlaces(const Tree& tree,
                                       const google::protobuf::FieldDescriptor* field);
  // Whether the value of a field that was written at `at` has been reported already.
  bool ValueReported(google::protobuf::TextFormat::ParseLocation at,
                     const google::protobuf::FieldDescriptor* field) const;
  void AddFault(Place place, std::string field, std::string message, std::string remedy);

  std::string name_;
  std::string_view text_;
  std::vector<size_t> line_starts_;
  // The column at the start of each kBlock bytes, so that a place in a long line is found
  // without counting the line from its start.
  static constexpr size_t kBlock = 512;
  std::vector<int> block_columns_;
  std::unique_ptr<Tree> tree_;
  // Offsets of the unknown enumeration values, so that no check reports them again.
  std::set<size_t> reported_values_;
  std::map<std::pair<const Tree*, const google::protobuf::FieldDescriptor*>,
           std::vector<Place>>
      item_places_;
  base::FaultList faults_;
};

// One message of a document: tells which fields were written and where, and takes faults.
class Node {
 public:
  // Faults every field of the list that is missing: a message or oneof member that is
  // absent, an empty string or list, an enumeration left unspecified, a number that was
  // not written (zero counts when it is written).
  void Require(std::initializer_list<int> field_numbers) const;

  // Whether the field was written in the file; for strings and lists, whether there is
  // anything.
  bool Has(int field_number) const;

  // Faults numbers that are not finite and values that are none of their enumeration,
  // here and in all messages below.
  void RequireSoundValues() const;

  // Whether there are so many faults that more are only counted. Checks that look for the
  // nearest name stop then, so that a hostile file costs no more than its reading.
  bool FaultsAreMany() const;

  // Whether no more than `most` messages stand in this one; otherwise a fault. Checks
  // compare parts with each other, and so take time that grows with the square of this.
  bool RequireAtMostMessages(int most) const;

  // Faults the field, or item `index` of a repeated field.
  void Fault(int field_number, std::string message, std::string remedy = "",
             int index = -1) const;

  // The message in the field, or item `index` of a repeated field.
  Node Child(int field_number, int index = -1) const;

  // Where the field stands; where it was not written, where the message begins.
  Place PlaceOf(int field_number, int index = -1) const;
  Place place() const { return place_; }

  // "units[0].modes[1].id".
  std::string PathOf(int field_number, int index = -1) const;

 private:
  friend class TextDocument;
  using Tree = google::protobuf::TextFormat::ParseInfoTree;

  Node(TextDocument* document, const google::protobuf::Message* message, const Tree* tree,
       Place place, std::string path)
      : document_(document),
        message_(message),
        tree_(tree),
        place_(place),
        path_(std::move(path)) {}

  const google::protobuf::FieldDescriptor* Field(int field_number) const;
  void RequireOne(const google::protobuf::FieldDescriptor* field) const;
  void CheckNumber(const google::protobuf::FieldDescriptor* field, int index) const;
  void CheckEnum(const google::protobuf::FieldDescriptor* field, int index) const;

  TextDocument* document_;
  const google::protobuf::Message* message_;
  const Tree* tree_;  // null where the parser kept no places
  Place place_;
  std::string path_;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_TEXT_DOCUMENT_H_
