// Every command shown in README.md and docs/ is run, and what it prints is what the document shows.
//
// In a ```console block a line "$ build/release/gapwright …" is a command, run in the project's
// folder; what follows until the next command or the block's end is its output, whole, or with
// "…" alone on a line for lines left out.
#include <gtest/gtest.h>

#include <sstream>

#include "support/run_program.hpp"

namespace {

namespace fs = std::filesystem;

struct Example {
    std::string document;
    std::string arguments;
    std::vector<std::string> shown;
};

std::vector<Example> examples() {
    std::vector<fs::path> documents = {fs::path(PROJECT_FOLDER) / "README.md"};
    for (const auto& entry : fs::directory_iterator(fs::path(PROJECT_FOLDER) / "docs")) {
        if (entry.path().extension() == ".md") documents.push_back(entry.path());
    }
    documents.emplace_back(fs::path(PROJECT_FOLDER) / "examples/clock-tower/README.md");
    const std::string prompt = "$ build/release/gapwright ";
    std::vector<Example> found;
    for (const auto& document : documents) {
        std::istringstream lines(gapwright::testing_support::text_of_file(document));
        std::string line;
        bool inside = false;
        bool command = false;
        while (std::getline(lines, line)) {
            if (line.starts_with("```")) {
                inside = line == "```console";
                command = false;
            } else if (inside && line.starts_with(prompt)) {
                found.push_back({document.filename().string(), line.substr(prompt.size()), {}});
                command = true;
            } else if (inside && line.starts_with("$ ")) {
                command = false;
            } else if (inside && command) {
                found.back().shown.push_back(line);
            }
        }
    }
    return found;
}

// Whether `lines` are what is shown, "…" standing for any number of lines.
bool matches(const std::vector<std::string>& shown, std::size_t s,
             const std::vector<std::string>& lines, std::size_t k) {
    for (; s < shown.size(); ++s, ++k) {
        if (shown[s] == "…") {
            for (std::size_t skip = k; skip <= lines.size(); ++skip) {
                if (matches(shown, s + 1, lines, skip)) return true;
            }
            return false;
        }
        if (k >= lines.size() || lines[k] != shown[s]) return false;
    }
    return k == lines.size();
}

TEST(Documents, ShowWhatTheProgramPrints) {
    const auto all = examples();
    ASSERT_GE(all.size(), 3U);
    for (const auto& example : all) {
        const auto outcome =
            gapwright::testing_support::run_program(example.arguments, PROJECT_FOLDER);
        std::vector<std::string> lines;
        std::istringstream stream(outcome.out + outcome.err);
        for (std::string line; std::getline(stream, line);) lines.push_back(line);
        EXPECT_TRUE(matches(example.shown, 0, lines, 0))
            << example.document << ": " << example.arguments << "\n"
            << outcome.out << outcome.err;
    }
}

}  // namespace
