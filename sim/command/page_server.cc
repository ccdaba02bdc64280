#include "sim/command/page_server.h"

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/thread_pool.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/http.hpp>
#include <chrono>
#include <optional>
#include <utility>

namespace sim::command {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using asio::ip::tcp;

constexpr std::uint32_t kMostHead_bytes = 8 * 1024;
constexpr std::uint64_t kMostBody_bytes = 64 * 1024;
constexpr std::size_t kMostBuffer_bytes = 16 * 1024;
constexpr int kMostConnections = 256;
constexpr int kHandlerThreads = 4;  // two that compute, two for what is answered at once
constexpr std::chrono::seconds kPatience{10};

constexpr char kOwnPolicy[] =
    "default-src 'none'; style-src 'self'; script-src 'self' 'wasm-unsafe-eval'; worker-src "
    "'self'; "
    "connect-src 'self'; img-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors "
    "'none'";

struct PageShared {
  PageDoor door;
  PageHandler handler;
  asio::thread_pool handlers{kHandlerThreads};
  int connections = 0;  // touched by the thread of run() alone
};

http::response<http::string_body> http_response(const PageResponse& from) {
  http::response<http::string_body> response{static_cast<http::status>(from.status), 11};
  response.set(http::field::content_type, from.type);
  response.set(http::field::cache_control, "no-store");
  response.set("Content-Security-Policy", from.policy.empty() ? kOwnPolicy : from.policy);
  response.set("X-Content-Type-Options", "nosniff");
  response.set("X-Frame-Options", "DENY");
  response.set("Referrer-Policy", "no-referrer");
  response.set("Cross-Origin-Resource-Policy", "same-origin");
  response.set("Cross-Origin-Opener-Policy", "same-origin");
  response.body() = from.body;
  return response;
}

PageResponse refusal(unsigned status) {
  const char* words = "Not found.\n";
  switch (status) {
    case 400: words = "This is no HTTP request that the page understands.\n"; break;
    case 403: words = "Requests from another origin are refused.\n"; break;
    case 405: words = "Only GET and POST are taken.\n"; break;
    case 413: words = "The request is too large.\n"; break;
    case 414: words = "The address is too long.\n"; break;
    case 415: words = "A POST has to bring JSON.\n"; break;
    case 421: words = "Host is not the address that the program printed.\n"; break;
    case 431: words = "The head of the request is too large.\n"; break;
    default: break;
  }
  return {.status = status, .type = "text/plain; charset=utf-8", .body = words, .policy = {}};
}

unsigned status_of_error(beast::error_code error) {
  if (error == http::error::header_limit) return 431;
  if (error == http::error::body_limit) return 413;
  return 400;
}

/// One connection: head, guard, body, answer, and again.
class PageSession : public std::enable_shared_from_this<PageSession> {
 public:
  PageSession(tcp::socket socket, PageShared& shared)
      : stream_(std::move(socket)), shared_(shared), buffer_(kMostBuffer_bytes) {
    ++shared_.connections;
  }
  ~PageSession() { --shared_.connections; }
  PageSession(const PageSession&) = delete;
  PageSession& operator=(const PageSession&) = delete;

  void read() {
    parser_.emplace();
    parser_->header_limit(kMostHead_bytes);
    parser_->body_limit(kMostBody_bytes);
    stream_.expires_after(kPatience);
    http::async_read_header(
        stream_, buffer_, *parser_,
        [self = shared_from_this()](beast::error_code error, std::size_t) { self->judge(error); });
  }
  void refuse(unsigned status) { write(refusal(status), false); }

