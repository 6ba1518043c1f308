// A file that is worked on while others write to it.
#include "folder/working_file.hpp"

#include <gtest/gtest.h>
#include <signal.h>
#include <sys/resource.h>

#include "folder/scratch.hpp"

namespace gapwright {
namespace {

class Working : public testing::Test {
  protected:
    Working() { scratch_.write("a.txt", "one"); }

    WorkingFile open(HistoryLimits limits = {}) {
        return WorkingFile::open(folder_, "a.txt", limits).value();
    }
    std::string disk() const { return scratch_.read("a.txt"); }
    void write_outside(const std::string& text) const { scratch_.write("a.txt", text); }

    Scratch scratch_;
    std::shared_ptr<const Folder> folder_ =
        std::make_shared<const Folder>(Folder::open(scratch_.path()).value());
};

TEST_F(Working, SavesEachChange) {
    auto file = open();
    EXPECT_TRUE(file.saved());
    EXPECT_EQ(file.revision(), 1U);
    EXPECT_TRUE(file.change("two", "one to two"));
    EXPECT_EQ(disk(), "two");
    EXPECT_EQ(file.revision(), 2U);
    EXPECT_TRUE(file.change("two", "nothing"));
    EXPECT_EQ(file.revision(), 2U);
    EXPECT_EQ(file.undo_labels(), std::vector<std::string>{"one to two"});
}

TEST_F(Working, UndoesAndRedoesOnTheDiskToo) {
    auto file = open();
    file.change("two", "first");
    file.change("three", "second");
    EXPECT_EQ(file.undo_labels(), (std::vector<std::string>{"second", "first"}));
    EXPECT_TRUE(file.undo());
    EXPECT_EQ(disk(), "two");
    EXPECT_EQ(file.redo_labels(), std::vector<std::string>{"second"});
    EXPECT_TRUE(file.undo());
    EXPECT_EQ(disk(), "one");
    EXPECT_EQ(file.redo_labels(), (std::vector<std::string>{"first", "second"}));
    const auto before = file.revision();
    EXPECT_TRUE(file.undo());
    EXPECT_EQ(file.revision(), before);
    EXPECT_TRUE(file.redo());
    EXPECT_TRUE(file.redo());
    EXPECT_EQ(disk(), "three");
    EXPECT_TRUE(file.undo());
    EXPECT_TRUE(file.change("four", "third"));
    EXPECT_TRUE(file.redo_labels().empty());
    EXPECT_EQ(file.undo_labels(), (std::vector<std::string>{"third", "first"}));
}

TEST_F(Working, KeepsHistoryWithinItsLimits) {
    auto file = open({.steps = 3});
    for (int i = 0; i < 10; ++i) file.change(std::to_string(i), std::to_string(i));
    EXPECT_EQ(file.undo_labels(), (std::vector<std::string>{"9", "8", "7"}));
    for (int i = 0; i < 10; ++i) file.undo();
    EXPECT_EQ(disk(), "6");

    write_outside("one");
    auto large = open({.steps = 100, .bytes = 2500});
    for (char letter = 'a'; letter < 'k'; ++letter) large.change(std::string(1000, letter), "x");
    EXPECT_EQ(large.undo_labels().size(), 2U);
    auto tiny = open({.steps = 100, .bytes = 1});
    tiny.change("else", "x");
    EXPECT_EQ(tiny.undo_labels().size(), 1U);
}

TEST_F(Working, NoticesWhatOthersWrite) {
    auto file = open();
    EXPECT_FALSE(file.look());
    write_outside("theirs");
    EXPECT_TRUE(file.look());
    ASSERT_TRUE(file.outside().has_value());
    EXPECT_EQ(file.outside()->text, "theirs");
    EXPECT_TRUE(file.may_take_disk());
    EXPECT_FALSE(file.saved());
    EXPECT_FALSE(file.look());  // no news
    write_outside("one");
    EXPECT_TRUE(file.look());
    EXPECT_FALSE(file.outside().has_value());
    EXPECT_TRUE(file.saved());
}

// Same size, same times, as a tick of the clock or a careful program can bring about.
TEST_F(Working, NoticesWhatLeavesTheSameTimes) {
    auto file = open();
    ASSERT_TRUE(file.change("two", "x"));
    for (int i = 0; i < 50; ++i) {
        const std::string text = i % 2 == 0 ? "abc" : "two";
        write_outside(text);
        file.look();
        EXPECT_EQ(file.outside().has_value(), i % 2 == 0) << i;
    }
    const auto times = fs::last_write_time(scratch_ / "a.txt");
    write_outside("abc");
    fs::last_write_time(scratch_ / "a.txt", times);
    EXPECT_TRUE(file.look());
}

TEST_F(Working, NeverReplacesWhatOthersWrote) {
    auto file = open();
    write_outside("theirs");
    EXPECT_FALSE(file.change("mine", "x"));
    EXPECT_EQ(disk(), "theirs");
    EXPECT_EQ(file.text(), "mine");
    EXPECT_EQ(file.outside()->text, "theirs");
    EXPECT_FALSE(file.may_take_disk());
    EXPECT_NE(file.trouble().find("changed by another program"), std::string::npos);
    EXPECT_FALSE(file.save_again());
    EXPECT_FALSE(file.change("mine too", "y"));
    EXPECT_FALSE(file.undo());
    EXPECT_FALSE(file.redo());
    EXPECT_EQ(disk(), "theirs");
    EXPECT_EQ(scratch_.names(), std::set<std::string>{"a.txt"});
}

TEST_F(Working, TakesTheirsAndBringsOursBack) {
    auto file = open();
    write_outside("theirs");
    file.change("mine", "x");
    const auto before = file.revision();
    ASSERT_TRUE(file.take_disk().has_value());
    EXPECT_EQ(file.text(), "theirs");
    EXPECT_TRUE(file.saved());
    EXPECT_GT(file.revision(), before);
    EXPECT_TRUE(file.undo());
    EXPECT_EQ(file.text(), "mine");
    EXPECT_EQ(disk(), "mine");
    EXPECT_TRUE(file.redo());
    EXPECT_EQ(disk(), "theirs");
}

TEST_F(Working, TakesWhatIsThereNow) {
    auto file = open();
    write_outside("theirs");
    file.look();
    write_outside("theirs, later");
    ASSERT_TRUE(file.take_disk().has_value());
    EXPECT_EQ(file.text(), "theirs, later");
    EXPECT_TRUE(file.saved());
}

TEST_F(Working, KeepsOursAndBringsTheirsBack) {
    auto file = open();
    write_outside("theirs");
    file.change("mine", "x");
    const auto before = file.revision();
    ASSERT_TRUE(file.keep_mine().has_value());
    EXPECT_EQ(disk(), "mine");
    EXPECT_TRUE(file.saved());
    EXPECT_GT(file.revision(), before);
    EXPECT_TRUE(file.undo());
    EXPECT_EQ(disk(), "theirs");
    EXPECT_TRUE(file.redo());
    EXPECT_EQ(disk(), "mine");
    EXPECT_TRUE(file.undo());
    EXPECT_TRUE(file.undo());
    EXPECT_EQ(disk(), "one");
}

TEST_F(Working, KeepsOursOnlyOverWhatWasSeen) {
    auto file = open();
    write_outside("theirs");
    file.change("mine", "x");
    write_outside("theirs, later");
    EXPECT_FALSE(file.keep_mine().has_value());
    EXPECT_EQ(disk(), "theirs, later");
    EXPECT_EQ(file.outside()->text, "theirs, later");
    EXPECT_EQ(file.text(), "mine");
    ASSERT_TRUE(file.keep_mine().has_value());
    file.undo();
    EXPECT_EQ(disk(), "theirs, later");
}

TEST_F(Working, IsContentWhenOthersWriteTheSame) {
    auto file = open();
    write_outside("theirs");
    file.change("mine", "x");
    write_outside("mine");
    EXPECT_TRUE(file.look());
    EXPECT_TRUE(file.saved());
    EXPECT_TRUE(file.trouble().empty());
    EXPECT_TRUE(file.change("mine, later", "y"));
}

TEST_F(Working, MakesAFileAnewThatIsGone) {
    auto file = open();
    fs::remove(scratch_ / "a.txt");
    EXPECT_TRUE(file.look());
    EXPECT_TRUE(file.outside()->gone);
    EXPECT_FALSE(file.may_take_disk());
    EXPECT_FALSE(file.take_disk().has_value());
    EXPECT_FALSE(file.change("mine", "x"));
    EXPECT_FALSE(fs::exists(scratch_ / "a.txt"));
    // Somebody was faster.
    write_outside("theirs");
    EXPECT_FALSE(file.keep_mine().has_value());
    EXPECT_EQ(disk(), "theirs");
    fs::remove(scratch_ / "a.txt");
    file.look();
    ASSERT_TRUE(file.keep_mine().has_value());
    EXPECT_EQ(disk(), "mine");
    EXPECT_TRUE(file.saved());
}

TEST_F(Working, LeavesAloneWhatIsNoFileAnyMore) {
    auto file = open();
    fs::remove(scratch_ / "a.txt");
    fs::create_directory(scratch_ / "a.txt");
    EXPECT_TRUE(file.look());
    EXPECT_FALSE(file.outside()->gone);
    EXPECT_FALSE(file.outside()->text.has_value());
    EXPECT_FALSE(file.change("mine", "x"));
    EXPECT_FALSE(file.keep_mine().has_value());
    EXPECT_FALSE(file.take_disk().has_value());
    EXPECT_TRUE(fs::is_directory(scratch_ / "a.txt"));
    EXPECT_EQ(file.text(), "mine");
}

// No file may grow while this lives.
class FullDisk {
  public:
    FullDisk() : handler_(::signal(SIGXFSZ, SIG_IGN)) {
        ::getrlimit(RLIMIT_FSIZE, &before_);
        struct rlimit none = before_;
        none.rlim_cur = 0;
        ::setrlimit(RLIMIT_FSIZE, &none);
    }
    FullDisk(const FullDisk&) = delete;
    FullDisk& operator=(const FullDisk&) = delete;
    FullDisk(FullDisk&&) = delete;
    FullDisk& operator=(FullDisk&&) = delete;
    ~FullDisk() {
        ::setrlimit(RLIMIT_FSIZE, &before_);
        ::signal(SIGXFSZ, handler_);
    }

