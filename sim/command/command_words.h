// The words of the command line, stated by each command for itself: a small front to CLI11, which
// takes seconds to compile, so that one file includes it.
//
//   ProgramWords   the program: what --help says of it, its commands, and the reading of a line
//   CommandWords   one command: each option is bound to a variable that the reading fills; a
//                  variable whose option is not stated keeps its value
//
// Errors   none thrown: mistakes and help are printed here
// Checked  tests/sim/command/command_test.cc, tests/sim/command/help_test.cc
#pragma once

#include <filesystem>
#include <functional>
#include <initializer_list>
#include <memory>
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace sim::command {

enum class Need { kOptional, kRequired };
enum class Default { kHidden, kShown };  // in --help

/// Whole numbers that an option takes, both ends included.
struct NumberRange {
  int least = 0;
  int most = 0;
};

class CommandWords {
 public:
  /// The word that stands without an option's name. --help shows it as `name`.
  void input(const std::string& name, std::string& value, const std::string& help,
             Need need = Need::kRequired);
  void flag(const std::string& name, bool& given, const std::string& help);
  void text(const std::string& name, std::string& value, const std::string& help,
            Need need = Need::kOptional);
  void path(const std::string& name, std::filesystem::path& value, const std::string& help);
  void number(const std::string& name, int& value, const std::string& help,
              Need need = Need::kOptional);
  void number(const std::string& name, int& value, const NumberRange& range,
              const std::string& help, Default shown = Default::kHidden);
  /// May be stated several times; the values stand in the order of the command line.
  void list(const std::string& name, std::vector<std::string>& values, const std::string& help);
  void choice(const std::string& name, std::string& value, const std::vector<std::string>& choices,
              const std::string& help);
  /// Hands the chosen word to `take`.
  void choice(const std::string& name, const std::vector<std::string>& choices,
              const std::function<void(const std::string& word)>& take, const std::string& help);
  /// Whole command lines, at the end of the command's --help.
  void examples(std::initializer_list<std::string> lines);

 private:
  friend class ProgramWords;
  explicit CommandWords(CLI::App& command) : command_(command) {}

  CLI::App& command_;
};

/// What a line came to.
struct Reading {
  std::string command;    // its options are filled; empty: there is nothing to do but end
  bool mistaken = false;  // a mistake was printed; else the help that was asked for
};

class ProgramWords {
 public:
  ProgramWords(const std::string& name, const std::string& description,
               std::initializer_list<std::string> examples);
  ~ProgramWords();
  ProgramWords(const ProgramWords&) = delete;
  ProgramWords& operator=(const ProgramWords&) = delete;

  /// --help lists the commands in the order in which they were added.
  CommandWords add_command(const std::string& name, const std::string& description);
  /// Reads one line, which has to name a command.
  Reading read(int argc, char** argv);

 private:
  std::unique_ptr<CLI::App> program_;
};

}  // namespace sim::command
