// The tables of examples/clock-tower/README.md that tell what is designed are what is designed.
// Where they are not, this writes them anew:
//   GAPWRIGHT_WRITE_DOCS=1 ./design_test --gtest_filter=ExampleTable.*
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <iterator>

#include "design_support.hpp"
#include "lanes/kernel.hpp"
#include "need_support.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

using namespace testing_support;

constexpr const char* document = PROJECT_FOLDER "/examples/clock-tower/README.md";
const std::string begin =
    "<!-- the six needs: written by tests/design/example_table_test.cpp -->\n";
const std::string end = "<!-- end of the six needs -->\n";

std::string row(const std::string& name) {
    const auto design = design_file(
        needs_folder + "/" + name + ".link.toml",
        // By the kernel that every machine has: one need's worst cases lie at a cliff, and there
        // the last digit decides.
        {.samples = 2000, .engine = {.kernel = std::string(usable_kernels().front().name)}});
    if (!design) return fmt::format("| `{}` | {} |\n", name, design.error().message);
    const Answer& answer = design->answers.front();
    std::vector<std::string> values;
    for (const auto& value : answer.values) {
        values.push_back(fmt::format("{} {}", value.part, value.text));
    }
    const auto& stretch = answer.proof->stretch;
    return fmt::format("| `{}` | {} · {} | {} | {} | {} | {} | {}, {} |\n", name,
                       answer.draft->input, answer.draft->output, answer.draft->gap,
                       fmt::join(values, ", "), percent(answer.limit.reserve),
                       stretch ? fmt::format("{:.1f}", stretch->stretch.factor) : "",
                       answer.limit.subject, answer.limit.state);
}

TEST(ExampleTable, OfTheSixNeedsIsWhatIsDesigned) {
    std::string table =
        "| need | arrangement, input · output | gap | values | least reserve | stretch | what "
        "limits "
        "it |\n| --- | --- | --- | --- | ---: | ---: | --- |\n";
    for (const auto& name : example_needs()) table += row(name);
    std::ifstream stream(document, std::ios::binary);
    std::string text{std::istreambuf_iterator<char>(stream), {}};
    const auto from = text.find(begin);
    const auto to = text.find(end);
    ASSERT_NE(from, std::string::npos);
    ASSERT_NE(to, std::string::npos);
    const std::string there = text.substr(from + begin.size(), to - from - begin.size());
    if (std::getenv("GAPWRIGHT_WRITE_DOCS") != nullptr) {
        text.replace(from + begin.size(), there.size(), table);
        std::ofstream(document, std::ios::binary) << text;
        return;
    }
    EXPECT_EQ(there, table);
}

}  // namespace
}  // namespace gapwright
