// ATTACHMENT of a command line: which part is meant, and the machine around it.
//
//   ATTACHMENT a name          of the catalog; the rest from --scenario, or scenario.h's defaults
//   ATTACHMENT a file (.toml)  its [attachment] is meant: one of the catalog by its `name`, with
//                              changes, or a whole part of one's own (own_attachment.h), named by
//                              the file where it states no name; the rest from --scenario, or from
//                              that same file. A catalog's file of one attachment does as well
//   `sets` lie over all of it. An attachment of the same name in --scenario keeps what is stated of
//   it there; another one is replaced whole.
//
// Out      the scenario; its name is the attachment's in words for a folder ("short_rake")
// Errors   InputError: unknown name, no such file, a file without [attachment], and all that
//          loader.h refuses, such as rate.in_band that nobody stated
// Checked  tests/sim/command/attachment_input_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/scenario/scenario.h"
#include "sim/study/delay/delay_plan.h"

namespace sim::command {

/// A key that an option of the command stands for; mistakes name the option.
struct OwnOption {
  std::string option;  // "--temperature"
  std::string key;     // "liquid.temperature"
  std::string value;
};

/// `scenario_file` is empty where none was given. `own` lies over `sets`.
scenario::Scenario attachment_input(const std::string& attachment,
                                    const std::filesystem::path& scenario_file,
                                    const std::vector<std::string>& sets,
                                    const std::vector<OwnOption>& own = {});
/// The same with the liquid at other temperatures, for studies that vary it.
delay::DelayInputs delay_inputs(const std::string& attachment,
                                const std::filesystem::path& scenario_file,
                                const std::vector<std::string>& sets,
                                const std::vector<OwnOption>& own = {});

}  // namespace sim::command
