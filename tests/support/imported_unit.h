// A small importer of co-simulation units, for tests: it unpacks the archive, reads the names and
// references of modelDescription.xml, loads the library and calls it in the standard's order.
//
// It is this project's own, because neither Debian nor npm carries an importer of version 3.0 of
// the standard (searched for fmi, fmu, fmpy, fmilib, openmodelica, functional mock-up and
// co-simulation), so it shares this project's reading of the standard. What it takes from a unit is
// what the archive holds and no header of the room that wrote it, apart from the declarations of
// the standard's functions.
// Errors   std::runtime_error: no such entry, no library, no such variable
// Source   Functional Mock-up Interface Specification 3.0, sections 2.3 to 2.5 and 4.2
// Checked  tests/sim/study/unit/imported_unit_test.cc
#pragma once

#include <dlfcn.h>
#include <zip.h>

#include <filesystem>
#include <fstream>
#include <regex>
#include <stdexcept>
#include <string>
#include <vector>

#include "sim/study/unit/fmi3.h"
#include "tests/support/run_program.h"

namespace support {

/// The unpacked files of an archive.
class UnpackedUnit {
 public:
  explicit UnpackedUnit(const std::string& archive) {
    std::ofstream(folder_.path() / "unit.zip", std::ios::binary) << archive;
    int error = 0;
    zip_t* const zip = zip_open((folder_.path() / "unit.zip").c_str(), ZIP_RDONLY, &error);
    if (zip == nullptr) throw std::runtime_error("no archive");
    for (zip_int64_t k = 0; k < zip_get_num_entries(zip, 0); ++k) {
      const auto index = static_cast<zip_uint64_t>(k);
      names_.emplace_back(zip_get_name(zip, index, 0));
      zip_stat_t stat;
      zip_stat_index(zip, index, 0, &stat);
      std::string bytes(stat.size, '\0');
      zip_file_t* const file = zip_fopen_index(zip, index, 0);
      if (file == nullptr || zip_fread(file, bytes.data(), stat.size) < 0)
        throw std::runtime_error("cannot unpack " + names_.back());
      zip_fclose(file);
      const std::filesystem::path to = folder_.path() / names_.back();
      std::filesystem::create_directories(to.parent_path());
      std::ofstream(to, std::ios::binary) << bytes;
    }
    zip_discard(zip);
    description_ = text_of(folder_.path() / "modelDescription.xml");
  }

  const std::vector<std::string>& names() const { return names_; }
  const std::string& description() const { return description_; }
  std::filesystem::path file(const std::string& name) const { return folder_.path() / name; }
  std::string resources() const { return (folder_.path() / "resources").string() + "/"; }

  /// The first value of an attribute by that name behind `<ELEMENT `.
  std::string attribute(const std::string& element, const std::string& name) const {
    std::smatch found;
    const std::regex pattern("<" + element + " [^>]*\\b" + name + "=\"([^\"]*)\"");
    if (!std::regex_search(description_, found, pattern))
      throw std::runtime_error("no " + element + " with " + name);
    return found[1];
  }
  fmi3ValueReference reference(const std::string& variable) const {
    std::smatch found;
    const std::regex pattern("name=\"" + variable + "\" valueReference=\"([0-9]+)\"");
    if (!std::regex_search(description_, found, pattern))
      throw std::runtime_error("no variable " + variable);
    return static_cast<fmi3ValueReference>(std::stoul(found[1]));
  }

 private:
  ScratchFolder folder_;
  std::vector<std::string> names_;
  std::string description_;
};

/// The unit's library, loaded into this process.
class UnitLibrary {
 public:
  explicit UnitLibrary(const UnpackedUnit& unit)
      : handle_(dlopen(unit.file("binaries/x86_64-linux/" +
                                 unit.attribute("CoSimulation", "modelIdentifier") + ".so")
                           .c_str(),
                       RTLD_NOW | RTLD_LOCAL)) {
    if (handle_ == nullptr) throw std::runtime_error(dlerror());
  }
  ~UnitLibrary() { dlclose(handle_); }
  UnitLibrary(const UnitLibrary&) = delete;
  UnitLibrary& operator=(const UnitLibrary&) = delete;

