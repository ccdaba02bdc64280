// The functions that the row's module offers to a page, and how it ends when it cannot go on. Only
// the module has this file.
//
//   room(bytes)      where the caller lays a text; valid until the next call of room
//   start(bytes)     takes the row's contents (row_contents.h) out of the room
//   answer(bytes)    takes a question out of the room (row_module.h); the answer's text begins at
//                    the address that comes back and has answer_bytes() bytes
//
// A throw ends the module: the packaged library has no unwinding. `ended` hands the words to the
// caller, which throws them on its own side and makes a new module for the next question.
#include <cxxabi.h>

#include <exception>
#include <memory>
#include <string>
#include <typeinfo>

#include "sim/command/browser/row_module.h"

namespace {

std::string& room_of_texts() {
  static std::string room;
  return room;
}

std::string& last_answer() {
  static std::string text;
  return text;
}

std::unique_ptr<sim::command::RowModule>& row_in_here() {
  static std::unique_ptr<sim::command::RowModule> row;
  return row;
}

}  // namespace

extern "C" {

[[clang::import_module("page"), clang::import_name("ended"), noreturn]] void page_ended(
    const char* words, std::size_t bytes);

[[clang::export_name("room")]] char* module_room(std::size_t bytes) {
  room_of_texts().resize(bytes);
  return room_of_texts().data();
}

[[clang::export_name("start")]] void module_start(std::size_t bytes) {
  row_in_here() = std::make_unique<sim::command::RowModule>(room_of_texts().substr(0, bytes));
}

[[clang::export_name("answer")]] const char* module_answer(std::size_t bytes) {
  last_answer() = row_in_here()->answer(room_of_texts().substr(0, bytes));
  return last_answer().data();
}

[[clang::export_name("answer_bytes")]] std::size_t module_answer_bytes() {
  return last_answer().size();
}

// Of the interface of C++ programs and their library (cxxabi.h), as far as a throw needs it.
void* __cxa_allocate_exception(std::size_t bytes) noexcept { return std::malloc(bytes); }
void __cxa_free_exception(void*) noexcept {}

/// Every exception of the bench and of the libraries derives from std::exception alone.
void __cxa_throw(void* thrown, std::type_info*, void* (*)(void*)) {
  const std::string words = static_cast<const std::exception*>(thrown)->what();
  page_ended(words.data(), words.size());
}
void __cxa_rethrow() { page_ended("thrown again", 12); }
}
