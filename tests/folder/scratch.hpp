// A folder of its own for each test, gone at the end.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>
#include <stdexcept>
#include <string>

namespace gapwright {

namespace fs = std::filesystem;

class Scratch {
  public:
    Scratch() {
        std::string form = (fs::temp_directory_path() / "gapwright-XXXXXX").string();
        if (::mkdtemp(form.data()) == nullptr) throw std::runtime_error("no scratch folder");
        path_ = form;
    }
    Scratch(const Scratch&) = delete;
    Scratch& operator=(const Scratch&) = delete;
    Scratch(Scratch&&) = delete;
    Scratch& operator=(Scratch&&) = delete;
    ~Scratch() {
        std::error_code ignored;
        fs::remove_all(path_, ignored);
    }

    const fs::path& path() const { return path_; }
    fs::path operator/(const std::string& name) const { return path_ / name; }

    void write(const std::string& name, const std::string& text) const {
        fs::create_directories((path_ / name).parent_path());
        std::ofstream(path_ / name, std::ios::binary) << text;
    }
    std::string read(const std::string& name) const {
        std::ifstream stream(path_ / name, std::ios::binary);
        if (!stream) return "(no file)";
        std::ostringstream text;
        text << stream.rdbuf();
        return text.str();
    }
    // Names of all files in the folder itself, hidden ones too.
    std::set<std::string> names() const {
        std::set<std::string> result;
        for (const auto& entry : fs::directory_iterator(path_)) {
            result.insert(entry.path().filename().string());
        }
        return result;
    }

  private:
    fs::path path_;
};

}  // namespace gapwright
