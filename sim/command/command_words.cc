#include "sim/command/command_words.h"

#include <CLI/CLI.hpp>

namespace sim::command {
namespace {

std::string examples_text(std::initializer_list<std::string> lines) {
  std::string text = "Examples:";
  for (const std::string& line : lines) text += "\n  " + line;
  return text;
}

}  // namespace

void CommandWords::input(const std::string& name, std::string& value, const std::string& help,
                         Need need) {
  CLI::Option* option = command_.add_option(name, value, help)->required(need == Need::kRequired);
  if (need == Need::kOptional) option->capture_default_str();
}

void CommandWords::flag(const std::string& name, bool& given, const std::string& help) {
  command_.add_flag(name, given, help);
}

void CommandWords::text(const std::string& name, std::string& value, const std::string& help,
                        Need need) {
  command_.add_option(name, value, help)->required(need == Need::kRequired);
}

void CommandWords::path(const std::string& name, std::filesystem::path& value,
                        const std::string& help) {
  command_.add_option(name, value, help);
}

void CommandWords::number(const std::string& name, int& value, const std::string& help, Need need) {
  command_.add_option(name, value, help)->required(need == Need::kRequired);
}

void CommandWords::number(const std::string& name, int& value, const NumberRange& range,
                          const std::string& help, Default shown) {
  CLI::Option* option =
      command_.add_option(name, value, help)->check(CLI::Range(range.least, range.most));
  if (shown == Default::kShown) option->capture_default_str();
}

void CommandWords::list(const std::string& name, std::vector<std::string>& values,
                        const std::string& help) {
  command_.add_option(name, values, help)->take_all();
}

void CommandWords::choice(const std::string& name, std::string& value,
                          const std::vector<std::string>& choices, const std::string& help) {
  command_.add_option(name, value, help)->check(CLI::IsMember(choices));
}

void CommandWords::choice(const std::string& name, const std::vector<std::string>& choices,
                          const std::function<void(const std::string& word)>& take,
                          const std::string& help) {
  command_.add_option_function<std::string>(name, take, help)->check(CLI::IsMember(choices));
}

void CommandWords::examples(std::initializer_list<std::string> lines) {
  command_.footer(examples_text(lines));
}

ProgramWords::ProgramWords(const std::string& name, const std::string& description,
                           std::initializer_list<std::string> examples)
    : program_(std::make_unique<CLI::App>(description, name)) {
  program_->require_subcommand(1);
  program_->footer(examples_text(examples));
}

ProgramWords::~ProgramWords() = default;

CommandWords ProgramWords::add_command(const std::string& name, const std::string& description) {
  return CommandWords(*program_->add_subcommand(name, description));
}

Reading ProgramWords::read(int argc, char** argv) {
  try {
    program_->parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return {.mistaken = program_->exit(error) != 0};
  }
  return {.command = program_->get_subcommands().front()->get_name()};
}

}  // namespace sim::command