  void* symbol(const char* name) const { return dlsym(handle_, name); }
  template <typename Function>
  Function* function(const char* name) const {
    void* const found = symbol(name);
    if (found == nullptr) throw std::runtime_error(std::string("no function ") + name);
    return reinterpret_cast<Function*>(found);
  }

 private:
  void* handle_;
};

#define SILLION_CALL(name) library_.function<decltype(name)>(#name)

/// One instance; what it logs is kept.
class UnitInstance {
 public:
  UnitInstance(const UnpackedUnit& unit, const UnitLibrary& library, std::string token = {})
      : unit_(unit), library_(library) {
    if (token.empty()) token = unit.attribute("fmiModelDescription", "instantiationToken");
    instance_ = SILLION_CALL(fmi3InstantiateCoSimulation)(
        "one", token.c_str(), unit.resources().c_str(), false, true, false, false, nullptr, 0, this,
        [](void* self, fmi3Status, const char*, const char* message) {
          static_cast<UnitInstance*>(self)->log_.emplace_back(message);
        },
        nullptr);
  }
  ~UnitInstance() {
    if (instance_ != nullptr) SILLION_CALL(fmi3FreeInstance)(instance_);
  }
  UnitInstance(const UnitInstance&) = delete;
  UnitInstance& operator=(const UnitInstance&) = delete;

  fmi3Instance get() const { return instance_; }
  const std::vector<std::string>& log() const { return log_; }

  fmi3Status initialize(double start_s = 0.0) {
    const fmi3Status entered =
        SILLION_CALL(fmi3EnterInitializationMode)(instance_, false, 0.0, start_s, false, 0.0);
    if (entered != fmi3OK) return entered;
    time_s_ = start_s;
    return SILLION_CALL(fmi3ExitInitializationMode)(instance_);
  }
  fmi3Status reset() { return SILLION_CALL(fmi3Reset)(instance_); }
  fmi3Status terminate() { return SILLION_CALL(fmi3Terminate)(instance_); }
  fmi3Status set(const std::string& variable, double value) {  // tidy: unit is the variable's
    const fmi3ValueReference reference = unit_.reference(variable);
    return SILLION_CALL(fmi3SetFloat64)(instance_, &reference, 1, &value, 1);
  }
  fmi3Status set_flag(const std::string& variable, bool value) {
    const fmi3ValueReference reference = unit_.reference(variable);
    return SILLION_CALL(fmi3SetBoolean)(instance_, &reference, 1, &value, 1);
  }
  double real(const std::string& variable) const {  // tidy: unit is the variable's
    const fmi3ValueReference reference = unit_.reference(variable);
    double value = 0.0;  // tidy: unit is the variable's
    if (SILLION_CALL(fmi3GetFloat64)(instance_, &reference, 1, &value, 1) != fmi3OK)
      throw std::runtime_error("cannot get " + variable);
    return value;
  }
  bool flag(const std::string& variable) const {
    const fmi3ValueReference reference = unit_.reference(variable);
    bool value = false;
    if (SILLION_CALL(fmi3GetBoolean)(instance_, &reference, 1, &value, 1) != fmi3OK)
      throw std::runtime_error("cannot get " + variable);
    return value;
  }
  int whole(const std::string& variable) const {
    const fmi3ValueReference reference = unit_.reference(variable);
    fmi3Int32 value = 0;
    if (SILLION_CALL(fmi3GetInt32)(instance_, &reference, 1, &value, 1) != fmi3OK)
      throw std::runtime_error("cannot get " + variable);
    return value;
  }
  /// A communication step from `from_s` on.
  fmi3Status step(double from_s, double lasts_s) {
    bool event = true, ends = true, early = true;
    const fmi3Status status =
        SILLION_CALL(fmi3DoStep)(instance_, from_s, lasts_s, true, &event, &ends, &early, &time_s_);
    if (event || ends || early) throw std::runtime_error("the step asks for what it may not");
    return status;
  }
  double last_successful_s() const { return time_s_; }

 private:
  const UnpackedUnit& unit_;
  const UnitLibrary& library_;
  fmi3Instance instance_ = nullptr;
  std::vector<std::string> log_;
  double time_s_ = 0.0;
};

#undef SILLION_CALL

}  // namespace support
