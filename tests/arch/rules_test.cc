// Each rule finds its fault in a text that is made up here, and passes a similar correct text.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "tests/arch/arrow_rules.h"
#include "tests/arch/catalog_rules.h"
#include "tests/arch/code_text.h"
#include "tests/arch/text_rules.h"
#include "tests/arch/tree.h"
#include "tests/arch/unit_rule.h"

namespace {

using arch::Finding;
using arch::SourceFile;
using ::testing::IsEmpty;
using ::testing::SizeIs;

std::vector<int> lines_found(const std::vector<Finding>& findings) {
  std::vector<int> lines;
  for (const Finding& finding : findings) lines.push_back(finding.line);
  return lines;
}

std::vector<Finding> arrows(const std::string& path, const std::string& include) {
  return arch::arrow_findings({path, "#include " + include + "\n"});
}

std::vector<Finding> libraries(const std::string& path, const std::string& include) {
  return arch::library_findings({path, "#include " + include + "\n"});
}

std::vector<Finding> units(const std::string& line) {
  return arch::unit_findings({"model/x.h", line + "\n"});
}

}  // namespace

TEST(BareCode, BlanksCommentsAndLiteralsButKeepsPlaces) {
  const std::string text = "a /* double */ b // c\n\"d // e\" f 1'000 'g'\n";
  EXPECT_EQ(arch::bare_code(text, true), "a              b     \n\"      \" f 1'000 ' '\n");
}

TEST(BareCode, BlanksRawStrings) {
  EXPECT_EQ(arch::bare_code("x = R\"j({\"a\": 1})j\"; y", true), "x = R\"j(        )j\"; y");
}

TEST(ArrowRule, ModelAndControllerNeverMeet) {
  EXPECT_THAT(arrows("model/coil.h", "\"controller/row.h\""), SizeIs(1));
  EXPECT_THAT(arrows("controller/row.cc", "\"model/coil.h\""), SizeIs(1));
  EXPECT_THAT(arrows("controller/row.cc", "\"sim/bench/pass.h\""), SizeIs(1));
  EXPECT_THAT(arrows("shared/time.h", "\"model/coil.h\""), SizeIs(1));
  EXPECT_THAT(arrows("model/coil.h", "\"shared/time.h\""), IsEmpty());
  EXPECT_THAT(arrows("controller/row.cc", "\"shared/controller_abi.h\""), IsEmpty());
}

TEST(ArrowRule, SimKnowsTheControllerByItsInterfaceOnly) {
  EXPECT_THAT(arrows("sim/bench/pass.cc", "\"controller/row.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/bench/pass.cc", "\"shared/controller_abi.h\""), IsEmpty());
}

TEST(ArrowRule, SimHasFloors) {
  EXPECT_THAT(arrows("sim/text/reader.cc", "\"sim/scenario/sections.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/statistics/spread.cc", "\"sim/measure/record.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/scenario/loader.cc", "\"sim/measure/catalog.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/scenario/faults/catalog.cc", "\"sim/scenario/scenario.h\""), IsEmpty());
  EXPECT_THAT(arrows("sim/measure/spacing.cc", "\"sim/bench/pass.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/bench/pass.cc", "\"sim/output/html.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/output/html.cc", "\"sim/study/run/run.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/study/run/report.cc", "\"sim/output/html.h\""), IsEmpty());
  EXPECT_THAT(arrows("sim/command/main.cc", "\"sim/study/run/report.h\""), IsEmpty());
}

TEST(ArrowRule, QuestionsKnowRunAndTuneButNotEachOther) {
  EXPECT_THAT(arrows("sim/study/sweep/sweep.cc", "\"sim/study/run/run.h\""), IsEmpty());
  EXPECT_THAT(arrows("sim/study/sweep/sweep.cc", "\"sim/study/tune/tune.h\""), IsEmpty());
  EXPECT_THAT(arrows("sim/study/run/report.cc", "\"sim/study/sweep/sweep.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/study/tune/tune.cc", "\"sim/study/run/run.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/study/delay/delay.cc", "\"sim/study/sweep/sweep.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/study/valve/fit/valve_fit.cc", "\"sim/study/rig/rig.h\""), IsEmpty());
  EXPECT_THAT(arrows("sim/study/rig/rig.cc", "\"sim/study/valve/valve_check.h\""), SizeIs(1));
}

