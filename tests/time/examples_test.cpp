// Every example follows every change of its states to rest.
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <filesystem>

#include "support/link_text.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {
namespace {

std::vector<std::string> example_files() {
    std::vector<std::string> files;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        const std::string path = entry.path();
        if (path.ends_with(".link.toml")) files.push_back(path);
    }
    std::ranges::sort(files);
    return files;
}

TEST(ExamplesInTime, ComeToRest) {
    for (const auto& file : example_files()) {
        const auto link = read_link_file(file);
        ASSERT_TRUE(link) << file;
        const auto circuit = build_circuit(*link);
        ASSERT_TRUE(circuit) << file;
        const Specimen specimen = nominal_specimen(*circuit, condition_ranges(*link));
        for (std::size_t a = 0; a < link->states.size(); ++a) {
            for (std::size_t b = 0; b < link->states.size(); ++b) {
                if (a == b) continue;
                const auto started = std::chrono::steady_clock::now();
                const auto run = specimen_wave(circuit->circuit, specimen,
                                               {.from = static_cast<StateIndex>(a),
                                                .changes = {{0, static_cast<StateIndex>(b)}}},
                                               {});
                ASSERT_TRUE(run) << file << ' ' << a << b << ' ' << run.error().message << ' '
                                 << run.error().at;
                EXPECT_TRUE(run->wave.rested) << file << ' ' << a << b;
                const std::chrono::duration<double> took =
                    std::chrono::steady_clock::now() - started;
                printf("%s %zu>%zu end %.3g s, %zu steps, %.2f ms\n", file.c_str() + 35, a, b,
                       run->wave.end, run->wave.steps, took.count() * 1e3);
            }
        }
    }
}

}  // namespace
}  // namespace gapwright
