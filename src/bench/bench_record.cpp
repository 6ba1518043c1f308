// The part of bench_record.hpp that puts a record onto the disk.
#include "bench/bench_record.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <system_error>
#include <thread>

namespace gapwright {
namespace {

namespace fs = std::filesystem;

using Done = std::expected<void, std::string>;

std::unexpected<std::string> failed(const fs::path& path, std::string_view what, int reason) {
    return std::unexpected(fmt::format("{} {}: {}", path.string(), what,
                                       std::error_code(reason, std::generic_category()).message()));
}

// A file's number, closed when it goes.
class Descriptor {
  public:
    explicit Descriptor(int number) : number_(number) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() {
        if (number_ >= 0) ::close(number_);
    }
    int number() const { return number_; }
    bool is_open() const { return number_ >= 0; }
    // Some file systems tell only now that a write failed.
    int close() {
        const int number = number_;
        number_ = -1;
        return ::close(number);
    }

  private:
    int number_;
};

// "2026-11-26" of a time by ISO 8601; empty when it starts with no date.
std::string date_of(std::string_view when) {
    constexpr std::string_view form = "0000-00-00";
    if (when.size() < form.size()) return {};
    for (std::size_t k = 0; k < form.size(); ++k) {
        const bool digit = when[k] >= '0' && when[k] <= '9';
        if (form[k] == '0' ? !digit : when[k] != form[k]) return {};
    }
    return std::string(when.substr(0, form.size()));
}

// The number that a record's name starts with; zero for any other file's.
unsigned long number_of(const std::string& name) {
    unsigned long number = 0;
    const char* end = name.data() + name.size();
    const auto [behind, error] = std::from_chars(name.data(), end, number);
    const bool record = error == std::errc() && behind != end && *behind == '-' &&
                        name.ends_with(".toml") && behind - name.data() <= 9;
    return record ? number : 0;
}

std::expected<unsigned long, std::string> highest_number(const fs::path& folder) {
    unsigned long highest = 0;
    std::error_code trouble;
    fs::directory_iterator entry(folder, trouble);
    for (; !trouble && entry != fs::directory_iterator(); entry.increment(trouble)) {
        highest = std::max(highest, number_of(entry->path().filename().string()));
    }
    if (trouble) return failed(folder, "cannot be read", trouble.value());
    return highest;
}

// Whoever holds the folder's lock gives out numbers. It goes with the process that holds it; where
// it cannot be had in a while, or the file system knows none, a number may be given to records of
// two dates, and still no file is replaced.
void wait_for_lock(const Descriptor& folder) {
    using namespace std::chrono_literals;
    for (int tries = 0; tries < 1000; ++tries) {
        if (::flock(folder.number(), LOCK_EX | LOCK_NB) == 0) return;
        if (errno != EWOULDBLOCK && errno != EINTR) return;
        std::this_thread::sleep_for(5ms);
    }
}

// A new name for a file that is not a record yet. Nobody reads files whose name starts so; one that
// a crash left behind does no harm.
std::string temporary_name() {
    static std::atomic<unsigned> count = 0;
    return fmt::format(".new-{}-{}", ::getpid(), count++);
}

Done write_whole(const fs::path& path, Descriptor& file, std::string_view text) {
    while (!text.empty()) {
        const auto written = ::write(file.number(), text.data(), text.size());
        if (written < 0 && errno == EINTR) continue;
        if (written < 0) return failed(path, "cannot be written", errno);
        text.remove_prefix(static_cast<std::size_t>(written));
    }
    // Before it gets its name: else a power cut may leave the name without the contents.
    if (::fsync(file.number()) != 0) return failed(path, "cannot be written", errno);
    if (file.close() != 0) return failed(path, "cannot be written", errno);
    return {};
}

// 0, or the reason; EEXIST where a file of the new name is there.
int move_without_replacing(const fs::path& from, const fs::path& to) {
    if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return 0;
    if (errno != EINVAL && errno != ENOSYS) return errno;
    // The file system knows no such renaming, but a second name.
    if (::link(from.c_str(), to.c_str()) != 0) return errno;
    ::unlink(from.c_str());
    return 0;
}

// Gives the finished file the next number.
std::expected<fs::path, std::string> give_number(const fs::path& folder, const fs::path& finished,
                                                 const std::string& date) {
    constexpr int most_tries = 1000;
    fs::path path;
    for (int tries = 0; tries < most_tries; ++tries) {
        const auto highest = highest_number(folder);
        if (!highest) return std::unexpected(highest.error());
        path = folder / fmt::format("{:04}-{}.toml", *highest + 1, date);
        const int reason = move_without_replacing(finished, path);
        if (reason == 0) return path;
        if (reason != EEXIST) return failed(path, "cannot be written", reason);
    }
    return failed(path, "cannot be written", EEXIST);
}

std::expected<fs::path, std::string> write_record(const fs::path& folder, const Descriptor& opened,
                                                  const std::string& date, std::string_view text) {
    fs::path temporary;
    int number = -1;
    do {
        temporary = folder / temporary_name();
        number = ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    } while (number < 0 && (errno == EEXIST || errno == EINTR));
    if (number < 0) return failed(folder, "takes no record", errno);
    Descriptor file(number);
    std::expected<fs::path, std::string> path;
    if (const auto written = write_whole(folder, file, text)) {
        wait_for_lock(opened);
        path = give_number(folder, temporary, date);
    } else {
        path = std::unexpected(written.error());
    }
    if (!path) ::unlink(temporary.c_str());
    return path;
}

// The folder's own entries, and with them the record's name.
void settle(const fs::path& folder) {
    const Descriptor opened(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (opened.is_open()) ::fsync(opened.number());
}

}  // namespace

fs::path record_folder(const fs::path& link_file) {
    std::string name = link_file.filename().string();
    for (const std::string_view ending : {".toml", ".link"}) {
        if (name.ends_with(ending)) name.resize(name.size() - ending.size());
    }
    return link_file.parent_path() / (name + ".bench");
}

std::expected<std::string, std::string> append_record(const fs::path& link_file,
                                                      const BenchRecord& record) {
    const std::string date = date_of(record.when);
    if (date.empty()) {
        return std::unexpected(fmt::format(
            "\"{}\" is no time by ISO 8601, as 2026-11-26T18:05:00+01:00", record.when));
    }
    const fs::path folder = record_folder(link_file);
    std::error_code trouble;
    const bool made = fs::create_directory(folder, trouble);
    if (trouble) return failed(folder, "cannot be made", trouble.value());
    if (made) settle(folder.parent_path().empty() ? "." : folder.parent_path());
    const Descriptor opened(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (!opened.is_open()) return failed(folder, "cannot be opened", errno);
    const auto path = write_record(folder, opened, date, record_toml(record));
    if (!path) return std::unexpected(path.error());
    settle(folder);
    return path->string();
}

}  // namespace gapwright