  private:
    struct rlimit before_ = {};
    void (*handler_)(int);
};

TEST_F(Working, HoldsWhatCannotBeSaved) {
    auto file = open();
    {
        const FullDisk full;
        file.change("two", "x");
        file.change("three", "y");
    }
    EXPECT_FALSE(file.saved());
    EXPECT_TRUE(file.unsaved());
    EXPECT_NE(file.trouble().find("larger than is allowed"), std::string::npos);
    EXPECT_FALSE(file.outside().has_value());
    EXPECT_EQ(file.text(), "three");
    EXPECT_EQ(disk(), "one");
    EXPECT_FALSE(file.look());
    EXPECT_TRUE(file.save_again());
    EXPECT_TRUE(file.trouble().empty());
    EXPECT_EQ(disk(), "three");
    EXPECT_TRUE(file.undo());
    EXPECT_EQ(disk(), "two");
}

TEST_F(Working, KeepsBothTextsWhereOursCannotBeKept) {
    auto file = open();
    write_outside("theirs");
    file.change("mine", "x");
    {
        const FullDisk full;
        EXPECT_FALSE(file.keep_mine().has_value());
    }
    EXPECT_EQ(disk(), "theirs");
    EXPECT_EQ(file.text(), "mine");
    EXPECT_EQ(file.outside()->text, "theirs");
    EXPECT_TRUE(file.keep_mine().has_value());
    EXPECT_EQ(disk(), "mine");
}

TEST_F(Working, CreatesAndReplacesNone) {
    const auto taken = WorkingFile::create(folder_, "a.txt", "new");
    ASSERT_FALSE(taken.has_value());
    EXPECT_TRUE(taken.error().exists);
    EXPECT_EQ(disk(), "one");
    auto made = WorkingFile::create(folder_, "b.txt", "new");
    ASSERT_TRUE(made.has_value());
    EXPECT_TRUE(made->saved());
    EXPECT_FALSE(made->look());
    EXPECT_TRUE(made->change("newer", "x"));
    EXPECT_EQ(scratch_.read("b.txt"), "newer");
}

TEST_F(Working, OpensNoFileThatIsTooLarge) {
    scratch_.write("a.txt", std::string(WorkingFile::largest_text + 1, 'x'));
    EXPECT_EQ(WorkingFile::open(folder_, "a.txt").error().kind, FileFault::too_large);
}

}  // namespace
}  // namespace gapwright