TEST(ArrowRule, AFolderOfSimThatIsNoRoomMayIncludeNothing) {
  EXPECT_THAT(arrows("sim/page/server.cc", "\"sim/study/run/run.h\""), SizeIs(1));
  EXPECT_THAT(arrows("sim/study/run.cc", "\"sim/bench/pass.h\""), SizeIs(1));
}

TEST(ArrowRule, TestsOfAFolderSeeNoMoreThanTheFolder) {
  EXPECT_THAT(arrows("tests/model/valve/coil_test.cc", "\"sim/bench/pass.h\""), SizeIs(1));
  EXPECT_THAT(arrows("tests/controller/row_test.cc", "\"model/coil.h\""), SizeIs(1));
  EXPECT_THAT(arrows("tests/sim/bench/pass_test.cc", "\"sim/bench/pass.h\""), IsEmpty());
}

TEST(ArrowRule, IncludesAreWrittenFromTheTop) {
  EXPECT_THAT(arrows("model/coil.cc", "\"coil.h\""), SizeIs(1));
  EXPECT_THAT(arrows("model/coil.cc", "\"../shared/time.h\""), SizeIs(1));
}

TEST(ArrowRule, CommentsAreNoIncludes) {
  EXPECT_THAT(arch::arrow_findings({"model/x.h", "// #include \"sim/bench/pass.h\"\n"}), IsEmpty());
}

TEST(LibraryRule, OdeintHasOneIncluderInTheModel) {
  EXPECT_THAT(
      libraries("model/valve/plunger.cc", "<boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>"),
      SizeIs(1));
  EXPECT_THAT(
      libraries("model/integrate.h", "<boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>"),
      IsEmpty());
}

TEST(LibraryRule, SleefHasOneIncluder) {
  EXPECT_THAT(libraries("sim/bench/random.cc", "<sleef.h>"), SizeIs(1));
  EXPECT_THAT(libraries("model/reproducible_math.h", "<sleef.h>"), IsEmpty());
}

TEST(LibraryRule, TheHashesLibraryHasOneIncluder) {
  EXPECT_THAT(libraries("sim/study/run.cc", "<sodium/crypto_hash_sha256.h>"), SizeIs(1));
  EXPECT_THAT(libraries("sim/output/hash.cc", "<sodium/crypto_hash_sha256.h>"), IsEmpty());
}

TEST(LibraryRule, ModelHasNoInputOutputOrClock) {
  EXPECT_THAT(libraries("model/x.cc", "<iostream>"), SizeIs(1));
  EXPECT_THAT(libraries("model/x.cc", "<chrono>"), SizeIs(1));
  EXPECT_THAT(libraries("model/x.cc", "<spdlog/spdlog.h>"), SizeIs(1));
  EXPECT_THAT(libraries("model/x.cc", "<Eigen/Core>"), IsEmpty());
  EXPECT_THAT(libraries("model/x.cc", "<vector>"), IsEmpty());
}

TEST(LibraryRule, FirmwareUsesThreeHandfulsOfHeaders) {
  EXPECT_THAT(libraries("controller/queue.h", "<vector>"), SizeIs(1));
  EXPECT_THAT(libraries("controller/queue.h", "<array>"), IsEmpty());
  EXPECT_THAT(libraries("shared/time.h", "<Eigen/Core>"), SizeIs(1));
}

TEST(LibraryRule, SpecialFunctionsStayOutOfResults) {
  EXPECT_THAT(libraries("sim/measure/summary.cc", "<boost/math/distributions/students_t.hpp>"),
              SizeIs(1));
  EXPECT_THAT(
      libraries("tests/sim/measure/summary_test.cc", "<boost/math/distributions/students_t.hpp>"),
      IsEmpty());
}

