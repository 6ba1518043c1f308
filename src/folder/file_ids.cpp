#include "folder/file_ids.hpp"

#include <fmt/format.h>

#include <cstdint>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

namespace gapwright {
namespace {

std::uint64_t hash_of(std::string_view path) {
    std::uint64_t hash = 0xcbf29ce484222325U;
    for (const char c : path) {
        hash ^= static_cast<unsigned char>(c);
        hash *= 0x100000001b3U;
    }
    return hash;
}

}  // namespace

FileId FileIds::id_of(const std::string& path) {
    const std::lock_guard lock(mutex_);
    if (const auto known = ids_.find(path); known != ids_.end()) return known->second;
    std::uint64_t hash = hash_of(path);
    FileId id = fmt::format("{:016x}", hash);
    while (paths_.contains(id)) id = fmt::format("{:016x}", ++hash);
    ids_.emplace(path, id);
    paths_.emplace(id, path);
    return id;
}

std::optional<std::string> FileIds::path_of(std::string_view id) const {
    const std::lock_guard lock(mutex_);
    const auto found = paths_.find(id);
    if (found == paths_.end()) return std::nullopt;
    return found->second;
}

}  // namespace gapwright
