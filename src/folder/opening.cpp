#include "folder/opening.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <ctime>
#include <expected>
#include <string>
#include <string_view>
#include <utility>

#include "folder/atomic_save.hpp"
#include "folder/folder.hpp"
#include "source/display.hpp"

namespace gapwright {
namespace {

constexpr std::size_t longest_path = 4000;  // bytes; Linux takes 4095
constexpr std::size_t longest_part = 255;
constexpr std::ptrdiff_t most_parts = 32;

FileError refused(int error, std::string_view shown) {
    switch (error) {
        case ENOENT:
            return file_error(FileFault::missing, shown, "there is no such file");
        case ENOTDIR:
        case ELOOP:  // O_NOFOLLOW met a link
            return file_error(FileFault::not_a_file, shown,
                              "it is no plain file, or lies in no plain folder");
        default:
            return file_error(FileFault::unreadable, shown, plain_reason(error));
    }
}

bool is_part(std::string_view part) {
    return !part.empty() && part != "." && part != ".." && part.size() <= longest_part;
}

}  // namespace

OwnedDescriptor& OwnedDescriptor::operator=(OwnedDescriptor&& other) noexcept {
    if (this != &other) {
        close();
        number_ = other.release();
    }
    return *this;
}

OwnedDescriptor::~OwnedDescriptor() {
    close();
}

int OwnedDescriptor::release() {
    return std::exchange(number_, -1);
}

int OwnedDescriptor::close() {
    const int number = release();
    // Broken off by a signal, it is closed all the same, and must not be closed again.
    return number < 0 || ::close(number) == 0 || errno == EINTR ? 0 : errno;
}

std::string plain_reason(int error) {
    switch (error) {
        case ENOSPC:
            return "there is no space left on the disk";
        case EDQUOT:
            return "your share of the disk is full";
        case EROFS:
            return "the disk is read-only";
        case EACCES:
        case EPERM:
            return "you have no permission";
        case EIO:
            return "the disk reports an error";
        case EFBIG:
            return "the file would be larger than is allowed";
        case ENAMETOOLONG:
            return "the name is too long";
        case EMFILE:
        case ENFILE:
            return "too many files are open";
        case ENOENT:
            return "its folder is gone";
        default:
            return std::strerror(error);
    }
}

FileError file_error(FileFault kind, std::string_view shown, std::string_view words) {
    return {kind, fmt::format("{}: {}", printable(shown), words), std::string(words)};
}

int open_again(int folder, const char* name, int flags, mode_t mode) {
    int number = ::openat(folder, name, flags, mode);
    while (number < 0 && errno == EINTR) number = ::openat(folder, name, flags, mode);
    return number;
}

FileStamp stamp_of(const struct stat& status) {
    const auto nanoseconds = [](const timespec& time) {
        return std::int64_t{time.tv_sec} * 1'000'000'000 + time.tv_nsec;
    };
    return {.device = status.st_dev,
            .inode = status.st_ino,
            .modified = nanoseconds(status.st_mtim),
            .status = nanoseconds(status.st_ctim),
            .size = static_cast<std::uint64_t>(status.st_size)};
}

FileExpected<Opened> open_parent(int folder, std::string_view path) {
    const std::string_view shown = path.substr(0, 200);
    const auto bad = [&] {
        return std::unexpected(
            file_error(FileFault::bad_path, shown, "this is no path of a file in the folder"));
    };
    if (path.size() > longest_path || path.contains('\0')) return bad();
    Opened result{OwnedDescriptor(open_again(folder, ".", O_PATH | O_DIRECTORY | O_CLOEXEC)), {}};
    if (!result.folder.is_open()) return std::unexpected(refused(errno, shown));
    for (std::ptrdiff_t parts = 0; parts < most_parts; ++parts) {
        const std::size_t slash = path.find('/');
        const std::string part(path.substr(0, slash));
        if (!is_part(part)) return bad();
        if (slash == std::string_view::npos) {
            result.name = part;
            return result;
        }
        result.folder = OwnedDescriptor(open_again(result.folder.number(), part.c_str(),
                                                   O_PATH | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC));
        if (!result.folder.is_open()) return std::unexpected(refused(errno, shown));
        path.remove_prefix(slash + 1);
    }
    return bad();
}

FileExpected<OwnedDescriptor> open_plain(int folder, const std::string& name,
                                         std::string_view shown) {
    const auto not_plain = [&] {
        return std::unexpected(file_error(FileFault::not_a_file, shown, "it is no plain file"));
    };
    // Asked first, since merely opening some devices does something; and again, since it may have
    // become one meanwhile.
    struct stat status = {};
    if (::fstatat(folder, name.c_str(), &status, AT_SYMLINK_NOFOLLOW) != 0) {
        return std::unexpected(refused(errno, shown));
    }
    if (!S_ISREG(status.st_mode)) return not_plain();
    OwnedDescriptor file(open_again(folder, name.c_str(),
                                    O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY | O_CLOEXEC));
    if (!file.is_open()) return std::unexpected(refused(errno, shown));
    if (::fstat(file.number(), &status) != 0) return std::unexpected(refused(errno, shown));
    if (!S_ISREG(status.st_mode)) return not_plain();
    return file;
}

}  // namespace gapwright
