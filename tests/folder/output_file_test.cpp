// What a command writes: nothing of the user's is lost.
#include "folder/output_file.hpp"

#include <gtest/gtest.h>

#include "folder/scratch.hpp"

namespace gapwright {
namespace {

using Kind = Obstacle::Kind;

class Outputs : public testing::Test {
  protected:
    Outputs() {
        scratch_.write("link.toml", "the link");
        scratch_.write("plan.csv", "changed by hand");
    }

    std::vector<Kind> obstacles(const std::vector<std::string>& names, bool replace) const {
        std::vector<fs::path> paths;
        for (const auto& name : names) paths.push_back(scratch_ / name);
        std::vector<Kind> kinds;
        for (const auto& o : find_obstacles(paths, rule(replace))) kinds.push_back(o.kind);
        return kinds;
    }
    OutputRule rule(bool replace) const {
        return {.replace = replace, .inputs = {(scratch_ / "link.toml").string()}};
    }
    OutputFile file(const std::string& name, const std::string& text) const {
        return {.path = scratch_ / name, .text = text};
    }

    Scratch scratch_;
};

TEST_F(Outputs, NeverGoOverWhatTheRunReads) {
    fs::create_symlink("link.toml", scratch_ / "by-link");
    fs::create_hard_link(scratch_ / "link.toml", scratch_ / "second-name");
    fs::create_directory(scratch_ / "sub");
    for (const char* name : {"link.toml", "by-link", "second-name", "sub/../link.toml"}) {
        EXPECT_EQ(obstacles({name}, true), std::vector{Kind::is_input}) << name;
        const auto written = write_outputs({file(name, "new")}, rule(true));
        ASSERT_FALSE(written) << name;
        EXPECT_EQ(written.error().obstacles.front().kind, Kind::is_input);
    }
    EXPECT_EQ(scratch_.read("link.toml"), "the link");
}

TEST_F(Outputs, ReplaceOnlyWhereThatIsAskedFor) {
    EXPECT_EQ(obstacles({"plan.csv", "new.csv"}, false), std::vector{Kind::is_there});
    EXPECT_TRUE(obstacles({"plan.csv", "new.csv"}, true).empty());
    fs::create_symlink("nowhere", scratch_ / "dangling");
    EXPECT_EQ(obstacles({"dangling"}, false), std::vector{Kind::is_there});

    const auto refused =
        write_outputs({file("new.csv", "new"), file("plan.csv", "new")}, rule(false));
    ASSERT_FALSE(refused);
    ASSERT_EQ(refused.error().obstacles.size(), 1U);
    EXPECT_EQ(refused.error().obstacles.front().path, scratch_ / "plan.csv");
    EXPECT_EQ(scratch_.read("plan.csv"), "changed by hand");
    EXPECT_EQ(scratch_.read("new.csv"), "(no file)");  // all or nothing

    EXPECT_TRUE(write_outputs({file("new.csv", "new"), file("plan.csv", "new")}, rule(true)));
    EXPECT_EQ(scratch_.read("plan.csv"), "new");
    EXPECT_EQ(scratch_.read("new.csv"), "new");
}

TEST_F(Outputs, LeaveAFileThatIsTheSameAlready) {
    const auto before = fs::last_write_time(scratch_ / "plan.csv");
    EXPECT_TRUE(write_outputs({file("plan.csv", "changed by hand"), file("a", "a")}, rule(false)));
    EXPECT_EQ(fs::last_write_time(scratch_ / "plan.csv"), before);
    EXPECT_EQ(scratch_.read("a"), "a");
    EXPECT_FALSE(write_outputs({file("plan.csv", "changed by hanD")}, rule(false)));
}

TEST_F(Outputs, AreNotTwoOfOneName) {
    EXPECT_EQ(obstacles({"a", "./a"}, true), std::vector{Kind::named_twice});
    EXPECT_FALSE(write_outputs({file("a", "1"), file("./a", "2")}, rule(true)));
    EXPECT_EQ(scratch_.read("a"), "(no file)");
}

TEST_F(Outputs, TellWhatTheSystemRefuses) {
    const auto written = write_outputs({file("none/a", "1")}, rule(false));
    ASSERT_FALSE(written);
    EXPECT_TRUE(written.error().obstacles.empty());
    EXPECT_NE(written.error().reason.find("there is no such folder"), std::string::npos);
    EXPECT_TRUE(write_outputs({{.path = scratch_ / "none/a", .text = "1", .make_folder = true}},
                              rule(false)));
    EXPECT_EQ(scratch_.read("none/a"), "1");
}

}  // namespace
}  // namespace gapwright
