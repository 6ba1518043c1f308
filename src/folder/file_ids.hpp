// Names for files that mean nothing to anybody else, and the same at every start of the program.
#pragma once

#include <functional>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

namespace gapwright {

using FileId = std::string;  // 16 hex digits

// A table of paths and ids. What is not in it cannot be asked for: a page speaks of files by their
// ids, so that no path ever comes from it. An id follows from the path (FNV-1a of 64 bits, Fowler,
// Noll and Vo; from memory), so that addresses and open pages outlive a restart; where two paths
// come to the same, the later one gets the next that is free. All functions may be called from
// several threads.
class FileIds {
  public:
    // The id of a path, made at its first mention.
    FileId id_of(const std::string& path);

    // The path of an id that was given out; nothing for any other text.
    std::optional<std::string> path_of(std::string_view id) const;

  private:
    mutable std::mutex mutex_;
    std::map<std::string, FileId> ids_;
    std::map<FileId, std::string, std::less<>> paths_;
};

}  // namespace gapwright
