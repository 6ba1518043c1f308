// The part of toml_document.hpp that fetches a file from the disk.
#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <expected>
#include <filesystem>
#include <memory>
#include <mutex>
#include <set>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/text_check.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

struct ReadLog {
    std::mutex mutex;
    std::set<std::string> paths;
};
ReadLog& read_log() {
    static ReadLog log;
    return log;
}

std::unexpected<Problems> unreadable(const std::string& path, std::string_view reason) {
    return std::unexpected(Problems{{.cause = Cause::unreadable_file,
                                     .place = {},
                                     .message = fmt::format("{} cannot be read: {}", path, reason),
                                     .remedy = {}}});
}

std::unexpected<Problems> unreadable(const std::string& path, std::error_code reason) {
    return unreadable(path, reason.message());
}

std::error_code last_error() {
    return {errno, std::generic_category()};
}

struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
};

}  // namespace

std::vector<std::string> files_read() {
    const std::lock_guard lock(read_log().mutex);
    return {read_log().paths.begin(), read_log().paths.end()};
}

Expected<std::string> read_bytes(const std::string& path, std::size_t limit) {
    {
        const std::lock_guard lock(read_log().mutex);
        read_log().paths.insert(path);
    }
    std::error_code trouble;
    const auto status = std::filesystem::status(path, trouble);
    if (trouble) return unreadable(path, trouble);
    if (std::filesystem::is_directory(status)) return unreadable(path, "it is a folder");
    if (!std::filesystem::is_regular_file(status)) return unreadable(path, "it is not a file");
    const auto size = std::filesystem::file_size(path, trouble);
    if (trouble) return unreadable(path, trouble);
    if (size > limit) return std::unexpected(only(oversized(path, size, limit)));

    const std::unique_ptr<std::FILE, Close> file(std::fopen(path.c_str(), "rb"));
    if (!file) return unreadable(path, last_error());
    // One byte more than announced shows whether the file grew meanwhile.
    std::string text(size + 1, '\0');
    text.resize(std::fread(text.data(), 1, text.size(), file.get()));
    if (std::ferror(file.get()) != 0) return unreadable(path, last_error());
    if (text.size() > size) return unreadable(path, "it grew while it was being read");
    return text;
}

Expected<std::shared_ptr<const SourceText>> read_file(const std::string& path, std::size_t limit) {
    auto bytes = read_bytes(path, limit);
    if (!bytes) return std::unexpected(std::move(bytes.error()));
    return std::make_shared<const SourceText>(path, std::move(*bytes));
}

}  // namespace gapwright