 private:
  void judge(beast::error_code error) {
    if (error == http::error::end_of_stream) return close();
    if (error == beast::error::timeout || error == asio::error::connection_reset ||
        error == asio::error::operation_aborted)
      return;
    if (error) return refuse(status_of_error(error));
    const auto& head = parser_->get();
    const auto field = [&](auto name) {
      const auto text = head[name];
      return std::string_view(text.data(), text.size());
    };
    const std::string_view method(head.method_string().data(), head.method_string().size());
    const std::string_view target(head.target().data(), head.target().size());
    entry_ = entry_of({.method = method,
                       .target = target,
                       .host = field(http::field::host),
                       .origin = field(http::field::origin),
                       .fetch_site = field("Sec-Fetch-Site"),
                       .content_type = field(http::field::content_type),
                       .hosts = static_cast<int>(head.count(http::field::host))},
                      shared_.door);
    if (entry_.status != 200) return refuse(entry_.status);
    http::async_read(stream_, buffer_, *parser_,
                     [self = shared_from_this()](beast::error_code read_error, std::size_t) {
                       self->answer(read_error);
                     });
  }

  void answer(beast::error_code error) {
    if (error == beast::error::timeout) return;
    if (error) return refuse(status_of_error(error));
    stream_.expires_never();
    const auto& request = parser_->get();
    asio::post(shared_.handlers, [self = shared_from_this(), keep = request.keep_alive(),
                                  path = entry_.path, method = std::string(request.method_string()),
                                  body = request.body()]() mutable {
      PageResponse response = self->shared_.handler(method, path, body);
      // The last owner of a session is always the thread of run().
      const auto executor = self->stream_.get_executor();
      asio::post(executor, [self = std::move(self), keep, response = std::move(response)] {
        self->write(response, keep);
      });
    });
  }

  void write(const PageResponse& from, bool keep) {
    response_ = http_response(from);
    response_.keep_alive(keep);
    response_.prepare_payload();
    stream_.expires_after(kPatience);
    http::async_write(stream_, response_,
                      [self = shared_from_this(), keep](beast::error_code error, std::size_t) {
                        if (error) return;
                        if (keep)
                          self->read();
                        else
                          self->close();
                      });
  }

  void close() {
    beast::error_code ignored;
    stream_.socket().shutdown(tcp::socket::shutdown_send, ignored);
  }

  beast::tcp_stream stream_;
  PageShared& shared_;
  beast::flat_buffer buffer_;
  std::optional<http::request_parser<http::string_body>> parser_;
  PageEntry entry_;
  http::response<http::string_body> response_;
};

}  // namespace

struct PageServer::Works {
  PageShared shared;
  asio::io_context context{1};
  tcp::acceptor acceptor{context};

  void accept() {
    acceptor.async_accept([this](beast::error_code error, tcp::socket socket) {
      if (error == asio::error::operation_aborted) return;
      if (!error && shared.connections < kMostConnections)
        std::make_shared<PageSession>(std::move(socket), shared)->read();
      accept();
    });
  }
};

PageServer::PageServer(int port, std::string token, PageHandler handler)
    : works_(std::make_unique<Works>()) {
  works_->shared.door.token = std::move(token);
  works_->shared.handler = std::move(handler);
  try {
    const tcp::endpoint loopback(asio::ip::address_v4::loopback(),
                                 static_cast<unsigned short>(port));
    works_->acceptor.open(loopback.protocol());
    works_->acceptor.set_option(tcp::acceptor::reuse_address(true));
    works_->acceptor.bind(loopback);
    works_->acceptor.listen(kMostConnections);
  } catch (const boost::system::system_error& error) {
    throw PageServerError("--port " + std::to_string(port) + ": " + error.code().message());
  }
  works_->shared.door.port = works_->acceptor.local_endpoint().port();
}

PageServer::~PageServer() { works_->shared.handlers.join(); }

const PageDoor& PageServer::door() const { return works_->shared.door; }

std::string PageServer::address() const {
  return "http://127.0.0.1:" + std::to_string(door().port) + "/" + door().token + "/";
}

void PageServer::run(const std::atomic<bool>& stop) {
  works_->accept();
  while (!stop) works_->context.run_for(std::chrono::milliseconds(100));
  works_->acceptor.close();
  works_->shared.handlers.join();
  works_->context.stop();
}

}  // namespace sim::command
