#include "sim/command/loaded_code.h"

#include <elf.h>
#include <fmt/format.h>
#include <link.h>

#include <cstddef>
#include <cstring>
#include <filesystem>

#include "sim/study/run/seal.h"

namespace sim::command {
namespace {

constexpr std::size_t kWord = 4;  // notes are padded to it

std::size_t padded(std::size_t size) { return (size + kWord - 1) / kWord * kWord; }

/// The build identity among the notes of one loaded file, in hexadecimal digits; empty: none.
std::string build_identity(const char* notes, std::size_t size) {
  for (std::size_t at = 0; at + sizeof(ElfW(Nhdr)) <= size;) {
    ElfW(Nhdr) head;
    std::memcpy(&head, notes + at, sizeof head);
    const std::size_t name_at = at + sizeof head;
    const std::size_t value_at = name_at + padded(head.n_namesz);
    if (value_at + head.n_descsz > size) break;
    if (head.n_type == NT_GNU_BUILD_ID && head.n_namesz == sizeof ELF_NOTE_GNU &&
        std::memcmp(notes + name_at, ELF_NOTE_GNU, sizeof ELF_NOTE_GNU) == 0) {
      std::string digits;
      for (std::size_t k = 0; k < head.n_descsz; ++k)
        digits += fmt::format("{:02x}", static_cast<unsigned char>(notes[value_at + k]));
      return digits;
    }
    at = value_at + padded(head.n_descsz);
  }
  return {};
}

int add_file(dl_phdr_info* file, std::size_t, void* text) {
  std::string line = std::filesystem::path(file->dlpi_name).filename().string();
  for (int k = 0; k < file->dlpi_phnum; ++k) {
    const ElfW(Phdr)& part = file->dlpi_phdr[k];
    if (part.p_type != PT_NOTE) continue;
    const std::string identity =
        build_identity(reinterpret_cast<const char*>(file->dlpi_addr + part.p_vaddr), part.p_memsz);
    if (!identity.empty()) line += " " + identity;
  }
  *static_cast<std::string*>(text) += line + "\n";
  return 0;
}

}  // namespace

std::string loaded_code() {
  std::string text = "sources " + run::hashes_without_controller({}, {}).program + "\n";
  dl_iterate_phdr(add_file, &text);
  return text;
}

}  // namespace sim::command
