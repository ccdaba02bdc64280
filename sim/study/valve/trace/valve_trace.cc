#include "sim/study/valve/trace/valve_trace.h"

#include <fcntl.h>
#include <oneapi/tbb/parallel_for.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <optional>

#include "sim/study/valve/trace/valve_trace_lines.h"

namespace sim::valve {
namespace {

constexpr std::size_t kChunkBytes = 4'000'000;
constexpr std::size_t kHeaderBytes = 65'536;  // one thread reads a longer header
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

[[noreturn]] void fail_too_large(const std::string& name) {
  text::fail({name, 0, {}}, {}, "larger than " + std::to_string(kMostTraceBytes) + " bytes");
}

class OpenFile {
 public:
  explicit OpenFile(const std::filesystem::path& file) : descriptor_(open(file.c_str(), O_RDONLY)) {
    struct stat seen{};
    if (descriptor_ >= 0 && fstat(descriptor_, &seen) == 0) {
      folder_ = S_ISDIR(seen.st_mode);
      regular_ = S_ISREG(seen.st_mode);
      bytes_ = static_cast<std::uintmax_t>(seen.st_size);
    }
  }
  ~OpenFile() {
    if (descriptor_ >= 0) close(descriptor_);
  }
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;

  bool good() const { return descriptor_ >= 0; }
  bool folder() const { return folder_; }
  bool regular() const { return regular_; }
  std::uintmax_t bytes() const { return bytes_; }

  /// Up to `most` bytes from `at` on; fewer at the end of the file or where it cannot be read.
  std::string piece(std::uintmax_t at, std::size_t most) const {
    std::string text(most, '\0');
    std::size_t got = 0;
    while (got < most) {
      const ssize_t more =
          pread(descriptor_, text.data() + got, most - got, static_cast<off_t>(at + got));
      if (more <= 0) break;
      got += static_cast<std::size_t>(more);
    }
    text.resize(got);
    return text;
  }
  /// The next bytes of a source that can only be read in order: a pipe, a terminal.
  std::string next() const {
    std::string text(1 << 16, '\0');
    const ssize_t got = read(descriptor_, text.data(), text.size());
    text.resize(got > 0 ? static_cast<std::size_t>(got) : 0);
    return text;
  }

 private:
  int descriptor_;
  bool folder_ = false;
  bool regular_ = false;
  std::uintmax_t bytes_ = 0;
};

// Where the line with byte `at` begins; `at` itself where that line is too long.
std::uintmax_t line_start(const OpenFile& file, std::uintmax_t at) {
  const std::uintmax_t from = at > kMostLineBytes ? at - kMostLineBytes : 0;
  const std::string before = file.piece(from, static_cast<std::size_t>(at - from));
  const std::size_t end = before.rfind('\n');
  return end == std::string::npos ? at : from + end + 1;
}

struct Headed {
  TraceHead head;
  std::uintmax_t end = 0;  // of the header's line, in bytes
  int lines = 0;
};

// The header, where it is whole within the first bytes.
std::optional<Headed> headed(const OpenFile& file, const std::string& name) {
  const std::string start = file.piece(0, kHeaderBytes);
  std::string_view rest = start;
  if (rest.starts_with(kByteOrderMark)) rest.remove_prefix(kByteOrderMark.size());
  for (int line_number = 1;; ++line_number) {
    const std::size_t end = rest.find('\n');
    if (end == std::string_view::npos) return {};
    const std::string_view line = rest.substr(0, end);
    rest.remove_prefix(end + 1);
    const text::Place place{name, line_number, {}};
    if (const auto mistake = line_mistake(line)) text::fail(place, {}, *mistake);
    if (!holds_something(line)) continue;
    return Headed{trace_head(line, place), start.size() - rest.size(), line_number};
  }
}

// Chunks of whole lines, each read and parsed by itself; joined in their order.
ValveTrace read_in_chunks(const OpenFile& file, const Headed& headed, const std::string& name) {
  std::vector<std::uintmax_t> starts = {headed.end};
  for (std::uintmax_t at = headed.end + kChunkBytes; at < file.bytes(); at += kChunkBytes)
    starts.push_back(std::max(starts.back(), line_start(file, at)));
  starts.push_back(file.bytes());
  std::vector<TraceBlock> blocks(starts.size() - 1);
  oneapi::tbb::parallel_for(std::size_t{0}, blocks.size(), [&](std::size_t b) {
    const std::string lines =
        file.piece(starts[b], static_cast<std::size_t>(starts[b + 1] - starts[b]));
    blocks[b] = read_trace_block(lines, headed.head);
  });
  ValveTrace trace;
  int lines = headed.lines;
  for (TraceBlock& block : blocks) {
    append_block(trace, block, lines, name);
    lines += block.lines;
  }
  check_whole_trace(trace, name);
  return trace;
}

}  // namespace

ValveTrace read_valve_trace(const std::filesystem::path& path) {
  const std::string name = path.string();
  const OpenFile file(path);
  if (!file.good()) text::fail({name, 0, {}}, {}, "cannot read: no such file, or no permission");
  if (file.folder()) text::fail({name, 0, {}}, {}, "cannot read: is a folder");
  if (file.regular() && file.bytes() > kMostTraceBytes) fail_too_large(name);
  if (file.regular() && file.bytes() > kChunkBytes)
    if (const auto known = headed(file, name)) return read_in_chunks(file, *known, name);
  ValveTraceReader reader(name);
  std::string text;
  while (!(text = file.next()).empty()) reader.take(text);
  reader.finish();
  return reader.take_trace();
}

ValveTraceReader::ValveTraceReader(std::string_view name) : name_(name) {}
ValveTraceReader::~ValveTraceReader() = default;

void ValveTraceReader::take_lines(std::string_view whole_lines) {
  while (!head_ && !whole_lines.empty()) {
    const std::size_t end = std::min(whole_lines.find('\n'), whole_lines.size());
    std::string_view line = whole_lines.substr(0, end);
    whole_lines.remove_prefix(std::min(end + 1, whole_lines.size()));
    ++lines_;
    if (lines_ == 1 && line.starts_with(kByteOrderMark)) line.remove_prefix(kByteOrderMark.size());
    const text::Place place{name_, lines_, {}};
    if (const auto mistake = line_mistake(line)) text::fail(place, {}, *mistake);
    if (holds_something(line)) head_ = std::make_unique<TraceHead>(trace_head(line, place));
  }
  if (whole_lines.empty()) return;
  TraceBlock block = read_trace_block(whole_lines, *head_);
  append_block(trace_, block, lines_, name_);
  lines_ += block.lines;
}

void ValveTraceReader::take(std::string_view text) {
  bytes_ += text.size();
  if (bytes_ > kMostTraceBytes) fail_too_large(name_);
  const std::size_t end = text.rfind('\n');
  if (end != std::string_view::npos) {
    if (broken_.empty()) {
      take_lines(text.substr(0, end + 1));
    } else {
      const std::size_t first = text.find('\n');
      broken_.append(text.substr(0, first + 1));
      take_lines(std::exchange(broken_, {}));
      take_lines(text.substr(first + 1, end - first));
    }
    text.remove_prefix(end + 1);
  }
  broken_.append(text);
  if (broken_.size() > kMostLineBytes) take_lines(std::exchange(broken_, {}));  // reports it
}

void ValveTraceReader::finish() {
  take_lines(std::exchange(broken_, {}));
  if (!head_)
    text::fail({name_, 0, {}}, {},
               "is empty: the first line names the columns: " + std::string(kTraceExample));
  check_whole_trace(trace_, name_);
}

}  // namespace sim::valve
