#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "source/toml_document.hpp"

namespace gapwright {
namespace {

// A folder of its own that goes when the test ends.
class ReadFile : public testing::Test {
  protected:
    ReadFile()
        : folder_(std::filesystem::path(testing::TempDir()) /
                  ("read_file_test_" + std::to_string(getpid()))) {
        std::filesystem::create_directories(folder_);
    }
    ~ReadFile() override { std::filesystem::remove_all(folder_); }

    std::string file(const std::string& name, const std::string& content) const {
        const std::string path = folder_ / name;
        std::ofstream(path, std::ios::binary) << content;
        return path;
    }
    std::string folder() const { return folder_; }

  private:
    std::filesystem::path folder_;
};

void expect_error(const std::string& path, Cause cause, const std::string& message) {
    const auto text = read_file(path, 10);
    ASSERT_FALSE(text) << path;
    ASSERT_EQ(text.error().size(), 1U);
    EXPECT_EQ(text.error()[0].cause, cause);
    EXPECT_EQ(text.error()[0].message, message);
}

TEST_F(ReadFile, TakesTheBytesAsTheyAre) {
    const std::string content("a\r\n\0\xFF", 5);
    const std::string path = file("some file.toml", content);
    const auto text = read_file(path);
    ASSERT_TRUE(text) << to_text(text.error());
    EXPECT_EQ((*text)->text(), content);
    EXPECT_EQ((*text)->name(), path);
    EXPECT_EQ((*read_file(file("empty", "")))->text(), "");
    EXPECT_TRUE(read_file(file("as large as may be", std::string(10, 'x')), 10));
}

TEST_F(ReadFile, SaysWhyItCannot) {
    const std::string missing = folder() + "/missing";
    expect_error(missing, Cause::unreadable_file,
                 missing + " cannot be read: No such file or directory");
    expect_error("", Cause::unreadable_file, " cannot be read: No such file or directory");
    expect_error(folder(), Cause::unreadable_file, folder() + " cannot be read: it is a folder");
    expect_error("/dev/zero", Cause::unreadable_file, "/dev/zero cannot be read: it is not a file");
    const std::string large = file("large", std::string(11, 'x'));
    expect_error(large, Cause::oversized_file,
                 large + " has 11 bytes, more than the 10 that are read");
}

TEST_F(ReadFile, RespectsPermissions) {
    if (geteuid() == 0) GTEST_SKIP() << "root: may read every file";
    const std::string path = file("locked", "x");
    std::filesystem::permissions(path, std::filesystem::perms::none);
    expect_error(path, Cause::unreadable_file, path + " cannot be read: Permission denied");
}

}  // namespace
}  // namespace gapwright
