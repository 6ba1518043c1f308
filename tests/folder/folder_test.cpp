// What of a folder can be reached, and that nothing else can.
#include "folder/folder.hpp"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <thread>

#include "folder/file_ids.hpp"
#include "folder/scratch.hpp"

namespace gapwright {
namespace {

// A folder "work" with secrets beside it and links to them in it.
class HostilePaths : public testing::Test {
  protected:
    HostilePaths() {
        scratch_.write("secret.txt", "secret");
        scratch_.write("work-evil/secret.txt", "secret");
        scratch_.write("work/bell.link.toml", "bell");
        scratch_.write("work/cards/opto.card.toml", "opto");
        fs::create_symlink("../secret.txt", scratch_ / "work/link.txt");
        fs::create_symlink("bell.link.toml", scratch_ / "work/inner.txt");
        fs::create_symlink("..", scratch_ / "work/up");
        fs::create_symlink("/etc", scratch_ / "work/etc");
        fs::create_symlink("cards", scratch_ / "work/cards2");
        ::mkfifo((scratch_ / "work/fifo").c_str(), 0600);
        folder_ = std::make_unique<Folder>(Folder::open(scratch_ / "work").value());
    }

    FileFault fault_of(std::string_view path) {
        const auto content = folder_->read(path);
        EXPECT_FALSE(content.has_value()) << path;
        return content ? FileFault::unreadable : content.error().kind;
    }