TEST(HeavyHeaderRule, CatchesASecondIncluderAndAHeader) {
  const SourceFile loader{"sim/scenario/loader.cc", "#include <toml++/toml.h>\n"};
  EXPECT_THAT(arch::single_includer_findings({loader}), IsEmpty());
  EXPECT_THAT(arch::single_includer_findings(
                  {loader, {"sim/study/study.cc", "#include <toml++/toml.h>\n"}}),
              SizeIs(1));
  EXPECT_THAT(arch::single_includer_findings({{"sim/command/flags.h", "#include <CLI/CLI.hpp>\n"}}),
              SizeIs(1));
}

TEST(SizeRule, CatchesLongFilesAndWideLines) {
  std::string text;
  for (int i = 0; i < arch::kMostLines; ++i) text += "x\n";
  EXPECT_THAT(arch::size_findings({"model/x.cc", text}), IsEmpty());
  EXPECT_THAT(arch::size_findings({"model/x.cc", text + "x\n"}), SizeIs(1));
  EXPECT_THAT(arch::size_findings({"model/x.cc", std::string(100, 'x') + "\n"}), IsEmpty());
  EXPECT_THAT(arch::size_findings({"model/x.cc", std::string(101, 'x') + "\n"}), SizeIs(1));
}

TEST(SizeRule, CountsColumnsNotBytes) { EXPECT_EQ(arch::columns_of("\xC3\xA9t\xC3\xA9"), 3); }

TEST(SizeRule, ExcusesNobody) { EXPECT_THAT(arch::kTooLongAlready, IsEmpty()); }

TEST(UnitRule, WantsASuffixOnFieldsParametersAndFunctions) {
  EXPECT_THAT(units("double lift;"), SizeIs(1));
  EXPECT_THAT(units("float speed_kmh = 0;"), SizeIs(1));
  EXPECT_THAT(units("double flow(const Orifice& orifice);"), SizeIs(1));
  EXPECT_THAT(units("void open(double lift, int n);"), SizeIs(1));
  EXPECT_THAT(units("double lift_m = 0.0;"), IsEmpty());
  EXPECT_THAT(
      units("double orifice_flow_m3ps(double lift_m, double dp_pa, const Orifice& orifice);"),
      IsEmpty());
}

TEST(UnitRule, SeesThroughContainersReferencesAndConst) {
  EXPECT_THAT(units("std::vector<double> times;"), SizeIs(1));
  EXPECT_THAT(units("std::array<double, 4> weights{};"), SizeIs(1));
  EXPECT_THAT(units("std::vector<std::array<double, 4>> rows;"), SizeIs(1));
  EXPECT_THAT(units("const double& lift() const;"), SizeIs(1));
  EXPECT_THAT(units("double const lift;"), SizeIs(1));
  EXPECT_THAT(units("std::span<const double> values"), SizeIs(1));
  EXPECT_THAT(units("std::vector<double> time_s;"), IsEmpty());
  EXPECT_THAT(units("double stored_m3_;"), IsEmpty());
}

TEST(UnitRule, SeesEveryNameOfAList) {
  EXPECT_THAT(units("double mean_m = f(1, 2), sd;"), SizeIs(1));
  EXPECT_THAT(units("double mean_m = f(1, 2), sd_m;"), IsEmpty());
}

TEST(UnitRule, IsNotMisledByCommentsCastsAndNumberTypes) {
  EXPECT_THAT(units("// a double thing"), IsEmpty());
  EXPECT_THAT(units("auto x = static_cast<double>(n);"), IsEmpty());
  EXPECT_THAT(units("template <typename Real = double> struct Lane { Real value; };"), IsEmpty());
  EXPECT_THAT(units("using Real = double;"), IsEmpty());
  EXPECT_THAT(units("typedef double Pair __attribute__((vector_size(16)));"), IsEmpty());
  EXPECT_THAT(units("std::function<void(double share_ratio)> progress;"), IsEmpty());
}

TEST(UnitRule, LooksIntoContainersNotIntoOurOwnTemplates) {
  EXPECT_THAT(units("LinePlan<double> still_line(const Line& line);"), IsEmpty());
  EXPECT_THAT(units("std::vector<LineState<double>> lines;"), IsEmpty());
  EXPECT_THAT(units("std::optional<double> lift;"), SizeIs(1));
}

