#include "folder/file_ids.hpp"

#include <fmt/format.h>

#include <cstdint>
#include <mutex>
#include <optional>
#include <random>
#include <string>
#include <string_view>

namespace gapwright {

FileId FileIds::id_of(const std::string& path) {
    const std::lock_guard lock(mutex_);
    if (const auto known = ids_.find(path); known != ids_.end()) return known->second;
    std::random_device random("/dev/urandom");
    FileId id;
    do {
        const std::uint64_t high = random();
        id = fmt::format("{:016x}", high << 32U | random());
    } while (paths_.contains(id));
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
