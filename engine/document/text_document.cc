#include "engine/document/text_document.h"

#include <google/protobuf/descriptor.h>
#include <google/protobuf/io/tokenizer.h>
#include <google/protobuf/io/zero_copy_stream_impl_lite.h>

#include <algorithm>

#include "absl/strings/ascii.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"

namespace ratebound::document {
namespace {

using ::google::protobuf::Descriptor;
using ::google::protobuf::EnumDescriptor;
using ::google::protobuf::FieldDescriptor;
using ::google::protobuf::Message;
using ::google::protobuf::TextFormat;

// The `index`-th text between double quotes; the parser names things only in its
// sentences.
std::string Quoted(const std::string& message, int index) {
  size_t from = 0;
  for (;; --index) {
    const size_t open = message.find('"', from);
    if (open == std::string::npos) return "";
    const size_t close = message.find('"', open + 1);
    if (close == std::string::npos) return "";
    if (index == 0) return message.substr(open + 1, close - open - 1);
    from = close + 1;
  }
}

// Without the full stop.
std::string Sentence(const std::string& message) {
  return message.ends_with('.') ? message.substr(0, message.size() - 1) : message;
}

// Past blanks and comments.
size_t SkipBlank(std::string_view text, size_t at) {
  while (at < text.size()) {
    if (text[at] == '#') {
      while (at < text.size() && text[at] != '\n') ++at;
    } else if (absl::ascii_isspace(text[at])) {
      ++at;
    } else {
      break;
    }
  }
  return at;
}

// Past one item of a list: up to the comma or bracket behind it.
size_t SkipItem(std::string_view text, size_t at) {
  int depth = 0;
  while (at < text.size()) {
    const char c = text[at];
    if (depth == 0 && (c == ',' || c == ']')) return at;
    if (c == '"' || c == '\'') {
      for (++at; at < text.size() && text[at] != c; ++at) {
        if (text[at] == '\\') ++at;
      }
    } else if (c == '#') {
      at = SkipBlank(text, at);
      continue;
    } else if (c == '{' || c == '<' || c == '[') {
      ++depth;
    } else if (c == '}' || c == '>' || c == ']') {
      --depth;
    }
    ++at;
  }
  return text.size();
}

// Where the value of a field stands, given where its name does.
size_t ValueOffset(std::string_view text, size_t name_offset,
                   const FieldDescriptor* field) {
  size_t at = SkipBlank(text, name_offset + field->name().size());
  if (at < text.size() && text[at] == ':') at = SkipBlank(text, at + 1);
  return at;
}

// The message around `offset`, which the parser does not name: the fields whose braces
// are open there, from the root down. Null where the text is not what the schema says.
const Descriptor* MessageAround(std::string_view text, size_t offset,
                                const Descriptor* root) {
  std::vector<std::string_view> open;
  std::string_view name;
  for (size_t at = SkipBlank(text, 0); at < offset && at < text.size();) {
    const char c = text[at];
    if (absl::ascii_isalnum(c) || c == '_') {
      const size_t start = at;
      while (at < text.size() && (absl::ascii_isalnum(text[at]) || text[at] == '_')) ++at;
      name = text.substr(start, at - start);
    } else if (c == '"' || c == '\'') {
      for (++at; at < text.size() && text[at] != c; ++at) {
        if (text[at] == '\\') ++at;
      }
      ++at;
    } else {
      if (c == '{' || c == '<') open.push_back(name);
      if ((c == '}' || c == '>') && !open.empty()) {
        name = open.back();  // of the next item, in a list
        open.pop_back();
      }
      ++at;
    }
    at = SkipBlank(text, at);
  }
  const Descriptor* type = root;
  for (size_t i = 0; i < open.size() && type != nullptr; ++i) {
    const FieldDescriptor* field = type->FindFieldByName(std::string(open[i]));
    type = field == nullptr ? nullptr : field->message_type();
  }
  return type;
}

// The tokenizer's column behind a character: a tab goes to the next multiple of 8.
int NextColumn(char c, int column) {
  if (c == '\n') return 0;
  return column + (c == '\t' ? 8 - column % 8 : 1);
}

}  // namespace

// Turns the parser's sentences into faults, and remembers unknown enumeration values so
// that parsing can go on without them.
class TextDocument::Collector : public google::protobuf::io::ErrorCollector {
 public:
  Collector(TextDocument* document, const Descriptor* root)
      : document_(document), root_(root) {}