    Scratch scratch_;
    std::unique_ptr<Folder> folder_;
};

std::vector<std::string> paths_that_lead_out(const fs::path& absolute) {
    using namespace std::string_literals;
    return {"",
            ".",
            "..",
            "/",
            "../secret.txt",
            "../work/bell.link.toml",
            "cards/../bell.link.toml",
            "cards/../../secret.txt",
            "a/../../secret.txt",
            "./bell.link.toml",
            "cards//opto.card.toml",
            "bell.link.toml/",
            "/etc/passwd",
            absolute.string(),
            "../work-evil/secret.txt",
            "up/secret.txt",
            "up/work/bell.link.toml",
            "etc/passwd",
            "cards2/opto.card.toml",
            "link.txt",
            "inner.txt",
            "fifo",
            "cards",
            "%2e%2e/secret.txt",
            "..%2fsecret.txt",
            "%2e%2e%2fsecret.txt",
            "..\\secret.txt",
            "bell.link.toml\0"s,
            "bell.link.toml\0.txt"s,
            "\0"s,
            std::string(300, 'a'),
            std::string(100'000, 'a'),
            std::string("cards/") + std::string(5000, '/') + "opto.card.toml",
            []() {
                std::string deep;
                for (int i = 0; i < 1000; ++i) deep += "a/";
                return deep + "x";
            }(),
            "bell.link.toml/x",
            "~/secret.txt",
            "/proc/self/environ"};
}

TEST_F(HostilePaths, AreNotRead) {
    for (const auto& path : paths_that_lead_out(scratch_ / "work/bell.link.toml")) {
        fault_of(path);
    }
    EXPECT_EQ(folder_->read("bell.link.toml")->text, "bell");
    EXPECT_EQ(folder_->read("cards/opto.card.toml")->text, "opto");
}

TEST_F(HostilePaths, AreToldApart) {
    EXPECT_EQ(fault_of(".."), FileFault::bad_path);
    EXPECT_EQ(fault_of("/etc/passwd"), FileFault::bad_path);
    EXPECT_EQ(fault_of(std::string("bell.link.toml\0", 15)), FileFault::bad_path);
    EXPECT_EQ(fault_of("link.txt"), FileFault::not_a_file);
    EXPECT_EQ(fault_of("up/secret.txt"), FileFault::not_a_file);
    EXPECT_EQ(fault_of("fifo"), FileFault::not_a_file);
    EXPECT_EQ(fault_of("cards"), FileFault::not_a_file);
    EXPECT_EQ(fault_of("none.txt"), FileFault::missing);
    EXPECT_EQ(fault_of("%2e%2e/secret.txt"), FileFault::missing);
}

TEST_F(HostilePaths, AreNotWritten) {
    using namespace std::string_literals;
    for (const auto& path : paths_that_lead_out(scratch_ / "work/bell.link.toml")) {
        // Names that are only odd would be made, and rightly.
        if (path == "%2e%2e%2fsecret.txt" || path == "..%2fsecret.txt" || path == "..\\secret.txt")
            continue;
        EXPECT_FALSE(folder_->save(path, "broken").has_value()) << path;
    }
    EXPECT_EQ(scratch_.read("secret.txt"), "secret");
    EXPECT_EQ(scratch_.read("work-evil/secret.txt"), "secret");
    EXPECT_EQ(scratch_.read("work/bell.link.toml"), "bell");
    EXPECT_EQ(scratch_.read("work/cards/opto.card.toml"), "opto");
    EXPECT_TRUE(fs::is_symlink(scratch_ / "work/link.txt"));
    EXPECT_TRUE(fs::is_fifo(scratch_ / "work/fifo"));
    EXPECT_EQ(scratch_.names(), (std::set<std::string>{"secret.txt", "work", "work-evil"}));
}

// A folder that becomes a link while it is read through leads out at no moment.
TEST_F(HostilePaths, AreNotReadWhileFoldersBecomeLinks) {
    scratch_.write("out/file.txt", "secret");
    scratch_.write("work/turn/file.txt", "plain");
    fs::create_symlink("../out", scratch_ / "work/other");
    const auto here = scratch_ / "work/turn";
    const auto there = scratch_ / "work/other";
    std::jthread turner([&](const std::stop_token& stop) {
        while (!stop.stop_requested()) {
            ::renameat2(AT_FDCWD, here.c_str(), AT_FDCWD, there.c_str(), RENAME_EXCHANGE);
        }
    });
    int plain = 0;
    for (int i = 0; i < 3000; ++i) {
        const auto content = folder_->read("turn/file.txt");
        if (!content) continue;
        ASSERT_EQ(content->text, "plain");
        ++plain;
    }
    EXPECT_GT(plain, 0);
}

TEST_F(HostilePaths, AreNotListed) {
    scratch_.write("work/.hidden.txt", "");
    scratch_.write("work/.git/config", "");
    scratch_.write("work/\xFF.txt", "");
    scratch_.write("work/a/b/c/deep.txt", "1234");
    scratch_.write("work/a/b/c/d/deeper.txt", "");
    std::vector<std::string> paths;
    const auto listing = folder_->list();
    for (const auto& file : listing.files) paths.push_back(file.path);
    EXPECT_EQ(paths, (std::vector<std::string>{"a/b/c/deep.txt", "bell.link.toml",
                                               "cards/opto.card.toml"}));
    EXPECT_EQ(listing.files[0].size, 4U);
    EXPECT_GT(listing.files[0].changed, 1'600'000'000'000'000'000);
    EXPECT_FALSE(listing.cut);
    EXPECT_TRUE(listing.unread.empty());
}

TEST(Folder, SaysWhereItsListIsCut) {
    const Scratch scratch;
    for (std::size_t i = 0; i <= Folder::most_files; ++i) scratch.write(std::to_string(i), "");
    const auto listing = Folder::open(scratch.path())->list();
    EXPECT_EQ(listing.files.size(), Folder::most_files);
    EXPECT_TRUE(listing.cut);
}

TEST(Folder, ReadsUpToItsLimit) {
    const Scratch scratch;
    scratch.write("a", std::string(1000, 'x'));
    scratch.write("empty", "");
    const auto folder = Folder::open(scratch.path()).value();
    EXPECT_EQ(folder.read("a", 1000)->text, std::string(1000, 'x'));
    EXPECT_EQ(folder.read("a", 999).error().kind, FileFault::too_large);
    EXPECT_EQ(folder.read("empty", 0)->text, "");
}

TEST(Folder, StaysTheSameWhenItIsMoved) {
    const Scratch scratch;
    scratch.write("one/a", "mine");
    scratch.write("two/a", "another's");
    const auto folder = Folder::open(scratch / "one").value();
    fs::rename(scratch / "one", scratch / "three");
    fs::rename(scratch / "two", scratch / "one");
    EXPECT_EQ(folder.read("a")->text, "mine");
}

TEST(Folder, ThatIsNoneIsToldInWords) {
    const Scratch scratch;
    scratch.write("file", "");
    EXPECT_NE(Folder::open(scratch / "file").error().find("this is no folder"), std::string::npos);
    EXPECT_NE(Folder::open(scratch / "x").error().find("there is no such folder"),
              std::string::npos);
}

TEST(NewFileName, TakesWhatIsAllowedAndAddsTheEnding) {
    const auto name = [](std::string_view typed) { return new_file_name(typed, ".link.toml"); };
    EXPECT_EQ(name("bell"), "bell.link.toml");
    EXPECT_EQ(name("  bell.link.toml "), "bell.link.toml");
    EXPECT_EQ(name("Bell_2-b.1"), "Bell_2-b.1.link.toml");
    EXPECT_EQ(name(std::string(90, 'a')), std::string(90, 'a') + ".link.toml");
    for (const std::string typed : {"", "   ", ".link.toml", ".bell", "..", "../bell", "a/b",
                                    "a\\b", "a b", "bell\n", "höf", "a:b", "CON*", "%2e", "~x"}) {
        EXPECT_FALSE(name(typed).has_value()) << typed;
    }
    EXPECT_FALSE(name(std::string("a\0b", 3)).has_value());
    EXPECT_FALSE(name(std::string(91, 'a')).has_value());
    EXPECT_NE(name("a b").error().find("letters a to z"), std::string::npos);
    EXPECT_NE(name(std::string(91, 'a')).error().find("100"), std::string::npos);
}

TEST(FileIds, AreStableAndMeanNothingElse) {
    FileIds ids;
    std::set<std::string> given;
    for (int i = 0; i < 1000; ++i) given.insert(ids.id_of(std::to_string(i)));
    EXPECT_EQ(given.size(), 1000U);
    const auto id = ids.id_of("bell.link.toml");
    EXPECT_EQ(id.size(), 16U);
    EXPECT_EQ(ids.id_of("bell.link.toml"), id);
    EXPECT_EQ(ids.path_of(id), "bell.link.toml");
    EXPECT_EQ(FileIds().id_of("bell.link.toml"), id);  // at the next start, too
    EXPECT_EQ(FileIds().path_of(id), std::nullopt);
    for (const std::string other : {"", "bell.link.toml", "../x", "0000000000000000"}) {
        EXPECT_EQ(ids.path_of(other), std::nullopt);
    }
    EXPECT_EQ(ids.path_of(id + "0"), std::nullopt);
    EXPECT_EQ(ids.path_of(id.substr(1)), std::nullopt);
}

}  // namespace
}  // namespace gapwright
