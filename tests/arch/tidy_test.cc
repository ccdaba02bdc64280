// The rules of the house against the tree as it stands. A failure lists every place: file, line,
// what.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "tests/arch/arrow_rules.h"
#include "tests/arch/catalog_rules.h"
#include "tests/arch/function_rule.h"
#include "tests/arch/name_rules.h"
#include "tests/arch/test_rules.h"
#include "tests/arch/text_rules.h"
#include "tests/arch/tree.h"
#include "tests/arch/unit_rule.h"

namespace {

const std::filesystem::path kRoot = SILLION_SOURCE_DIR;

const std::vector<arch::SourceFile>& tree() {
  static const std::vector<arch::SourceFile> files = arch::read_tree(kRoot);
  return files;
}

std::string listed(const std::vector<arch::Finding>& findings) {
  std::string text = std::to_string(findings.size()) + " findings\n";
  for (const arch::Finding& finding : findings) {
    text += finding.path + ":" + std::to_string(finding.line) + ": " + finding.what + "\n";
  }
  return text;
}

template <typename Rule>
std::vector<arch::Finding> over_tree(Rule rule) {
  std::vector<arch::Finding> all;
  for (const arch::SourceFile& file : tree()) {
    for (arch::Finding& finding : rule(file)) all.push_back(std::move(finding));
  }
  return all;
}

void expect_none(const std::vector<arch::Finding>& findings) {
  EXPECT_TRUE(findings.empty()) << listed(findings);
}

}  // namespace

// A walk that saw nothing would pass every rule below.
TEST(Tree, IsSeenWhole) {
  for (const char* folder : {"shared/", "model/", "controller/", "sim/", "tests/"}) {
    int seen = 0;
    for (const arch::SourceFile& file : tree()) {
      seen += arch::starts_with(file.path, folder) && arch::is_code(file.path) && !file.text.empty()
                  ? 1
                  : 0;
    }
    EXPECT_GE(seen, 3) << folder;
  }
}

TEST(Tree, IncludesFollowTheArrows) { expect_none(over_tree(arch::arrow_findings)); }

TEST(Tree, FoldersKnowOnlyTheirLibraries) { expect_none(over_tree(arch::library_findings)); }

TEST(Tree, HeavyHeadersHaveOneIncluder) { expect_none(arch::single_includer_findings(tree())); }

TEST(Tree, FilesAreShortAndNarrow) { expect_none(over_tree(arch::size_findings)); }

TEST(Tree, FunctionsAreShort) { expect_none(over_tree(arch::function_findings)); }

TEST(Tree, RealsSayTheirUnit) { expect_none(over_tree(arch::unit_findings)); }

TEST(Tree, NothingIsLeftOver) { expect_none(over_tree(arch::leftover_findings)); }

TEST(Tree, NoChanceOrClockReachesAResult) { expect_none(over_tree(arch::chance_findings)); }

TEST(Tree, ResultsCallReproducibleFunctions) {
  expect_none(over_tree(arch::library_function_findings));
}

TEST(Tree, FirmwareStaysInItsSubset) { expect_none(over_tree(arch::firmware_findings)); }

TEST(Tree, HeadersSayWhereTheyAreChecked) {
  expect_none(
      over_tree([](const arch::SourceFile& file) { return arch::header_findings(file, tree()); }));
}

TEST(Tree, FaultCatalogShowsEveryFault) { expect_none(arch::fault_catalog_findings(tree())); }

TEST(Tree, TopHoldsOnlyTheHouse) { expect_none(arch::top_findings(arch::top_names(kRoot))); }

TEST(Tree, LinksOfPagesLeadSomewhere) {
  const std::vector<std::string> paths = arch::all_paths(kRoot);
  expect_none(
      over_tree([&](const arch::SourceFile& page) { return arch::link_findings(page, paths); }));
}

TEST(Tree, PathsOfCommentsAndPagesAreThere) {
  const std::vector<std::string> paths = arch::all_paths(kRoot);
  expect_none(
      over_tree([&](const arch::SourceFile& file) { return arch::path_findings(file, paths); }));
}

TEST(Tree, CommentsNamePagesByTheirPath) { expect_none(over_tree(arch::page_findings)); }

TEST(Tree, CommentsNameWhatTheCodeHas) {
  const std::set<std::string> words = arch::words_of_code(tree());
  expect_none(
      over_tree([&](const arch::SourceFile& file) { return arch::word_findings(file, words); }));
}

TEST(Tree, TestsRunAndCanFail) {
  const std::set<std::string> expecting = arch::expecting_functions(tree());
  expect_none(over_tree(
      [&](const arch::SourceFile& file) { return arch::test_findings(file, expecting); }));
}
