// What tests of whole designs share: files of their own, and proofs of what was designed.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "design/design.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "value_support.hpp"

namespace gapwright::testing_support {

// A folder of its own for files of a test.
class Folder {
  public:
    Folder() {
        static std::atomic<int> number = 0;
        path_ = std::filesystem::path(testing::TempDir()) /
                ("design-" + std::to_string(getpid()) + "-" + std::to_string(number++));
        std::filesystem::create_directories(path_);
    }
    ~Folder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;

    std::string write(const std::string& name, const std::string& text) const {
        std::ofstream(path_ / name, std::ios::binary) << text;
        return (path_ / name).string();
    }

  private:
    std::filesystem::path path_;
};

inline DesignOptions quick() {
    return {.samples = 1000};
}

inline std::string need_file(const std::string& name) {
    return needs_folder + "/" + name + ".link.toml";
}

inline Drawer example_drawer() {
    return read_drawer(read_file(needs_folder + "/drawer.csv").value()).value();
}

inline std::expected<Design, DesignFailure> designed(const std::string& text,
                                                     const DesignOptions& options = quick()) {
    const Folder folder;
    folder.write("drawer.csv", [] {
        std::ostringstream drawer;
        drawer << std::ifstream(needs_folder + "/drawer.csv", std::ios::binary).rdbuf();
        return drawer.str();
    }());
    return design_file(folder.write("test.link.toml", text), options);
}

inline std::string told(const DesignFailure& failure) {
    return to_text(failure.problems) + failure.message;
}

inline Proof proven(const Link& link, std::size_t samples) {
    const auto circuit = build_circuit(link);
    EXPECT_TRUE(circuit) << to_text(circuit.error());
    auto proof = prove(link, circuit.value(),
                       {.samples = samples, .timed_samples = DesignOptions{}.timed_samples});
    EXPECT_TRUE(proof) << proof.error().message;
    return std::move(proof).value_or(Proof{});
}

// As a proof has it: by its own list of promises and ratings, assumed limits that are kept left
// out.
inline double least_reserve(const Proof& proof) {
    double least = std::numeric_limits<double>::infinity();
    for (const auto& p : proof.promises) {
        if (p.at_least) {
            least = std::min(least, reserve_left(p.lowest, *p.at_least, Sense::at_least));
        }
        if (p.at_most) {
            least = std::min(least, reserve_left(p.highest, *p.at_most, Sense::at_most));
        }
    }
    for (const auto& r : proof.ratings) {
        // What is only assumed and not passed limits nothing.
        if (!r.limit_stated && r.verdict != Verdict::unknown) continue;
        least = std::min(least, reserve_left(r.worst(), r.bound, r.sense));
    }
    return least;
}

}  // namespace gapwright::testing_support
