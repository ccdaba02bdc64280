#include "sim/text/document.h"

#include <stdexcept>

// toml++ asserts in places that a damaged file can reach (a header such as `[=]`); without asserts
// it assumes the condition instead, which is worse. Here a failed assertion is reported as a
// mistake in the text.
namespace sim::text {
struct ParserStumbled : std::logic_error {
  using std::logic_error::logic_error;
};
[[noreturn]] static void stumble(const char* expression) { throw ParserStumbled(expression); }
}  // namespace sim::text
#undef NDEBUG
#define TOML_ASSERT(expression) \
  ((expression) ? static_cast<void>(0) : ::sim::text::stumble(#expression))
#include <toml++/toml.h>

#include <algorithm>
#include <fstream>
#include <sstream>
#include <utility>

#include "sim/text/beyond_ascii.h"
#include "sim/text/quantity.h"
#include "sim/text/read_once.h"

namespace sim::text {
namespace {

constexpr std::size_t kMostBytes = 1'000'000;  // a scenario has a few kilobytes
constexpr int kMostDots = 64;   // deeper dotted keys would overflow the parser's recursion
constexpr int kMostDepth = 32;  // tables within tables

Place place_of(const toml::source_region& region, const Place& outer) {
  Place place = outer;
  if (outer.set_key.empty() && region.begin) place.line = static_cast<int>(region.begin.line);
  return place;
}

Node convert(const toml::node& from, const Place& place, int depth) {
  if (depth > kMostDepth) fail(place, {}, "nested too deep");
  Node node;
  node.place = place;
  if (const auto* table = from.as_table()) {
    node.kind = NodeKind::kTable;
    struct Written {
      toml::source_position at;
      const toml::key* key;
      const toml::node* value;
    };
    std::vector<Written> written;
    for (const auto& [key, value] : *table) written.push_back({key.source().begin, &key, &value});
    // toml++ sorts by name; the order in which people wrote matters (the axes of a study, the first
    // mistake).
    std::stable_sort(written.begin(), written.end(),
                     [](const Written& a, const Written& b) { return a.at < b.at; });
    for (const Written& entry : written) {
      const Place at = place_of(entry.key->source(), place);
      node.entries.push_back({std::string(entry.key->str()), convert(*entry.value, at, depth + 1)});
    }
  } else if (const auto* array = from.as_array()) {
    node.kind = NodeKind::kArray;
    for (const auto& item : *array) {
      node.items.push_back(convert(item, place_of(item.source(), place), depth + 1));
    }
  } else if (const auto* text = from.as_string()) {
    node.kind = NodeKind::kText;
    node.text = text->get();
  } else if (const auto* whole = from.as_integer()) {
    node.kind = NodeKind::kWhole;
    node.whole = whole->get();
  } else if (const auto* real = from.as_floating_point()) {
    node.kind = NodeKind::kReal;
    node.real_si = real->get();
  } else if (const auto* flag = from.as_boolean()) {
    node.kind = NodeKind::kFlag;
    node.flag = flag->get();
  } else {
    node.kind = NodeKind::kOther;
    node.text = "a date or time of day";
  }
  return node;
}

// toml++ recurses once for each part of a dotted key, so the number of dots is limited before
// toml++ sees the text.
bool dots_run_away(std::string_view text) {
  int dots = 0;
  for (const char c : text) {
    if (c == '.')
      ++dots;
    else if (c == '=' || c == ',' || c == '{' || c == '[' || c == '\n')
      dots = 0;
    if (dots > kMostDots) return true;
  }
  return false;
}

// The line at which the parser fails. A failed assertion carries no position, so the text is parsed
// again with one more line each time.
int stumbling_line(std::string_view text) {
  constexpr int kMostLinesTried = 2000;  // quadratic in the length
  std::size_t end = 0;
  for (int line = 1; line <= kMostLinesTried && end < text.size(); ++line) {
    end = std::min(text.find('\n', end), text.size() - 1) + 1;
    try {
      static_cast<void>(toml::parse(text.substr(0, end)));
    } catch (const ParserStumbled&) {
      return line;
    } catch (const toml::parse_error&) {
      continue;  // cut in the middle of something
    }
  }
  return 0;
}

toml::table parse(std::string_view text, const Place& place) {
  if (const int line = line_beyond_ascii(text); line > 0) {
    Place at = place;
    at.line = line;
    fail(at, {}, "only comments and text in quotes may hold characters beyond ASCII");
  }
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& error) {
    Place at = place_of(error.source(), place);
    fail(at, {}, "not valid TOML: " + std::string(error.description()));
  } catch (const ParserStumbled&) {
    Place at = place;
    at.line = stumbling_line(text);
    fail(at, {}, "not valid TOML: a key or a value is malformed");
  }
}

std::string escaped(std::string_view text) {
  static constexpr char kHex[] = "0123456789abcdef";
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\')
      out += std::string("\\") + c;
    else if (byte < 0x20 || byte == 0x7f)
      out += std::string("\\u00") + kHex[byte >> 4] + kHex[byte & 15];
    else
      out += c;
  }
  return out + "\"";
}

}  // namespace

std::string Place::text() const {
  if (!set_key.empty()) return "--set " + set_key;
  return line > 0 ? file + ":" + std::to_string(line) : file;
}

const Node* Node::find(std::string_view key) const {
  for (const auto& [name, node] : entries) {
    if (name == key) return &node;
  }
  return nullptr;
}

Node* Node::find(std::string_view key) { return const_cast<Node*>(std::as_const(*this).find(key)); }

void Node::put(std::string key, Node node) {
  if (Node* there = find(key))
    *there = std::move(node);
  else
    entries.push_back({std::move(key), std::move(node)});
}

void Node::drop(std::string_view key) {
  std::erase_if(entries, [&](const Entry& entry) { return entry.key == key; });
}

const Node* find_dotted(const Node& root, std::string_view key) {
  const Node* node = &root;
  while (node != nullptr && !key.empty()) {
    const std::size_t dot = std::min(key.find('.'), key.size());
    node = node->find(key.substr(0, dot));
    key.remove_prefix(std::min(dot + 1, key.size()));
  }
  return node;
}

const char* kind_name(NodeKind kind) {
  switch (kind) {
    case NodeKind::kTable: return "a table";
    case NodeKind::kArray: return "a list";
    case NodeKind::kText: return "text";
    case NodeKind::kWhole: return "a whole number";
    case NodeKind::kReal: return "a number";
    case NodeKind::kFlag: return "true or false";
    case NodeKind::kOther: break;
  }
  return "a date or time of day";
}

Node text_node(std::string text, Place place) {
  Node node;
  node.kind = NodeKind::kText;
  node.text = std::move(text);
  node.place = std::move(place);
  return node;
}

std::string toml_text(const Node& node) {
  std::string out;
  switch (node.kind) {
    case NodeKind::kTable:
      for (const auto& [key, entry] : node.entries)
        out += (out.empty() ? "" : ", ") + escaped(key) + " = " + toml_text(entry);
      return "{" + out + "}";
    case NodeKind::kArray:
      for (const Node& item : node.items) out += (out.empty() ? "" : ", ") + toml_text(item);
      return "[" + out + "]";
    case NodeKind::kWhole: return std::to_string(node.whole);
    case NodeKind::kReal:
      out = shortest_text(node.real_si);
      return out.find_first_of(".en") == out.npos ? out + ".0" : out;
    case NodeKind::kFlag: return node.flag ? "true" : "false";
    case NodeKind::kText:
    case NodeKind::kOther: break;
  }
  return escaped(node.text);
}

std::string read_text(const std::filesystem::path& file, std::size_t most_bytes) {
  const Place place{file.string(), 0, {}};
  std::error_code ignored;
  if (std::filesystem::is_directory(file, ignored)) fail(place, {}, "cannot read: is a folder");
  std::ifstream in(file, std::ios::binary);
  if (!in) fail(place, {}, "cannot read: no such file, or no permission");
  // Piece by piece: a buffer of the largest size would cost a small file 256 MB of zeros.
  std::string text;
  std::vector<char> piece(1 << 16);
  while (text.size() <= most_bytes) {
    in.read(piece.data(), static_cast<std::streamsize>(piece.size()));
    text.append(piece.data(), static_cast<std::size_t>(in.gcount()));
    if (!in) break;
  }
  if (in.bad()) fail(place, {}, "cannot read: input error");
  if (text.size() > most_bytes)
    fail(place, {}, "larger than " + std::to_string(most_bytes) + " bytes");
  if (text.starts_with("\xEF\xBB\xBF")) text.erase(0, 3);
  return text;
}

namespace {

Node read_anew(const std::filesystem::path& file) {
  Place place{file.string(), 0, {}};
  const std::string text = read_text(file, kMostBytes);
  place.line = 1;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '\n') ++place.line;
    if ((byte < 0x20 && c != '\n' && c != '\r' && c != '\t') || byte == 0x7f) {
      fail(place, {}, "binary file: holds the control character " + std::to_string(int{byte}));
    }
  }
  place.line = 0;
  if (dots_run_away(text))
    fail(place, {}, "nested too deep: more than " + std::to_string(kMostDots) + " dots in one key");
  return convert(parse(text, place), place, 0);
}

}  // namespace

