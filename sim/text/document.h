// A TOML text as a tree of the program's own types; each node knows the place where a person wrote
// it. Only document.cc includes toml++; everything else sees this tree.
//
// Errors   InputError: unreadable, too large or binary file, bad TOML (duplicate keys too), nested
//          too deep
// Checked  tests/sim/scenario/loader_test.cc, tests/hostile/input_test.cc
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "sim/text/input_error.h"

namespace sim::text {

/// Where a value was written: a line of a file, or an override on the command line.
struct Place {
  std::string file;
  int line = 0;
  std::string set_key;  // the KEY of `--set KEY=VALUE`; empty: a file

  std::string text() const;  // "scenarios/demo.toml:12" or "--set travel.speed"
};

enum class NodeKind : std::uint8_t { kTable, kArray, kText, kWhole, kReal, kFlag, kOther };

struct Entry;

struct Node {
  NodeKind kind = NodeKind::kTable;
  std::string text;            // kText; kOther: what the value is ("a date")
  std::int64_t whole = 0;      // kWhole
  double real_si = 0.0;        // kReal
  bool flag = false;           // kFlag
  std::vector<Entry> entries;  // kTable, in the order of writing
  std::vector<Node> items;     // kArray
  Place place;

  const Node* find(std::string_view key) const;  // kTable: entry of that name, or null
  Node* find(std::string_view key);
  void put(std::string key, Node node);  // adds or replaces
  void drop(std::string_view key);
};

/// One key of a table with its value.
struct Entry {
  std::string key;
  Node node;
};

/// The node at a dotted name ("attachment.tube.length"); null if the key was not stated.
const Node* find_dotted(const Node& root, std::string_view key);

const char* kind_name(NodeKind kind);  // "a table", "text", ...
Node text_node(std::string text, Place place);
std::string toml_text(const Node& node);  // on one line; reading it gives the same node

Node read_document(const std::filesystem::path& file);
/// The text of a file without a byte order mark; InputError if the file cannot be read or is
/// larger than `most_bytes`. Also used for CSV files and logs.
std::string read_text(const std::filesystem::path& file, std::size_t most_bytes);
/// VALUE of `--set KEY=VALUE`: a TOML value, otherwise bare text ("12 km/h").
Node parse_value(std::string_view text, const Place& place);

/// Throws "place: key: message; nearest valid name: `nearest`"; empty parts are left out.
[[noreturn]] void fail(const Place& place, std::string_view key, std::string_view message,
                       std::string_view nearest = {});

}  // namespace sim::text
