// The person's browser, opened on an address that nobody else may see.
#pragma once

#include <expected>
#include <string>
#include <utility>

namespace gapwright {

// A small file that leads a browser on to an address. An address with a code must not stand among
// a process's arguments, which everybody on the computer can read, nor on a disk: the file lies in
// memory, readable by its owner only, and goes with this object.
class LeadingFile {
  public:
    // Errors, in words: there is no folder in memory to put it into.
    static std::expected<LeadingFile, std::string> make(const std::string& address);

    LeadingFile(LeadingFile&& other) noexcept;
    LeadingFile& operator=(LeadingFile&& other) noexcept;
    LeadingFile(const LeadingFile&) = delete;
    LeadingFile& operator=(const LeadingFile&) = delete;
    ~LeadingFile();

    const std::string& path() const { return path_; }

  private:
    explicit LeadingFile(std::string path) : path_(std::move(path)) {}
    std::string path_;
};

// Starts the desktop's own way to open a file (freedesktop.org's xdg-open). Errors, in words: there
// is none, or no desktop.
std::expected<void, std::string> open_in_browser(const LeadingFile& file);

}  // namespace gapwright
