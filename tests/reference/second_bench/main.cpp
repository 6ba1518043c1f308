// Prints how the program's fault finding does at the second bench:
//   second_bench [--faulty N] [--good N] [--seed S] [--each] [--resistor] [LINK …]
// N sessions of each link (50 and 20); all ten links where none is named. --each tells every
// session, not the misses alone; --resistor takes a meter whose junction test drives its current
// through a resistor in place of a constant one.
#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>
#include <exception>
#include <string>

#include "reference/second_bench/session_table.hpp"

namespace {

void say(const std::string& line) {
    fmt::print("{}\n", line);
    std::fflush(stdout);
}

}  // namespace

int main(int count, char** words) {
    gapwright::reference::SessionPlan plan;
    try {
        for (int k = 1; k < count; ++k) {
            const std::string word = words[k];
            const auto number = [&] { return k + 1 < count ? std::stoul(words[++k]) : 0UL; };
            if (word == "--faulty") {
                plan.faulty = number();
            } else if (word == "--good") {
                plan.good = number();
            } else if (word == "--seed") {
                plan.seed = number();
            } else if (word == "--each") {
                plan.tell_each = true;
            } else if (word == "--resistor") {
                plan.junction_test = gapwright::reference::JunctionTest::resistor;
            } else if (word.starts_with("--")) {
                fmt::print(stderr, "unknown option {}\n", word);
                return EXIT_FAILURE;
            } else {
                plan.links.push_back(word);
            }
        }
        if (plan.links.empty()) plan.links = gapwright::reference::bench_links(PROJECT_FOLDER);
        const auto table = gapwright::reference::run_sessions(plan, say);
        fmt::print("\n{}", table_text(table));
    } catch (const std::exception& problem) {
        fmt::print(stderr, "{}\n", problem.what());
        return EXIT_FAILURE;
    }
    return EXIT_SUCCESS;
}
