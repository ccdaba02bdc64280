#include "sim/output/report_script.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "sim/output/html.h"
#include "tests/support/report_text.h"
#include "tests/support/run_program.h"

namespace {

using testing::HasSubstr;
using testing::Not;

std::string between(const std::string& page, const std::string& from, const std::string& to) {
  const std::size_t start = page.find(from) + from.size();
  return page.substr(start, page.find(to, start) - start);
}

/// Base 64 of RFC 4648, section 4, of bytes as hexadecimal digits.
std::string base64_of_hex(const std::string& hex) {
  constexpr std::string_view kDigits =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string bits, text;
  for (const char digit : hex)
    for (int bit = 4; bit-- > 0;)
      bits += (std::stoi(std::string(1, digit), nullptr, 16) >> bit) & 1 ? '1' : '0';
  for (std::size_t at = 0; at < bits.size(); at += 6) {
    std::string six = bits.substr(at, 6);
    six.resize(6, '0');
    text += kDigits[std::stoul(six, nullptr, 2)];
  }
  while (text.size() % 4 != 0) text += '=';
  return text;
}

// The hash by coreutils' sha256sum; how a policy names it: W3C, Content Security Policy Level 3.
TEST(ReportScript, StandsInAPageOnceAndThePolicyAllowsItAlone) {
  support::ScratchFolder scratch;
  const std::string page = sim::output::page_html("A title", "<p>words</p>\n");
  EXPECT_EQ(support::count_of(page, "<script"), 1);
  EXPECT_EQ(support::count_of(page, "</script"), 1);
  std::ofstream(scratch.path() / "script") << between(page, "<script>", "</script>");
  const support::Ended sum = support::run_program({"sha256sum", scratch.path() / "script"});
  ASSERT_EQ(sum.code, 0) << sum.err;
  const std::string policy = between(page, "Content-Security-Policy\" content=\"", "\"");
  EXPECT_THAT(policy, testing::StartsWith("default-src 'none'; script-src 'sha256-" +
                                          base64_of_hex(sum.out.substr(0, 64)) + "'; "));
  EXPECT_EQ(support::count_of(policy, "script-src"), 1);
}

TEST(ReportScript, AsksNobodyAndMakesNoCodeOfText) {
  const std::string script(sim::output::report_script());
  for (const char* way : {"http", "fetch", "XMLHttp", "WebSocket", "import", "eval", "Function(",
                          "innerHTML", "outerHTML", "insertAdjacentHTML", "document.write",
                          "setTimeout(\"", "localStorage", "cookie", "url(", "//"})
    EXPECT_THAT(script, Not(HasSubstr(way)));
  EXPECT_LT(script.size(), 24'000U);  // a report stays small
}

}  // namespace
