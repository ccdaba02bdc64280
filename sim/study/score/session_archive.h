// The ZIP archive of a session of the sigrok programs, and what is recorded in it: a stream of
// bytes that lies in files NAME-1, NAME-2, ... (older sessions: in one file NAME).
//
// Memory   the archive's list of files; a stream holds none of what it has handed out
// Errors   InputError "file: what": no archive, a file that is damaged
// Checked  tests/sim/study/score/session_test.cc
#pragma once

#include <zip.h>

#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace sim::score {

class SessionArchive {
 public:
  explicit SessionArchive(const std::filesystem::path& file);

  [[noreturn]] void fail(const std::string& what) const;
  /// Bytes of a file in the archive; nothing: there is no such file.
  std::optional<std::uint64_t> size_bytes(const std::string& name) const;
  /// Of a small file, or an error.
  std::string whole(const std::string& name) const;
  /// Names of all files whose names begin so.
  std::vector<std::string> names(const std::string& begin) const;

 private:
  friend class SessionStream;
  std::filesystem::path file_;
  std::unique_ptr<zip_t, decltype(&zip_discard)> zip_;
};

class SessionStream {
 public:
  /// The archive has to outlive it.
  SessionStream(const SessionArchive& archive, const std::string& name);

  /// The files of which it consists, in order.
  const std::vector<std::string>& parts() const { return parts_; }
  std::uint64_t size_bytes() const { return size_bytes_; }
  /// Fills as much of `bytes` as there still is; returns how much that was.
  std::size_t read(std::span<unsigned char> bytes);
  /// How much of the archive it has taken; a count of bytes.
  double read_bytes_ratio() const { return read_bytes_ratio_; }

 private:
  void open_next();

  const SessionArchive* archive_;
  std::vector<std::string> parts_;
  std::uint64_t size_bytes_ = 0;
  std::size_t next_ = 0;
  std::unique_ptr<zip_file_t, decltype(&zip_fclose)> entry_{nullptr, &zip_fclose};
  double read_bytes_ratio_ = 0.0;
};

}  // namespace sim::score