TEST(UnitRule, LetsFunctionsOfPureNumbersPassInTheirFile) {
  const std::string text = "double exp_of(double x_ratio);\n";
  EXPECT_THAT(arch::unit_findings({"model/reproducible_math.h", text}), IsEmpty());
  EXPECT_THAT(arch::unit_findings({"model/other.h", text}), SizeIs(1));
  EXPECT_THAT(arch::unit_findings({"model/number.h", "double select(double x);\n"}), SizeIs(1));
}

TEST(UnitRule, LetsAMetricsValuePass) {
  EXPECT_THAT(units("double limit = 0.0;"), SizeIs(1));
  EXPECT_THAT(units("double limit = 0.0;  // tidy: unit is the metric's"), IsEmpty());
  EXPECT_THAT(units("double limit = 0.0;  // tidy up"), SizeIs(1));
}

TEST(UnitRule, LooksAtHeadersOfModelAndSim) {
  EXPECT_THAT(arch::unit_findings({"sim/x.h", "double a;\n"}), SizeIs(1));
  EXPECT_THAT(arch::unit_findings({"sim/x.cc", "double a;\n"}), IsEmpty());
}

TEST(LeftoverRule, CatchesNotesToSelfAndMachinePaths) {
  EXPECT_THAT(arch::leftover_findings({"README.md",
                                       "a\nTO"
                                       "DO: b\n"}),
              SizeIs(1));
  EXPECT_THAT(arch::leftover_findings({"model/x.cc",
                                       "// FIX"
                                       "ME\n"}),
              SizeIs(1));
  EXPECT_THAT(arch::leftover_findings({"tests/all.sh",
                                       "cd /ro"
                                       "ot/x\n"}),
              SizeIs(1));
  EXPECT_THAT(arch::leftover_findings({"README.md", "a method to do it\n"}), IsEmpty());
}

TEST(ChanceRule, CatchesChanceClockAndUnorderedContainers) {
  const std::string text =
      "int a = rand();\nstd::random_device d;\nauto t = std::chrono::system_clock::now();\n"
      "auto s = std::chrono::steady_clock::now();\nstd::unordered_map<int, int> m;\n";
  EXPECT_EQ(lines_found(arch::chance_findings({"sim/bench/pass.cc", text})),
            (std::vector<int>{1, 2, 3, 4, 5}));
  EXPECT_EQ(lines_found(arch::chance_findings({"sim/command/progress.cc", text})),
            (std::vector<int>{1, 2, 5}));
  EXPECT_EQ(lines_found(arch::chance_findings({"sim/command/live_pass.cc", text})),
            (std::vector<int>{1, 2, 5}));
  EXPECT_THAT(arch::chance_findings({"sim/bench/pass.cc", "operand(1); // rand()\n"}), IsEmpty());
  EXPECT_THAT(arch::chance_findings({"sim/command/outside_world.cc", text}), IsEmpty());
}

TEST(FunctionRule, CatchesTheCLibrarysFunctions) {
  EXPECT_THAT(arch::library_function_findings({"model/x.cc", "y = std::exp(x);\n"}), SizeIs(1));
  EXPECT_THAT(arch::library_function_findings({"sim/measure/x.cc", "y = pow(x, 2);\n"}), SizeIs(1));
  EXPECT_THAT(arch::library_function_findings(
                  {"model/x.cc", "y = exp_of(x); z = std::sqrt(x); w = dexp(x);\n"}),
              IsEmpty());
  EXPECT_THAT(arch::library_function_findings({"sim/x.cc", "spdlog.log(x); // exp(x)\n"}),
              IsEmpty());
}

TEST(FirmwareRule, CatchesDoubleHeapAndExceptions) {
  const std::string text = "double a;\nvoid* p = malloc(3);\nthrow 1;\ndelete q;\n";
  EXPECT_EQ(lines_found(arch::firmware_findings({"controller/x.cc", text})),
            (std::vector<int>{1, 2, 3, 4}));
  EXPECT_THAT(arch::firmware_findings({"controller/x.cc", "int doubles; // double\n"}), IsEmpty());
}

