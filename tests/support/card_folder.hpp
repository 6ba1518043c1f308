// A folder for card files of a test, removed at the end.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

namespace gapwright::testing_support {

class CardFolder {
  public:
    CardFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "gapwright-XXXXXX").string();
        if (!mkdtemp(name.data())) ADD_FAILURE() << "no folder for the test";
        path_ = name;
    }
    ~CardFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    CardFolder(const CardFolder&) = delete;
    CardFolder& operator=(const CardFolder&) = delete;

    // The file's path.
    std::string write(const std::string& name, const std::string& text) const {
        const auto file = path_ / name;
        std::filesystem::create_directories(file.parent_path());
        std::ofstream(file, std::ios::binary) << text;
        return file.string();
    }
    const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

}  // namespace gapwright::testing_support
