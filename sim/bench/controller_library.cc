#include "sim/bench/controller_library.h"

#include <dlfcn.h>
#include <elf.h>
#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string_view>
#include <type_traits>

#include "sim/scenario/loader.h"

namespace sim::bench {
namespace {

// What this program itself was built for.
#if defined(__x86_64__)
constexpr std::uint16_t kThisMachine = EM_X86_64;
#elif defined(__aarch64__)
constexpr std::uint16_t kThisMachine = EM_AARCH64;
#else
constexpr std::uint16_t kThisMachine = EM_NONE;  // not known: the loader itself will say
#endif

std::string machine_words(std::uint16_t machine) {
  switch (machine) {
    case EM_386: return "32-bit x86";
    case EM_X86_64: return "64-bit x86";
    case EM_ARM: return "32-bit Arm";
    case EM_AARCH64: return "64-bit Arm";
    case EM_RISCV: return "RISC-V";
    case EM_MIPS: return "MIPS";
    case EM_PPC64: return "64-bit PowerPC";
    default: return fmt::format("another machine (ELF machine number {})", machine);
  }
}

/// The file must reach as far as its own header says that its segments do: otherwise the loader
/// would map what is not there, and the process would die of that later.
bool whole(std::ifstream& in, const Elf64_Ehdr& header, std::uintmax_t size) {
  for (unsigned k = 0; k < header.e_phnum; ++k) {
    Elf64_Phdr segment{};
    in.seekg(static_cast<std::streamoff>(header.e_phoff + k * sizeof segment));
    if (!in.read(reinterpret_cast<char*>(&segment), sizeof segment)) return false;
    if (segment.p_type == PT_LOAD && segment.p_offset + segment.p_filesz > size) return false;
  }
  return true;
}

}  // namespace

ControllerLibrary reference_controller() {
  return {&sillion_describe, &sillion_init, &sillion_step};
}

void require_library(const std::string& file) {
  std::error_code ignored;
  if (!std::filesystem::exists(file, ignored))
    throw text::InputError(file + ": no such controller library");
  if (!std::filesystem::is_regular_file(file, ignored))
    throw text::InputError(file +
                           ": a controller must be a shared library, and this is not a file");
  std::ifstream in(file, std::ios::binary);
  if (!in) throw text::InputError(file + ": cannot read the controller library");
  Elf64_Ehdr header{};
  in.read(reinterpret_cast<char*>(&header), sizeof header);
  const auto read = static_cast<std::size_t>(in.gcount());
  const std::string_view mark(ELFMAG, SELFMAG);
  if (read < mark.size() ||
      !std::equal(mark.begin(), mark.end(), reinterpret_cast<const char*>(header.e_ident)))
    throw text::InputError(
        file + ": a controller must be a shared library (ELF), and this file is not one");
  const bool narrow = read > EI_CLASS && header.e_ident[EI_CLASS] != ELFCLASS64;
  const bool other =
      read >= sizeof header && kThisMachine != EM_NONE && header.e_machine != kThisMachine;
  if (narrow || other)
    throw text::InputError(fmt::format("{}: this controller was built for {}{}; sillion runs on {}",
                                       file, machine_words(header.e_machine),
                                       narrow ? ", 32 bits" : "", machine_words(kThisMachine)));
  if (read < sizeof header || !whole(in, header, std::filesystem::file_size(file, ignored)))
    throw text::InputError(file + ": this shared library is cut short");
  if (header.e_type != ET_DYN)
    throw text::InputError(file +
                           ": a controller must be a shared library, and this is another kind of "
                           "object (link it with -shared)");
}

ControllerLibrary load_controller(const std::string& file) {
  require_library(file);
  void* handle = dlopen(file.c_str(), RTLD_NOW | RTLD_LOCAL);
  if (handle == nullptr)
    throw text::InputError(fmt::format("cannot load controller: {}", dlerror()));
  const auto symbol = [&](const char* name) {
    void* found = dlsym(handle, name);
    if (found == nullptr)
      throw text::InputError(
          fmt::format("{}: does not export {} (shared/controller_abi.h)", file, name));
    return found;
  };
  return {reinterpret_cast<decltype(ControllerLibrary::describe)>(symbol("sillion_describe")),
          reinterpret_cast<decltype(ControllerLibrary::init)>(symbol("sillion_init")),
          reinterpret_cast<decltype(ControllerLibrary::step)>(symbol("sillion_step"))};
}

}  // namespace sim::bench
