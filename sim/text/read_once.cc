#include "sim/text/read_once.h"

#include <map>
#include <memory>
#include <mutex>

namespace sim::text {
namespace {

std::mutex kept_mutex;
int lives = 0;
std::map<std::filesystem::path, std::shared_ptr<const Node>> kept;

std::shared_ptr<const Node> find_kept(const std::filesystem::path& file) {
  const std::lock_guard lock(kept_mutex);
  const auto found = kept.find(file);
  return found == kept.end() ? nullptr : found->second;
}

/// The document of the first of several threads that read the same file is kept for all.
std::shared_ptr<const Node> keep(const std::filesystem::path& file, Node document) {
  auto whole = std::make_shared<const Node>(std::move(document));
  const std::lock_guard lock(kept_mutex);
  return lives > 0 ? kept.emplace(file, std::move(whole)).first->second : whole;
}

}  // namespace

ReadOnce::ReadOnce() {
  const std::lock_guard lock(kept_mutex);
  ++lives;
}

ReadOnce::~ReadOnce() {
  const std::lock_guard lock(kept_mutex);
  if (--lives == 0) kept.clear();
}

Node read_once(const std::filesystem::path& file,
               const std::function<Node(const std::filesystem::path&)>& read) {
  std::shared_ptr<const Node> document = find_kept(file);
  if (document == nullptr) document = keep(file, read(file));
  return *document;
}

}  // namespace sim::text
