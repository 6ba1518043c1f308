// The part of bench_record.hpp that puts a record onto the disk.
#include "bench/sessions/bench_record.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <thread>

#include "folder/atomic_save.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;

std::unexpected<std::string> failed(const fs::path& path, std::string_view what, int reason) {
    return std::unexpected(fmt::format("{} {}: {}", path.string(), what,
                                       std::error_code(reason, std::generic_category()).message()));
}

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

std::expected<unsigned long, std::string> highest_number(const fs::path& folder) {
    unsigned long highest = 0;
    std::error_code trouble;
    fs::directory_iterator entry(folder, trouble);
    for (; !trouble && entry != fs::directory_iterator(); entry.increment(trouble)) {
        highest = std::max(highest, record_number(entry->path().filename().string()).value_or(0));
    }
    if (trouble) return failed(folder, "cannot be read", trouble.value());
    return highest;
}

// Whoever holds the folder's lock gives out numbers. It goes with the process that holds it; where
// it cannot be had in a while, or the file system knows none, a number may be given to records of
// two dates, and still no file is replaced.
void wait_for_lock(const OwnedDescriptor& folder) {
    using namespace std::chrono_literals;
    for (int tries = 0; tries < 1000; ++tries) {
        if (::flock(folder.number(), LOCK_EX | LOCK_NB) == 0) return;
        if (errno != EWOULDBLOCK && errno != EINTR) return;
        std::this_thread::sleep_for(5ms);
    }
}

// Saves the text under the next number.
std::expected<fs::path, std::string> write_record(const fs::path& folder,
                                                  const OwnedDescriptor& opened,
                                                  const std::string& date, std::string_view text) {
    constexpr int most_tries = 1000;
    wait_for_lock(opened);
    std::string reason;
    for (int tries = 0; tries < most_tries; ++tries) {
        const auto highest = highest_number(folder);
        if (!highest) return std::unexpected(highest.error());
        const std::string name = fmt::format("{:04}-{}.toml", *highest + 1, date);
        const auto saved =
            atomic_save(opened.number(), name, text, {.replace = false}, (folder / name).string());
        if (saved || saved.error().in_place) return folder / name;
        reason = saved.error().reason;
        if (!saved.error().exists) break;
    }
    return std::unexpected(reason);
}

// Carries a folder's own entries to the disk.
void settle(const fs::path& folder) {
    const OwnedDescriptor opened(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (opened.is_open()) ::fsync(opened.number());
}

}  // namespace

std::optional<unsigned long> record_number(const std::string& name) {
    unsigned long number = 0;
    const char* end = name.data() + name.size();
    const auto [behind, error] = std::from_chars(name.data(), end, number);
    const bool record = error == std::errc() && behind != end && *behind == '-' &&
                        name.ends_with(".toml") && behind - name.data() <= 9;
    return record ? std::optional(number) : std::nullopt;
}

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
    const OwnedDescriptor opened(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (!opened.is_open()) return failed(folder, "cannot be opened", errno);
    const auto path = write_record(folder, opened, date, record_toml(record));
    if (!path) return std::unexpected(path.error());
    return path->string();
}

}  // namespace gapwright
