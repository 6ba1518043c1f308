#include "app/browser.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <linux/magic.h>
#include <signal.h>
#include <spawn.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/vfs.h>
#include <unistd.h>

#include <cstdlib>
#include <expected>
#include <string>
#include <utility>
#include <vector>

namespace gapwright {
namespace {

bool lies_in_memory(const std::string& folder) {
    struct statfs system{};
    return statfs(folder.c_str(), &system) == 0 &&
           (system.f_type == TMPFS_MAGIC || system.f_type == RAMFS_MAGIC);
}

std::string environment(const char* name) {
    const char* value = std::getenv(name);
    return value ? value : "";
}

// The person's own folder of this session, else the one of all.
std::vector<std::string> folders_in_memory() {
    std::vector<std::string> folders;
    for (const auto& folder : {environment("XDG_RUNTIME_DIR"), std::string("/dev/shm")}) {
        if (!folder.empty() && lies_in_memory(folder)) folders.push_back(folder);
    }
    return folders;
}

bool write_all(int file, const std::string& text) {
    std::size_t done = 0;
    while (done < text.size()) {
        const ssize_t wrote = write(file, text.data() + done, text.size() - done);
        if (wrote <= 0) return false;
        done += static_cast<std::size_t>(wrote);
    }
    return true;
}

}  // namespace

std::expected<LeadingFile, std::string> LeadingFile::make(const std::string& address) {
    const std::string html = fmt::format(
        "<!doctype html>\n<meta charset=\"utf-8\">\n<title>Gapwright</title>\n"
        "<meta http-equiv=\"refresh\" content=\"0;url={0}\">\n<a href=\"{0}\">The page</a>\n",
        address);
    for (const auto& folder : folders_in_memory()) {
        std::string path = folder + "/gapwright-XXXXXX.html";
        const int file = mkostemps(path.data(), 5, O_CLOEXEC);  // for its owner only
        if (file < 0) continue;
        LeadingFile made(path);
        const bool written = write_all(file, html);
        close(file);
        if (written) return made;
    }
    return std::unexpected("no folder in memory could be written");
}

LeadingFile::LeadingFile(LeadingFile&& other) noexcept
    : path_(std::exchange(other.path_, std::string())) {}

LeadingFile& LeadingFile::operator=(LeadingFile&& other) noexcept {
    std::swap(path_, other.path_);
    return *this;
}

LeadingFile::~LeadingFile() {
    if (!path_.empty()) unlink(path_.c_str());
}

std::expected<void, std::string> open_in_browser(const LeadingFile& file) {
    if (environment("DISPLAY").empty() && environment("WAYLAND_DISPLAY").empty()) {
        return std::unexpected("there is no desktop here");
    }
    std::string program = "xdg-open";
    std::string path = file.path();
    char* arguments[] = {program.data(), path.data(), nullptr};
    posix_spawn_file_actions_t quiet;
    posix_spawn_file_actions_init(&quiet);
    posix_spawn_file_actions_addopen(&quiet, 1, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&quiet, 2, "/dev/null", O_WRONLY, 0);
    // This program passes over SIGPIPE; another one may live by it.
    sigset_t usual;
    sigemptyset(&usual);
    sigaddset(&usual, SIGPIPE);
    posix_spawnattr_t manner;
    posix_spawnattr_init(&manner);
    posix_spawnattr_setsigdefault(&manner, &usual);
    posix_spawnattr_setflags(&manner, POSIX_SPAWN_SETSIGDEF);
    pid_t child = 0;
    const int failed = posix_spawnp(&child, program.c_str(), &quiet, &manner, arguments, environ);
    posix_spawnattr_destroy(&manner);
    posix_spawn_file_actions_destroy(&quiet);
    if (failed != 0) return std::unexpected("xdg-open is not there");
    return {};
}

}  // namespace gapwright