Node read_document(const std::filesystem::path& file) { return read_once(file, read_anew); }

Node parse_value(std::string_view text, const Place& place) {
  const std::size_t first = text.find_first_not_of(" \t");
  const char lead = first == std::string_view::npos ? '\0' : text[first];
  const bool quoted = lead == '"' || lead == '\'' || lead == '[' || lead == '{';
  if (line_beyond_ascii(text) > 0) {
    if (quoted) fail(place, {}, "not a valid value: characters beyond ASCII need quotes");
  } else if (text.find_first_of("\r\n") == std::string_view::npos && !dots_run_away(text)) {
    try {
      const toml::table table = toml::parse("value = " + std::string(text));
      const toml::node* value = table.get("value");
      if (table.size() == 1 && value != nullptr && (quoted || !value->is_table())) {
        Node node = convert(*value, place, 0);
        if (node.kind != NodeKind::kOther) return node;
      }
    } catch (const ParserStumbled&) {
      if (quoted) fail(place, {}, "not a valid value");
    } catch (const toml::parse_error& error) {
      // Text that opens like TOML must be TOML; any other text is bare, such as 12 km/h.
      if (quoted) fail(place, {}, "not a valid value: " + std::string(error.description()));
    }
  } else if (quoted) {
    fail(place, {}, "not a valid value: must be on one line");
  }
  return text_node(std::string(text), place);
}

void fail(const Place& place, std::string_view key, std::string_view message,
          std::string_view nearest) {
  std::string what = place.text();
  // For a command-line option that stands for a key, the message names the option alone.
  const bool option = place.set_key.empty() && place.file.starts_with("--");
  if (!key.empty() && key != place.set_key && !option) what += ": " + std::string(key);
  what += ": " + std::string(message);
  if (!nearest.empty()) what += "; nearest valid name: `" + std::string(nearest) + "`";
  throw InputError(what);
}

}  // namespace sim::text