TEST(HeaderRule, WantsAGuardAndACheckedLineThatPointsAtATest) {
  const std::vector<SourceFile> tree = {{"tests/model/x_test.cc", ""}};
  const std::string good = "// X.\n// Checked  tests/model/x_test.cc\n#pragma once\n";
  EXPECT_THAT(arch::header_findings({"model/x.h", good}, tree), IsEmpty());
  EXPECT_THAT(arch::header_findings({"model/x.h", "#pragma once\n"}, tree), SizeIs(1));
  EXPECT_THAT(arch::header_findings({"model/x.h", "// Checked  tests/model/x_test.cc\n"}, tree),
              SizeIs(1));
  EXPECT_THAT(arch::header_findings(
                  {"model/x.h", "// Checked  tests/model/y_test.cc\n#pragma once\n"}, tree),
              SizeIs(1));
  EXPECT_THAT(
      arch::header_findings({"model/x.h", "// Checked  tests/published/\n#pragma once\n"}, tree),
      SizeIs(1));
}

TEST(CatalogRule, CatchesAFileWithoutRowAndARowWithoutFile) {
  const std::string folder = "sim/scenario/faults/";
  const SourceFile late{folder + "late_edges.h", "\"late_edges\"\n"};
  const SourceFile seam{folder + "seam.h", "x\n"};
  const std::string include = "#include \"" + folder + "late_edges.h\"\n";
  const SourceFile good{folder + "catalog.h", include + "variant<LateEdges>\n"};
  EXPECT_THAT(arch::fault_catalog_findings({late, seam, good}), IsEmpty());
  EXPECT_THAT(arch::fault_catalog_findings({late, {folder + "catalog.h", include}}), SizeIs(1));
  EXPECT_THAT(arch::fault_catalog_findings({late, {folder + "catalog.h", "LateEdges\n"}}),
              SizeIs(1));
  EXPECT_THAT(arch::fault_catalog_findings({{late.path, "x\n"}, good}), SizeIs(1));
  EXPECT_THAT(arch::fault_catalog_findings({good}), SizeIs(1));
  EXPECT_THAT(arch::fault_catalog_findings({late}), SizeIs(3));
}

TEST(TopRule, CatchesAStrayFileAndAMissingPage) {
  std::vector<std::string> names = {
      ".ci",        "CMakeLists.txt", "CMakePresets.json", "DEVELOPERS.md", "README.md", "bench",
      "controller", "model",          "scenarios",         "shared",        "sim",       "tests"};
  EXPECT_THAT(arch::top_findings(names), IsEmpty());
  names.push_back("notes.txt");
  EXPECT_THAT(arch::top_findings(names), SizeIs(1));
  names.erase(names.begin() + 4);
  EXPECT_THAT(arch::top_findings(names), SizeIs(2));
}

TEST(LinkRule, CatchesALinkToNowhere) {
  const std::vector<std::string> paths = {"model/README.md", "scenarios/furrow.svg"};
  const SourceFile page{"README.md", "see [equations](model/README.md#waves) and [data](model)\n"};
  EXPECT_THAT(arch::link_findings(page, paths), IsEmpty());
  EXPECT_THAT(arch::link_findings({"README.md", "![a](scenarios/furow.svg)\n"}, paths), SizeIs(1));
  EXPECT_THAT(arch::link_findings({"model/README.md", "[a](README.md)\n"}, paths), IsEmpty());
  EXPECT_THAT(arch::link_findings({"model/a/b.md", "[a](../../scenarios/furrow.svg)\n"}, paths),
              IsEmpty());
  EXPECT_THAT(arch::link_findings({"model/a/b.md", "[a](../scenarios/furrow.svg)\n"}, paths),
              SizeIs(1));
  EXPECT_THAT(arch::link_findings({"scenarios/a.md", "[a](../model/README.md)\n"}, paths),
              IsEmpty());
  EXPECT_THAT(arch::link_findings({"scenarios/a.md", "[a](../README.md)\n"}, paths), SizeIs(1));
}
