#include "folder/atomic_save.hpp"

#include <dirent.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <signal.h>
#include <stdio.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <charconv>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

#include "folder/opening.hpp"

namespace gapwright {
namespace {

constexpr std::string_view part_ending = ".part";

// Longer names are cut, so that a temporary one is no longer than file systems allow (255 bytes).
std::string temporary_prefix(std::string_view name) {
    constexpr std::size_t longest = 200;
    if (name.size() > longest) {
        name = name.substr(0, longest);
        while (!name.empty() && (static_cast<unsigned char>(name.back()) & 0x80U) != 0) {
            name.remove_suffix(1);  // no half characters
        }
    }
    return fmt::format(".{}.", name);
}

std::string temporary_name(std::string_view name) {
    static std::atomic<unsigned> count = 0;
    return fmt::format("{}{}-{}{}", temporary_prefix(name), ::getpid(), count++, part_ending);
}

// The process that a temporary file of `prefix` belongs to; zero where the name is none.
pid_t owner_of(std::string_view entry, std::string_view prefix) {
    if (!entry.starts_with(prefix) || !entry.ends_with(part_ending)) return 0;
    entry.remove_prefix(prefix.size());
    pid_t owner = 0;
    const char* const end = entry.data() + entry.size();
    const auto [behind, error] = std::from_chars(entry.data(), end, owner);
    unsigned count = 0;
    if (error != std::errc() || owner <= 0 || behind == end || *behind != '-') return 0;
    const auto counted = std::from_chars(behind + 1, end, count);
    const std::string_view rest(counted.ptr, static_cast<std::size_t>(end - counted.ptr));
    return counted.ec == std::errc() && rest == part_ending ? owner : 0;
}

// Removes a temporary file unless its owner lives: no process of its number, and nobody holds its
// lock (a process in another container has a number that means nothing here).
void remove_orphan(int folder, const char* name, pid_t owner) {
    if (::kill(owner, 0) == 0 || errno != ESRCH) return;
    const OwnedDescriptor file(
        open_again(folder, name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
    if (!file.is_open() || ::flock(file.number(), LOCK_EX | LOCK_NB) != 0) return;
    ::unlinkat(folder, name, 0);
}

// What cannot be removed does no harm and stays.
void remove_orphans(int folder, std::string_view name) {
    const std::string prefix = temporary_prefix(name);
    const int listed = open_again(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (listed < 0) return;
    const std::unique_ptr<DIR, int (*)(DIR*)> entries(::fdopendir(listed), &::closedir);
    if (!entries) {
        ::close(listed);
        return;
    }
    while (const dirent* entry = ::readdir(entries.get())) {
        const pid_t owner = owner_of(entry->d_name, prefix);
        if (owner > 0) remove_orphan(folder, entry->d_name, owner);
    }
}

// Calls of the system that a signal may break off, until they are done.
template <class Call>
auto until_done(Call call) {
    auto result = call();
    while (result < 0 && errno == EINTR) result = call();
    return result;
}

// The permission bits of the file that is there. None where there is no file.
std::expected<std::optional<mode_t>, std::string> permissions_of(int folder,
                                                                 const std::string& name) {
    struct stat status = {};
    if (::fstatat(folder, name.c_str(), &status, AT_SYMLINK_NOFOLLOW) != 0) {
        if (errno == ENOENT) return std::nullopt;
        return std::unexpected(plain_reason(errno));
    }
    if (!S_ISREG(status.st_mode)) return std::unexpected("it is no plain file");
    // A new file could take the name of one that is write-protected; the person meant it not to.
    if (::faccessat(folder, name.c_str(), W_OK, AT_EACCESS) != 0) {
        return std::unexpected(errno == EACCES ? "it is write-protected" : plain_reason(errno));
    }
    return status.st_mode & mode_t{0777};
}

// The temporary file: removed at the end unless it got a name.
class Temporary {
  public:
    Temporary(int folder, std::string_view name, bool is_new) : folder_(folder) {
        do {
            name_ = temporary_name(name);
            file_ = OwnedDescriptor(open_again(folder, name_.c_str(),
                                               O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC,
                                               is_new ? mode_t{0666} : mode_t{0600}));
        } while (!file_.is_open() && errno == EEXIST);
        there_ = file_.is_open();
        error_ = there_ ? 0 : errno;
        // Tells others that somebody is at it; file systems without locks do without.
        if (there_) ::flock(file_.number(), LOCK_EX | LOCK_NB);
    }
    Temporary(const Temporary&) = delete;
    Temporary& operator=(const Temporary&) = delete;
    Temporary(Temporary&&) = delete;
    Temporary& operator=(Temporary&&) = delete;
    ~Temporary() {
        if (there_) ::unlinkat(folder_, name_.c_str(), 0);
    }

    int error() const { return error_; }

    // 0, or the reason.
    int write(std::string_view text, std::optional<mode_t> permissions, bool outlasts,
              FileStamp& stamp) {
        const int file = file_.number();
        if (permissions && ::fchmod(file, *permissions) != 0) return errno;
        while (!text.empty()) {
            const auto written =
                until_done([&] { return ::write(file, text.data(), text.size()); });
            if (written < 0) return errno;
            if (written == 0) return EIO;
            text.remove_prefix(static_cast<std::size_t>(written));
        }
        // Before it gets its name: else a power cut may leave the name without the contents.
        if (outlasts && until_done([&] { return ::fsync(file); }) != 0) return errno;
        struct stat status = {};
        if (::fstat(file, &status) != 0) return errno;
        stamp = stamp_of(status);
        return 0;
    }

    // 0, or the reason. The lock is held until then.
    int give_name(const std::string& name, bool replace) {
        const int reason = replace ? move_over(name) : move_beside(name);
        if (reason == 0) there_ = false;
        return reason;
    }

    int close() { return file_.close(); }

  private:
    int move_over(const std::string& name) {
        const auto move = [&] { return ::renameat(folder_, name_.c_str(), folder_, name.c_str()); };
        return until_done(move) == 0 ? 0 : errno;
    }

    int move_beside(const std::string& name) {
        const auto move = [&] {
            return ::renameat2(folder_, name_.c_str(), folder_, name.c_str(), RENAME_NOREPLACE);
        };
        if (until_done(move) == 0) return 0;
        if (errno != EINVAL && errno != ENOSYS) return errno;
        // The file system knows no such renaming, but a second name.
        if (::linkat(folder_, name_.c_str(), folder_, name.c_str(), 0) != 0) return errno;
        ::unlinkat(folder_, name_.c_str(), 0);
        return 0;
    }

    int folder_;
    std::string name_ = {};
    OwnedDescriptor file_;
    bool there_ = false;
    int error_ = 0;
};

}  // namespace

std::expected<FileStamp, SaveFailure> atomic_save(int folder, const std::string& name,
                                                  std::string_view text, const SaveOptions& options,
                                                  std::string_view shown) {
    const auto failure = [&](std::string_view reason) {
        SaveFailure result;
        result.reason = fmt::format("{} was not saved: {}", shown.empty() ? name : shown, reason);
        return result;
    };
    const auto old = permissions_of(folder, name);
    if (!old) return std::unexpected(failure(old.error()));
    const auto exists = [&] {
        SaveFailure result = failure("a file of that name is there already");
        result.exists = true;
        return std::unexpected(std::move(result));
    };
    if (*old && !options.replace) return exists();
    remove_orphans(folder, name);

    Temporary temporary(folder, name, !*old);
    if (temporary.error() != 0) return std::unexpected(failure(plain_reason(temporary.error())));
    FileStamp stamp;
    if (const int reason = temporary.write(text, *old, options.outlasts, stamp); reason != 0) {
        return std::unexpected(failure(plain_reason(reason)));
    }
    // Opened before, so that what can fail without harm fails without harm.
    const OwnedDescriptor entries(open_again(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (!entries.is_open()) return std::unexpected(failure(plain_reason(errno)));
    if (options.last_look) {
        if (const auto go = options.last_look(); !go) return std::unexpected(failure(go.error()));
    }
    if (const int reason = temporary.give_name(name, options.replace); reason != 0) {
        if (reason == EEXIST && !options.replace) return exists();
        return std::unexpected(failure(plain_reason(reason)));
    }

    int unsettled = 0;
    if (options.outlasts && until_done([&] { return ::fsync(entries.number()); }) != 0) {
        unsettled = errno;
    }
    // Some file systems cannot carry a folder to the disk by itself, and say so.
    if (unsettled == EINVAL || unsettled == ENOTSUP) unsettled = 0;
    const int closed = temporary.close();
    if (unsettled == 0) unsettled = closed;
    if (unsettled == 0) return stamp;
    SaveFailure result;
    result.reason = fmt::format("{} was written, but may not outlast a power cut: {}",
                                shown.empty() ? name : shown, plain_reason(unsettled));
    result.in_place = stamp;
    return std::unexpected(std::move(result));
}

std::expected<void, SaveFailure> save_at(const std::filesystem::path& path, std::string_view text,
                                         const SaveOptions& options) {
    std::error_code trouble;
    std::filesystem::path place = std::filesystem::weakly_canonical(path, trouble);
    if (trouble) place = path;
    const std::string folder = place.has_parent_path() ? place.parent_path().string() : ".";
    const OwnedDescriptor opened(
        open_again(AT_FDCWD, folder.c_str(), O_PATH | O_DIRECTORY | O_CLOEXEC));
    if (!opened.is_open()) {
        const std::string reason =
            errno == ENOENT ? "there is no such folder" : plain_reason(errno);
        SaveFailure failure;
        failure.reason = fmt::format("{} was not saved: {}", path.string(), reason);
        return std::unexpected(std::move(failure));
    }
    auto saved =
        atomic_save(opened.number(), place.filename().string(), text, options, path.string());
    if (!saved) return std::unexpected(std::move(saved.error()));
    return {};
}

}  // namespace gapwright
