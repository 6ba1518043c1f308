// One save: what it leaves, keeps and refuses.
#include "folder/atomic_save.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>

#include <thread>

#include "folder/folder.hpp"
#include "folder/scratch.hpp"

namespace gapwright {
namespace {

mode_t permissions(const fs::path& path) {
    struct stat status = {};
    return ::stat(path.c_str(), &status) == 0 ? status.st_mode & mode_t{07777} : 0;
}

// The number of a process that has ended.
pid_t gone_process() {
    const pid_t child = ::fork();
    if (child == 0) ::_exit(0);
    ::waitpid(child, nullptr, 0);
    return child;
}

class Saving : public testing::Test {
  protected:
    std::expected<FileStamp, SaveFailure> save(const std::string& name, std::string_view text,
                                               const SaveOptions& options = {}) {
        return folder_.save(name, text, options);
    }

    Scratch scratch_;
    Folder folder_ = Folder::open(scratch_.path()).value();
};

TEST_F(Saving, ReplacesAndLeavesNothingBeside) {
    scratch_.write("a.txt", "old");
    const auto stamp = save("a.txt", "new");
    ASSERT_TRUE(stamp.has_value());
    EXPECT_EQ(scratch_.read("a.txt"), "new");
    EXPECT_EQ(scratch_.names(), std::set<std::string>{"a.txt"});
    const auto now = folder_.stamp("a.txt").value();
    EXPECT_EQ(now.inode, stamp->inode);
    EXPECT_EQ(now.modified, stamp->modified);
    EXPECT_EQ(now.size, 3U);
}

TEST_F(Saving, KeepsPermissionsAndGivesUsualOnesToNewFiles) {
    for (const mode_t mode : {mode_t{0600}, mode_t{0644}, mode_t{0664}, mode_t{0755}}) {
        scratch_.write("a.txt", "old");
        ::chmod((scratch_ / "a.txt").c_str(), mode);
        ASSERT_TRUE(save("a.txt", "new").has_value());
        EXPECT_EQ(permissions(scratch_ / "a.txt"), mode);
    }
    const mode_t mask = ::umask(027);
    const auto saved = save("b.txt", "new");
    ::umask(mask);
    ASSERT_TRUE(saved.has_value());
    EXPECT_EQ(permissions(scratch_ / "b.txt"), mode_t{0640});
}

TEST_F(Saving, DoesNotReplaceWhatIsNotToBeReplaced) {
    scratch_.write("a.txt", "old");
    const auto saved = save("a.txt", "new", {.replace = false});
    ASSERT_FALSE(saved.has_value());
    EXPECT_TRUE(saved.error().exists);
    EXPECT_NE(saved.error().reason.find("is there already"), std::string::npos);
    EXPECT_EQ(scratch_.read("a.txt"), "old");
    // One that appears at the last moment.
    const SaveOptions late{.replace = false,
                           .last_look = [&]() -> std::expected<void, std::string> {
                               scratch_.write("b.txt", "another's");
                               return {};
                           }};
    EXPECT_TRUE(save("b.txt", "new", late).error().exists);
    EXPECT_EQ(scratch_.read("b.txt"), "another's");
    EXPECT_TRUE(save("c.txt", "new", {.replace = false}).has_value());
    EXPECT_EQ(scratch_.names(), (std::set<std::string>{"a.txt", "b.txt", "c.txt"}));
}

TEST_F(Saving, IsCalledOffByTheLastLook) {
    scratch_.write("a.txt", "old");
    const SaveOptions options{.last_look = []() -> std::expected<void, std::string> {
        return std::unexpected("not now");
    }};
    EXPECT_EQ(save("a.txt", "new", options).error().reason, "a.txt was not saved: not now");
    EXPECT_EQ(scratch_.read("a.txt"), "old");
    EXPECT_EQ(scratch_.names(), std::set<std::string>{"a.txt"});
}

TEST_F(Saving, RefusesWhatIsWriteProtected) {
    scratch_.write("a.txt", "old");
    ::chmod((scratch_ / "a.txt").c_str(), 0444);
    ::chmod(scratch_.path().c_str(), 0777);
    // Nothing is write-protected for root, so be somebody else for a while.
    const uid_t user = ::geteuid();
    ASSERT_TRUE(user != 0 || ::seteuid(65534) == 0);
    const auto saved = save("a.txt", "new");
    const auto made = save("b.txt", "new");
    ASSERT_TRUE(user != 0 || ::seteuid(user) == 0);
    EXPECT_NE(saved.error().reason.find("write-protected"), std::string::npos);
    EXPECT_EQ(scratch_.read("a.txt"), "old");
    EXPECT_TRUE(made.has_value());
}

TEST_F(Saving, RemovesOnlyWhatTheDeadHaveLeft) {
    const pid_t gone = gone_process();
    const std::string mine = fmt::format(".a.txt.{}-7.part", ::getpid());
    const std::string running = fmt::format(".a.txt.{}-7.part", ::getppid());
    const std::string held = fmt::format(".a.txt.{}-8.part", gone);
    const std::string others = fmt::format(".b.txt.{}-7.part", gone);
    for (const auto& name :
         {mine, running, held, others, fmt::format(".a.txt.{}-7.part", gone),
          fmt::format(".a.txt.{}-12.part", gone), fmt::format(".a.txt.{}.part", gone),
          fmt::format(".a.txt.{}-7x.part", gone), std::string(".a.txt.part")}) {
        scratch_.write(name, "part");
    }
    const OwnedDescriptor holder(::open((scratch_ / held).c_str(), O_RDONLY));
    ASSERT_EQ(::flock(holder.number(), LOCK_EX), 0);
    ASSERT_TRUE(save("a.txt", "new").has_value());
    EXPECT_EQ(scratch_.names(),
              (std::set<std::string>{"a.txt", mine, running, held, others, ".a.txt.part",
                                     fmt::format(".a.txt.{}.part", gone),
                                     fmt::format(".a.txt.{}-7x.part", gone)}));
}

TEST_F(Saving, TakesLongNames) {
    const std::string longest(251, 'n');
    ASSERT_TRUE(save(longest, "new").has_value());
    EXPECT_EQ(scratch_.read(longest), "new");
    std::string accents;
    for (int i = 0; i < 110; ++i) accents += "ä";
    ASSERT_TRUE(save(accents, "new").has_value());
    EXPECT_EQ(scratch_.names(), (std::set<std::string>{longest, accents}));
}

TEST_F(Saving, AtAPathFollowsALinkAndKeepsIt) {
    scratch_.write("real/a.txt", "old");
    fs::create_symlink("real/a.txt", scratch_ / "link.txt");
    ASSERT_TRUE(save_at(scratch_ / "link.txt", "new", {.outlasts = false}).has_value());
    EXPECT_EQ(scratch_.read("real/a.txt"), "new");
    EXPECT_TRUE(fs::is_symlink(scratch_ / "link.txt"));
    ASSERT_TRUE(save_at(scratch_ / "b.txt", "new").has_value());
    EXPECT_EQ(scratch_.read("b.txt"), "new");
    EXPECT_EQ(save_at(scratch_ / "none/a.txt", "new").error().reason,
              (scratch_ / "none/a.txt").string() + " was not saved: there is no such folder");
    EXPECT_FALSE(save_at(scratch_ / "real", "new").has_value());
    EXPECT_FALSE(save_at("/dev/null", "new").has_value());
    EXPECT_TRUE(fs::is_character_file("/dev/null"));
}

// The system writes a part and then refuses the rest.
TEST_F(Saving, SurvivesAFileThatMayNotGrow) {
    scratch_.write("a.txt", "old");
    const std::string large(100'000, 'x');
    struct rlimit before = {};
    ASSERT_EQ(::getrlimit(RLIMIT_FSIZE, &before), 0);
    const auto handler = ::signal(SIGXFSZ, SIG_IGN);
    struct rlimit small = before;
    small.rlim_cur = 50'000;
    ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &small), 0);
    const auto saved = save("a.txt", large);
    ::setrlimit(RLIMIT_FSIZE, &before);
    ::signal(SIGXFSZ, handler);
    ASSERT_FALSE(saved.has_value());
    EXPECT_NE(saved.error().reason.find("larger than is allowed"), std::string::npos);
    EXPECT_EQ(scratch_.read("a.txt"), "old");
    EXPECT_EQ(scratch_.names(), std::set<std::string>{"a.txt"});
    EXPECT_TRUE(save("a.txt", large).has_value());
    EXPECT_EQ(scratch_.read("a.txt"), large);
}

TEST_F(Saving, ByManyThreadsLeavesOneOfTheirTexts) {
    scratch_.write("a.txt", std::string(10'000, '0'));
    {
        std::vector<std::jthread> threads;
        for (char digit = '1'; digit <= '8'; ++digit) {
            threads.emplace_back([this, digit] {
                for (int i = 0; i < 20; ++i) {
                    EXPECT_TRUE(save("a.txt", std::string(10'000, digit)).has_value());
                    const auto text = folder_.read("a.txt").value().text;
                    EXPECT_EQ(text, std::string(10'000, text.at(0)));
                }
            });
        }
    }
    EXPECT_EQ(scratch_.names(), std::set<std::string>{"a.txt"});
}

}  // namespace
}  // namespace gapwright
