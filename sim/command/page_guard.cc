#include "sim/command/page_guard.h"

#include <algorithm>

namespace sim::command {
namespace {

constexpr std::size_t kMostTarget = 256;  // characters; the page's own are shorter

bool plain_path(std::string_view path) {
  constexpr std::string_view kPlain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-/";
  return path.find_first_not_of(kPlain) == path.npos && path.find("..") == path.npos &&
         path.find("//") == path.npos;
}

bool known_host(std::string_view host, int port) {
  const std::string behind = ":" + std::to_string(port);
  return host == "127.0.0.1" + behind || host == "localhost" + behind;
}

bool own_origin(const PageHead& head) {
  if (!head.origin.empty() && head.origin != "http://" + std::string(head.host)) return false;
  return head.fetch_site.empty() || head.fetch_site == "same-origin" || head.fetch_site == "none";
}

}  // namespace

bool same_secret(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  unsigned different = 0;
  for (std::size_t i = 0; i < a.size(); ++i)
    different |= static_cast<unsigned char>(a[i]) ^ static_cast<unsigned char>(b[i]);
  return different == 0;
}

PageEntry entry_of(const PageHead& head, const PageDoor& door) {
  const bool posts = head.method == "POST";
  if (!posts && head.method != "GET") return {405, {}};
  if (head.hosts != 1 || !known_host(head.host, door.port)) return {421, {}};
  if (!own_origin(head)) return {403, {}};
  if (head.target.size() > kMostTarget) return {414, {}};
  if (head.target.empty() || head.target[0] != '/' || !plain_path(head.target)) return {404, {}};
  const std::string_view rest = head.target.substr(1);
  const std::size_t slash = std::min(rest.find('/'), rest.size());
  if (!same_secret(rest.substr(0, slash), door.token) || slash == rest.size()) return {404, {}};
  if (posts && !head.content_type.starts_with("application/json")) return {415, {}};
  return {200, std::string(rest.substr(slash + 1))};
}

}  // namespace sim::command