  void AddError(int line, google::protobuf::io::ColumnNumber column,
                const std::string& message) override {
    if (failed_) return;  // what follows a syntax error is only its echo
    failed_ = true;
    const size_t offset = document_->OffsetOf(line, column);
    if (message.starts_with("Unknown enumeration value of")) {
      unknown_value_ = Quoted(message, 0);
      unknown_value_offset_ = document_->OffsetOfNameBefore(unknown_value_, offset);
      AddUnknownValue(Quoted(message, 1));
    } else if (message.starts_with("Non-repeated field")) {
      const std::string name = Quoted(message, 0);
      AddAt(document_->OffsetOfNameBefore(name, offset), name, "is given more than once",
            "keep one: what follows has not been read");
    } else if (message.starts_with("Message is too deep")) {
      AddAt(offset, "",
            absl::StrCat("nested more than ", TextDocument::kDeepest, " deep"),
            "mend it: what follows has not been read");
    } else {
      AddAt(offset, "", absl::StrCat("syntax: ", base::Printable(Sentence(message), 200)),
            "mend it: what follows has not been read");
    }
  }

  void AddWarning(int line, google::protobuf::io::ColumnNumber column,
                  const std::string& message) override {
    const size_t offset = document_->OffsetOf(line, column);
    if (message.find("has no field named") == std::string::npos) {
      AddAt(offset, "", base::Printable(message, 200), "");
      return;
    }
    const std::string type_name = Quoted(message, 0);
    const std::string name = Quoted(message, 1);
    const Descriptor* type = root_->file()->pool()->FindMessageTypeByName(type_name);
    std::vector<std::string> known;
    const bool few = document_->faults_.total() < base::FaultList::kMostKept;
    for (int i = 0; few && type != nullptr && i < type->field_count(); ++i) {
      known.push_back(type->field(i)->name());
    }
    AddAt(document_->OffsetOfNameBefore(name, offset), "",
          absl::StrCat("unknown field '", base::Printable(name), "' in ",
                       type == nullptr ? type_name : type->name(),
                       base::DidYouMean(name, known)),
          "");
  }

  bool failed() const { return failed_; }
  const std::string& unknown_value() const { return unknown_value_; }
  size_t unknown_value_offset() const { return unknown_value_offset_; }

 private:
  void AddAt(size_t offset, std::string field, std::string message, std::string remedy) {
    document_->AddFault(document_->PlaceOf(offset), std::move(field), std::move(message),
                        std::move(remedy));
  }

  void AddUnknownValue(const std::string& field) {
    std::vector<std::string> known;
    const Descriptor* message =
        MessageAround(document_->text_, unknown_value_offset_, root_);
    const FieldDescriptor* of =
        message == nullptr ? nullptr : message->FindFieldByName(field);
    const EnumDescriptor* type = of == nullptr ? nullptr : of->enum_type();
    for (int i = 0; type != nullptr && i < type->value_count(); ++i) {
      if (type->value(i)->number() != 0) known.push_back(type->value(i)->name());
    }
    std::string all;
    for (const std::string& value : known)
      absl::StrAppend(&all, all.empty() ? "" : ", ", value);
    AddAt(unknown_value_offset_, field,
          absl::StrCat("unknown value '", base::Printable(unknown_value_), "'",
                       base::DidYouMean(unknown_value_, known)),
          all.empty() ? "" : absl::StrCat("write one of ", all));
  }

