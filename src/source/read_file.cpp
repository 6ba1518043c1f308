#include <fmt/format.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>

#include "source/toml_document.hpp"

namespace gapwright {
namespace {

Problems one(Cause cause, std::string message, std::string remedy) {
    return {{.cause = cause,
             .place = {},
             .message = std::move(message),
             .remedy = std::move(remedy)}};
}

}  // namespace

Expected<std::shared_ptr<const SourceText>> read_file(const std::string& path, std::size_t limit) {
    std::error_code error;
    const auto status = std::filesystem::status(path, error);
    const auto refuse = [&](std::string_view why) {
        return std::unexpected(one(Cause::unreadable_file,
                                   fmt::format("{}: {}", path, why),
                                   "name a file that exists and may be read"));
    };
    if (!std::filesystem::exists(status)) return refuse("there is no such file");
    if (std::filesystem::is_directory(status)) return refuse("this is a folder, not a file");
    std::ifstream stream(path, std::ios::binary);
    if (!stream) return refuse(std::strerror(errno));
    // Reads no further than the limit, so that a device or a huge file does not fill the memory.
    std::string text(limit + 1, '\0');
    stream.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(stream.gcount()));
    if (stream.bad()) return refuse("reading it failed");
    if (text.size() > limit) {
        const auto size = std::filesystem::file_size(path, error);
        return std::unexpected(
            one(Cause::oversized_file,
                fmt::format("{}: the file holds {} KiB, more than the {} KiB that are read", path,
                            error ? limit / 1024 + 1 : size / 1024, limit / 1024),
                "split it, or remove what does not belong into it"));
    }
    return std::make_shared<const SourceText>(path, std::move(text));
}

}  // namespace gapwright
