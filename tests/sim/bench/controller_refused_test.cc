// Files that are no controller for this bench: another machine's, none at all, cut short, without
// the interface, of another version, without a role. Each is refused with what was expected and
// what was found, before or after it is loaded, and nothing is written.
#include <gtest/gtest.h>

#include <fstream>
#include <regex>

#include "tests/support/run_program.h"

namespace {

using support::Ended;
using support::text_of;

std::string hostile(const std::string& name) {
  return std::string(SILLION_BINARY_DIR) + "/tests/libhostile_" + name + ".so";
}

// Offsets of the ELF header (System V ABI, chapter 4): e_ident[EI_CLASS], e_ident[EI_DATA], e_type,
// e_machine.
constexpr std::size_t kClass = 4;
constexpr std::size_t kOrder = 5;
constexpr std::size_t kType = 16;
constexpr std::size_t kMachine = 18;

/// An honest controller's bytes with one of them changed.
std::string with_byte(std::size_t at, int value) {
  std::string bytes = text_of(hostile("none"));
  bytes.at(at) = static_cast<char>(value);
  return bytes;
}

/// Without one of the interface's functions: its name in the table of names is another one.
std::string without(const std::string& function) {
  std::string bytes = text_of(hostile("none"));
  const std::size_t at = bytes.find('\0' + function + '\0');
  EXPECT_NE(at, std::string::npos) << function;
  bytes.at(at + function.size()) = '_';
  return bytes;
}

class ControllerFile : public testing::Test {
 protected:
  std::string written(const std::string& name, const std::string& bytes) const {
    std::ofstream(scratch_.path() / name, std::ios::binary) << bytes;
    return (scratch_.path() / name).string();
  }
  /// Exit code and sentence of a run with this controller; the sentence names the file.
  void refused(const std::string& file, int code, const std::string& words) const {
    const std::filesystem::path out = scratch_.path() / "out";
    const Ended ran = support::sillion({"run", "scenarios/pull_request_still.toml", "--quiet",
                                        "--json", "--set", "duration=2 s", "--set", "row.count=2",
                                        "--controller", file, "--out", out.string()});
    EXPECT_EQ(ran.code, code) << ran.err;
    EXPECT_TRUE(std::regex_search(ran.err, std::regex(words))) << ran.err;
    EXPECT_EQ(ran.out, "");
    EXPECT_FALSE(std::filesystem::exists(out));
  }
  const support::ScratchFolder scratch_;
};

#if defined(__x86_64__)
TEST_F(ControllerFile, OfAnotherMachine) {
  refused(written("arm.so", with_byte(kMachine, 40)), 2,  // EM_ARM
          "arm\\.so: this controller was built for 32-bit Arm; sillion runs on 64-bit x86");
  refused(written("odd.so", with_byte(kMachine, 99)), 2,
          "built for another machine \\(ELF machine number 99\\); sillion runs on 64-bit x86");
}

TEST_F(ControllerFile, Of32BitsOrOfTheOtherByteOrder) {
  refused(written("small.so", with_byte(kClass, 1)), 2,
          "small\\.so: this controller was built for .*32 bits; sillion runs on 64-bit x86");
  refused(written("big.so", with_byte(kOrder, 2)), 2, "big\\.so: .*little-endian");
}
#endif

TEST_F(ControllerFile, NotLinkedOrAProgram) {
  for (const int type : {1, 2})  // ET_REL, ET_EXEC
    refused(written("part.so", with_byte(kType, type)), 2,
            "part\\.so: a controller must be a shared library, and this is another kind of object");
}

TEST_F(ControllerFile, NoLibraryAtAll) {
  refused((scratch_.path() / "gone.so").string(), 2, "gone\\.so: no such controller library");
  const char* none = "a controller must be a shared library \\(ELF\\), and this file is not one";
  refused(written("empty.so", ""), 2, std::string("empty\\.so: ") + none);
  refused(written("text.so", "#include \"shared/controller_abi.h\"\n"), 2, none);
  refused(written("short.so",
                  "\x7f"
                  "EL"),
          2, none);
  const char* no_file = "a controller must be a shared library, and this is not a file";
  refused(scratch_.path().string(), 2, no_file);
  refused("/dev/null", 2, no_file);
}

// The file ends in its header, or only parts that the loader would map are cut off.
TEST_F(ControllerFile, CutShort) {
  const std::string whole = text_of(hostile("none"));
  for (const std::size_t bytes : {std::size_t{40}, std::size_t{64}, whole.size() / 4})
    refused(written("cut.so", whole.substr(0, bytes)), 2,
            "cut\\.so: this shared library is cut short");
}

TEST_F(ControllerFile, WithoutAFunctionOfTheInterface) {
  for (const std::string function : {"sillion_describe", "sillion_init", "sillion_step"})
    refused(written("less.so", without(function)), 2, "less\\.so: does not export " + function);
}

TEST_F(ControllerFile, OfAnotherInterface) {
  refused(hostile("speaks_another_version"), 4,
          "speaks version 11 of the interface; the bench speaks 4");
  refused(hostile("has_no_tick"), 4, "declares tick_ns = 0; the interface allows 1 to ");
}

TEST_F(ControllerFile, WithoutARole) {
  refused(hostile("offers_no_row"), 4, "does not offer the role of a row controller");
  refused(hostile("offers_no_machine"), 4, "does not offer the role of a machine controller");
}

}  // namespace
