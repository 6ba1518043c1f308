// Records of the bench are whole or absent: written at once, on a full disk, killed on the way.
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <fstream>
#include <set>
#include <thread>

#include "support/record_folder.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;
using testing_support::content;
using testing_support::long_record;
using testing_support::parsed;
using testing_support::plain_record;
using testing_support::text_of;
using RecordSafety = testing_support::RecordFolder;

TEST_F(RecordSafety, WrittenAtOnceAreAllThere) {
    constexpr int writers = 8;
    constexpr int each = 10;
    std::vector<std::thread> threads;
    for (int k = 0; k < writers; ++k) {
        threads.emplace_back([&, k] {
            for (int n = 0; n < each; ++n) {
                BenchRecord record = long_record(fmt::format("{} {}", k, n));
                record.when[9] = static_cast<char>('0' + k);  // numbers differ where dates do
                const auto path = append_record(link_, record);
                EXPECT_TRUE(path) << path.error();
            }
        });
    }
    for (auto& thread : threads) thread.join();
    const auto names = records();
    ASSERT_EQ(names.size(), writers * each);
    std::set<std::string> authors;
    for (std::size_t k = 0; k < names.size(); ++k) {
        EXPECT_TRUE(names[k].starts_with(fmt::format("{:04}-", k + 1))) << names[k];
        const TomlTable root = parsed(content(folder() / names[k]));
        authors.insert(text_of(root, "who"));
        EXPECT_EQ(root.find("reading")->value.array()->size(), 400U);
    }
    EXPECT_EQ(authors.size(), names.size());
    EXPECT_EQ(std::distance(fs::directory_iterator(folder()), {}), writers * each);
}

// Runs `act` in a child process; how it ended, as waitpid tells.
template <class Act>
pid_t start(Act&& act) {
    const pid_t child = fork();
    if (child == 0) _exit(act());
    return child;
}

int end_of(pid_t child) {
    int status = 0;
    EXPECT_EQ(waitpid(child, &status, 0), child);
    return status;
}

TEST_F(RecordSafety, OfProcessesAtOnceAreAllThere) {
    std::vector<pid_t> children;
    for (int k = 0; k < 8; ++k) {
        children.push_back(start([&] {
            for (int n = 0; n < 5; ++n) {
                if (!append_record(link_, long_record("somebody"))) return 1;
            }
            return 0;
        }));
    }
    for (const pid_t child : children) EXPECT_EQ(end_of(child), 0);
    const auto names = records();
    ASSERT_EQ(names.size(), 40U);
    EXPECT_EQ(names.back(), "0040-2026-11-26.toml");
    for (const auto& name : names) {
        EXPECT_EQ(content(folder() / name), record_toml(long_record("somebody")));
    }
}

TEST_F(RecordSafety, ThatDoNotFitLeaveNothing) {
    ASSERT_TRUE(append_record(link_, plain_record()));
    const std::string before = content(folder() / "0001-2026-11-26.toml");
    const pid_t child = start([&] {
        std::signal(SIGXFSZ, SIG_IGN);
        const rlimit limit{.rlim_cur = 3000, .rlim_max = 3000};
        if (setrlimit(RLIMIT_FSIZE, &limit) != 0) return 2;
        const auto path = append_record(link_, long_record("somebody"));
        if (path) return 3;
        const bool clear = path.error().starts_with(folder().string()) &&
                           path.error().find("larger than is allowed") != std::string::npos;
        return clear ? 0 : 4;
    });
    EXPECT_EQ(end_of(child), 0);
    EXPECT_EQ(records(), std::vector<std::string>{"0001-2026-11-26.toml"});
    EXPECT_EQ(std::distance(fs::directory_iterator(folder()), {}), 1);
    EXPECT_EQ(content(folder() / "0001-2026-11-26.toml"), before);
}

TEST_F(RecordSafety, TellWhereTheyCannotBeKept) {
    std::ofstream(folder()) << "a file in the folder's place";
    const auto blocked = append_record(link_, plain_record());
    ASSERT_FALSE(blocked);
    EXPECT_NE(blocked.error().find("bell-hammer.bench cannot be"), std::string::npos)
        << blocked.error();
    const auto nowhere = append_record(home_ / "none" / "x.link.toml", plain_record());
    ASSERT_FALSE(nowhere);
    EXPECT_NE(nowhere.error().find("x.bench cannot be made: No such file"), std::string::npos)
        << nowhere.error();
}

TEST_F(RecordSafety, RespectPermissions) {
    if (geteuid() == 0) GTEST_SKIP() << "root: may write everywhere";
    ASSERT_TRUE(append_record(link_, plain_record()));
    fs::permissions(folder(), fs::perms::owner_read | fs::perms::owner_exec);
    const auto path = append_record(link_, plain_record());
    fs::permissions(folder(), fs::perms::owner_all);
    ASSERT_FALSE(path);
    EXPECT_NE(path.error().find("you have no permission"), std::string::npos);
    EXPECT_EQ(records().size(), 1U);
}

// However a process ends, what it leaves is whole; what it left behind stops nobody.
TEST_F(RecordSafety, AreWholeOrAbsentAfterAKill) {
    const std::string whole = record_toml(long_record("somebody"));
#ifdef GAPWRIGHT_SANITIZE
    constexpr unsigned longest = 60'000;  // µs, of a life: everything takes longer
#else
    constexpr unsigned longest = 6'000;
#endif
    unsigned random = 1;
    std::size_t kills = 0;
    bool met_a_write = false;
    for (int k = 0; k < 300; ++k) {
        const pid_t child = start([&] {
            while (append_record(link_, long_record("somebody"))) continue;
            return 1;
        });
        random = random * 1664525U + 1013904223U;
        usleep(200 + (random >> 8U) % longest);
        kill(child, SIGKILL);
        const int status = end_of(child);
        kills += WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL ? 1 : 0;
        std::error_code none_yet;
        for (const auto& file : fs::directory_iterator(folder(), none_yet)) {
            met_a_write = met_a_write || file.path().extension() == ".part";
        }
    }
    EXPECT_EQ(kills, 300U);
    const auto path = append_record(link_, long_record("somebody"));
    ASSERT_TRUE(path) << path.error();
    const auto names = records();
    EXPECT_GT(names.size(), 1U);
    for (std::size_t k = 0; k < names.size(); ++k) {
        EXPECT_EQ(names[k], fmt::format("{:04}-2026-11-26.toml", k + 1));
        EXPECT_EQ(content(folder() / names[k]), whole) << names[k];
    }
    // Otherwise no kill has met a write, and this would have shown nothing.
    EXPECT_TRUE(met_a_write);
    // Who came next has tidied up.
    const auto all = std::distance(fs::directory_iterator(folder()), {});
    EXPECT_EQ(static_cast<std::size_t>(all), names.size());
}

}  // namespace
}  // namespace gapwright
