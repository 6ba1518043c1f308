#include "folder/folder.hpp"

#include <dirent.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <utility>

#include "folder/atomic_save.hpp"
#include "folder/opening.hpp"
#include "source/display.hpp"
#include "source/utf8.hpp"

namespace gapwright {
namespace {

using OpenDirectory = std::unique_ptr<DIR, int (*)(DIR*)>;

OpenDirectory entries_of(int folder, const char* name) {
    const int number =
        open_again(folder, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    OpenDirectory result(number < 0 ? nullptr : ::fdopendir(number), &::closedir);
    if (!result && number >= 0) ::close(number);
    return result;
}

bool is_presentable(std::string_view name) {
    const auto control = [](char letter) { return static_cast<unsigned char>(letter) < 0x20; };
    return !name.starts_with('.') && find_invalid_utf8(name) == std::string_view::npos &&
           std::ranges::none_of(name, control);
}

// A walk through a folder and those below it.
class Walk {
  public:
    explicit Walk(FolderListing& listing) : listing_(listing) {}

    void enter(DIR* entries, const std::string& prefix, int deeper) {
        while (!listing_.cut) {
            errno = 0;
            const dirent* entry = ::readdir(entries);
            if (entry == nullptr) {
                if (errno != 0) listing_.unread.push_back(prefix);
                return;
            }
            if (is_presentable(entry->d_name))
                meet(::dirfd(entries), prefix, entry->d_name, deeper);
        }
    }

  private:
    void meet(int folder, const std::string& prefix, const std::string& name, int deeper) {
        constexpr std::size_t most_entries = 10 * Folder::most_files;  // of any kind
        struct stat status = {};
        if (::fstatat(folder, name.c_str(), &status, AT_SYMLINK_NOFOLLOW) != 0) return;
        if (++entries_ > most_entries || listing_.files.size() == Folder::most_files) {
            listing_.cut = true;
        } else if (S_ISREG(status.st_mode)) {
            const FileStamp stamp = stamp_of(status);
            listing_.files.push_back({prefix + name, stamp.size, stamp.modified});
        } else if (S_ISDIR(status.st_mode) && deeper > 0) {
            if (const OpenDirectory below = entries_of(folder, name.c_str())) {
                enter(below.get(), prefix + name + "/", deeper - 1);
            } else {
                listing_.unread.push_back(prefix + name);
            }
        }
    }

    FolderListing& listing_;
    std::size_t entries_ = 0;
};

FileError too_large(std::string_view shown, std::size_t limit) {
    return file_error(FileFault::too_large, shown,
                      fmt::format("the file is larger than {} KiB", limit >> 10U));
}

bool is_allowed(char letter) {
    return (letter >= 'a' && letter <= 'z') || (letter >= 'A' && letter <= 'Z') ||
           (letter >= '0' && letter <= '9') || letter == '-' || letter == '_' || letter == '.';
}

}  // namespace

std::expected<Folder, std::string> Folder::open(const std::filesystem::path& path) {
    OwnedDescriptor folder(open_again(AT_FDCWD, path.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (folder.is_open()) return Folder(path, std::move(folder));
    const std::string reason = errno == ENOTDIR  ? "this is no folder"
                               : errno == ENOENT ? "there is no such folder"
                                                 : plain_reason(errno);
    return std::unexpected(fmt::format("{}: {}", printable(path.string()), reason));
}

FolderListing Folder::list() const {
    FolderListing result;
    const OpenDirectory entries = entries_of(descriptor_.number(), ".");
    if (entries) {
        Walk(result).enter(entries.get(), "", deepest);
    } else {
        result.unread.emplace_back("");
    }
    std::ranges::sort(result.files, {}, &FolderEntry::path);
    std::ranges::sort(result.unread);
    return result;
}

FileExpected<FileContent> Folder::read(std::string_view path, std::size_t limit) const {
    const auto place = open_parent(descriptor_.number(), path);
    if (!place) return std::unexpected(place.error());
    const auto file = open_plain(place->folder.number(), place->name, path);
    if (!file) return std::unexpected(file.error());
    struct stat status = {};
    const auto failed = [&] {
        return std::unexpected(file_error(FileFault::unreadable, path, plain_reason(errno)));
    };
    if (::fstat(file->number(), &status) != 0) return failed();
    // The stamp is taken before the text: who writes meanwhile makes it another one.
    FileContent result{{}, stamp_of(status)};
    if (result.stamp.size > limit) return std::unexpected(too_large(path, limit));
    // One byte more than there should be tells whether the file grows.
    std::size_t filled = 0;
    result.text.resize(static_cast<std::size_t>(result.stamp.size) + 1);
    for (;;) {
        const auto got =
            ::read(file->number(), result.text.data() + filled, result.text.size() - filled);
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) return failed();
        if (got == 0) break;
        filled += static_cast<std::size_t>(got);
        if (filled > limit) return std::unexpected(too_large(path, limit));
        if (filled == result.text.size()) result.text.resize(std::min(2 * filled, limit + 1));
    }
    result.text.resize(filled);
    return result;
}

FileExpected<FileStamp> Folder::stamp(std::string_view path) const {
    const auto place = open_parent(descriptor_.number(), path);
    if (!place) return std::unexpected(place.error());
    const auto file = open_plain(place->folder.number(), place->name, path);
    if (!file) return std::unexpected(file.error());
    struct stat status = {};
    if (::fstat(file->number(), &status) != 0) {
        return std::unexpected(file_error(FileFault::unreadable, path, plain_reason(errno)));
    }
    return stamp_of(status);
}

std::expected<FileStamp, SaveFailure> Folder::save(std::string_view path, std::string_view text,
                                                   const SaveOptions& options) const {
    const auto place = open_parent(descriptor_.number(), path);
    if (!place) {
        return std::unexpected(SaveFailure{.reason = fmt::format("{} was not saved: {}",
                                                                 printable(path.substr(0, 200)),
                                                                 place.error().words)});
    }
    return atomic_save(place->folder.number(), place->name, text, options, printable(path));
}

std::expected<void, FileError> Folder::move(std::string_view from, std::string_view to) const {
    const auto old_place = open_parent(descriptor_.number(), from);
    if (!old_place) return std::unexpected(old_place.error());
    const std::size_t slash = to.rfind('/');
    if (slash != std::string_view::npos) {
        const auto above = open_parent(descriptor_.number(), to.substr(0, slash));
        if (!above) return std::unexpected(above.error());
        constexpr mode_t usual = 0777;
        ::mkdirat(above->folder.number(), above->name.c_str(), usual);  // it may be there
    }
    const auto new_place = open_parent(descriptor_.number(), to);
    if (!new_place) return std::unexpected(new_place.error());
    if (::renameat2(old_place->folder.number(), old_place->name.c_str(), new_place->folder.number(),
                    new_place->name.c_str(), RENAME_NOREPLACE) == 0) {
        return {};
    }
    if (errno == EEXIST) {
        return std::unexpected(file_error(FileFault::taken, to, "this name is taken"));
    }
    const FileFault kind = errno == ENOENT ? FileFault::missing : FileFault::unreadable;
    return std::unexpected(file_error(kind, from, plain_reason(errno)));
}

std::expected<std::string, std::string> new_file_name(std::string_view typed,
                                                      std::string_view ending) {
    constexpr std::size_t longest = 100;
    while (typed.starts_with(' ')) typed.remove_prefix(1);
    while (typed.ends_with(' ')) typed.remove_suffix(1);
    std::string name(typed);
    if (!name.empty() && !name.ends_with(ending)) name += ending;
    if (name.size() <= ending.size()) return std::unexpected("a name is missing");
    if (name.starts_with('.')) return std::unexpected("a name starts with no dot");
    if (!std::ranges::all_of(name, is_allowed)) {
        return std::unexpected(
            "a name is made of the letters a to z and A to Z, digits, '-', '_' "
            "and '.'");
    }
    if (name.size() > longest) {
        return std::unexpected(
            fmt::format("a name is at most {} letters long, with its \"{}\"", longest, ending));
    }
    return name;
}

}  // namespace gapwright