  TextDocument* document_;
  const Descriptor* root_;
  bool failed_ = false;
  std::string unknown_value_;
  size_t unknown_value_offset_ = 0;
};

TextDocument::TextDocument(std::string_view name, std::string_view bytes)
    : name_(name), text_(bytes) {
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  if (text_.substr(0, kByteOrderMark.size()) == kByteOrderMark) {
    text_.remove_prefix(kByteOrderMark.size());
  }
  line_starts_.push_back(0);
  if (text_.size() > kMostBytes) return;
  int column = 0;
  for (size_t i = 0; i < text_.size(); ++i) {
    if (i % kBlock == 0) block_columns_.push_back(column);
    column = NextColumn(text_[i], column);
    if (text_[i] == '\n') line_starts_.push_back(i + 1);
  }
}

bool TextDocument::ParseInto(Message* message) {
  if (text_.size() > kMostBytes) {
    AddFault({}, "", absl::StrCat("the file has ", text_.size(), " bytes"),
             absl::StrCat("at most ", kMostBytes, " are read"));
    return false;
  }
  if (!base::IsUtf8(text_)) {
    size_t line = 0;
    while (line + 1 < line_starts_.size() &&
           base::IsUtf8(text_.substr(line_starts_[line],
                                     line_starts_[line + 1] - line_starts_[line]))) {
      ++line;
    }
    AddFault({.line = static_cast<int>(line) + 1}, "", "not UTF-8 text",
             "save the file as UTF-8");
    return false;
  }
  if (SkipBlank(text_, 0) == text_.size()) {
    AddFault({}, "", "the file is empty", "");
    return false;
  }
  // An unknown enumeration value ends a parse. It is reported, written over with 0
  // (unspecified), and the text parsed again, so that the faults behind it are found as
  // well.
  constexpr int kMostParses = 20;
  std::string text(text_);
  const base::FaultList before = faults_;
  base::FaultList unknown_values;
  for (int parse = 0;; ++parse) {
    faults_ = before;
    message->Clear();
    tree_ = std::make_unique<Tree>();
    Collector collector(this, message->GetDescriptor());
    TextFormat::Parser parser;
    parser.RecordErrorsTo(&collector);
    parser.WriteLocationsTo(tree_.get());
    parser.AllowUnknownField(true);
    parser.SetRecursionLimit(kDeepest);
    google::protobuf::io::ArrayInputStream input(text.data(),
                                                 static_cast<int>(text.size()));
    const bool parsed = parser.Parse(&input, message);
    if (parsed || collector.unknown_value().empty() || parse + 1 == kMostParses) {
      for (const base::Fault& fault : unknown_values.faults()) faults_.Add(fault);
      return parsed;
    }
    unknown_values.Add(faults_.faults().back());
    const size_t at = collector.unknown_value_offset();
    text.replace(at, collector.unknown_value().size(), collector.unknown_value().size(),
                 ' ');
    text[at] = '0';
    reported_values_.insert(at);
  }
}

Node TextDocument::Root(const Message& message) {
  return Node(this, &message, tree_.get(), {}, "");
}

size_t TextDocument::OffsetOf(int line, int column) const {
  if (line < 0) return 0;
  if (line >= static_cast<int>(line_starts_.size())) return text_.size();
  size_t offset = line_starts_[line];
  int counted = 0;
  // Columns rise along a line: begin at its last block that is not past the wanted one.
  const size_t end = line + 1 < static_cast<int>(line_starts_.size())
                         ? line_starts_[line + 1]
                         : text_.size();
  const auto first = block_columns_.begin() +
                     static_cast<std::ptrdiff_t>((offset + kBlock - 1) / kBlock);
  const auto last =
      block_columns_.begin() + static_cast<std::ptrdiff_t>((end + kBlock - 1) / kBlock);
  if (first < last) {
    const auto past = std::upper_bound(first, last, column);
    if (past != first) {
      counted = *std::prev(past);
      offset = static_cast<size_t>(std::prev(past) - block_columns_.begin()) * kBlock;
    }
  }
  for (; offset < text_.size() && text_[offset] != '\n'; ++offset) {
    if (counted >= column) break;
    counted = NextColumn(text_[offset], counted);
  }
  return offset;
}

Place TextDocument::PlaceOf(size_t offset) const {
  const auto next = std::upper_bound(line_starts_.begin(), line_starts_.end(), offset);
  const int line = static_cast<int>(next - line_starts_.begin());
  return {.line = line, .column = static_cast<int>(offset - *std::prev(next)) + 1};
}

size_t TextDocument::OffsetOfNameBefore(std::string_view name, size_t offset) const {
  if (name.empty() || offset < name.size()) return offset;
  const size_t found = text_.rfind(name, offset - name.size());
  return found == std::string_view::npos ? offset : found;
}

const std::vector<Place>& TextDocument::ItemPlaces(const Tree& tree,
                                                   const FieldDescriptor* field) {
  const auto [entry, is_new] = item_places_.try_emplace({&tree, field});
  std::vector<Place>& places = entry->second;
  if (!is_new) return places;
  for (int index = 0;; ++index) {
    const TextFormat::ParseLocation at = tree.GetLocation(field, index);
    if (at.line < 0) return places;
    const size_t name = OffsetOf(at.line, at.column);
    size_t next = ValueOffset(text_, name, field);
    if (next >= text_.size() || text_[next] != '[') {
      places.push_back(PlaceOf(name));
      continue;
    }
    do {
      next = SkipBlank(text_, next + 1);
      if (next < text_.size() && text_[next] != ']') places.push_back(PlaceOf(next));
      next = SkipItem(text_, next);
    } while (next < text_.size() && text_[next] == ',');
  }
}

bool TextDocument::ValueReported(TextFormat::ParseLocation at,
                                 const FieldDescriptor* field) const {
  return at.line >= 0 && reported_values_.contains(
                             ValueOffset(text_, OffsetOf(at.line, at.column), field));
}

absl::Status TextDocument::ToStatus() const {
  if (faults_.total() > base::FaultList::kMostKept) return faults_.ToStatus();
  std::vector<base::Fault> sorted = faults_.faults();
  std::stable_sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) {
    return std::pair(a.line, a.column) < std::pair(b.line, b.column);
  });
  base::FaultList list;
  for (base::Fault& fault : sorted) list.Add(std::move(fault));
  return list.ToStatus();
}

void TextDocument::AddFault(Place place, std::string field, std::string message,
                            std::string remedy) {
  faults_.Add({.file = name_,
               .line = place.line,
               .column = place.column,
               .field = std::move(field),
               .message = std::move(message),
               .remedy = std::move(remedy)});
}

}  // namespace ratebound::document
