// A folder of plain files, and nothing outside of it.
//
// A path here is relative, its parts joined by '/'. Each part is opened by itself and without
// following symbolic links, so that neither "..", nor an absolute path, nor a link leads out, also
// while somebody changes the folder. (A hard link cannot be told from a file.) FIFOs, devices and
// the like are refused and never waited for.
#pragma once

#include <cstddef>
#include <cstdint>
#include <expected>
#include <filesystem>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "folder/atomic_save.hpp"

namespace gapwright {

struct FolderEntry {
    std::string path;          // relative: "bell.link.toml", "cards/opto.card.toml"
    std::uint64_t size = 0;    // bytes
    std::int64_t changed = 0;  // ns since 1970
};

struct FolderListing {
    std::vector<FolderEntry> files = {};  // by path
    bool cut = false;  // there are more than `most_files`, or very many of other kinds
    std::vector<std::string> unread = {};  // subfolders that could not be read; relative
};

// One file as it was read.
struct FileContent {
    std::string text;
    FileStamp stamp;
};

enum class FileFault {
    bad_path,    // no path of a file below the folder
    missing,     // there is no such file
    not_a_file,  // a folder, link, FIFO, device …
    too_large,   // above the limit
    taken,       // there is something of that name
    unreadable,  // the system refuses; its reason is in the words
};

struct FileError {
    FileFault kind = FileFault::unreadable;
    std::string message;  // one sentence with the path, no full stop
    std::string words;    // the same without the path
};

template <class T>
using FileExpected = std::expected<T, FileError>;

class Folder {
  public:
    // Errors, in words with the system's reason: not there, no folder, no permission. The path
    // itself may hold links: it is what the person asked for.
    static std::expected<Folder, std::string> open(const std::filesystem::path& path);

    // As it was given.
    const std::filesystem::path& path() const { return path_; }

    static constexpr int deepest = 3;                // subfolders that a listing goes down
    static constexpr std::size_t most_files = 5000;  // in a listing
    static constexpr std::size_t largest_read = std::size_t{8} << 20U;  // bytes, unless told

    // Plain files in the folder and in its subfolders. Hidden ones, links and names
    // that are not UTF-8 or hold control characters are left out. A subfolder that cannot be read
    // is left out too, and named.
    FolderListing list() const;

    FileExpected<FileContent> read(std::string_view path, std::size_t limit = largest_read) const;

    // Its stamp, without reading it. Errors: as read, but too_large.
    FileExpected<FileStamp> stamp(std::string_view path) const;

    // Saves as atomic_save does; makes no folders. A path that leads out is refused.
    std::expected<FileStamp, SaveFailure> save(std::string_view path, std::string_view text,
                                               const SaveOptions& options = {}) const;

    // Gives a file or folder another path below this folder, at once and whole; makes the last
    // folder of the new path where it is missing. Replaces none. Errors: as read; `taken`.
    std::expected<void, FileError> move(std::string_view from, std::string_view to) const;

  private:
    Folder(std::filesystem::path path, OwnedDescriptor descriptor)
        : path_(std::move(path)), descriptor_(std::move(descriptor)) {}

    std::filesystem::path path_;
    OwnedDescriptor descriptor_;
};

// A name for a new file from what a person typed: letters without marks, digits, '-', '_' and '.',
// up to 100 bytes, no dot in front; `ending` (".link.toml") is put behind it where it does not end
// so yet. Spaces around it are dropped. Errors say what is allowed.
std::expected<std::string, std::string> new_file_name(std::string_view typed,
                                                      std::string_view ending);

}  // namespace gapwright
