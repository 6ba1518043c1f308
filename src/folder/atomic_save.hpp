// Saves a file so that, whatever happens meanwhile, it is the old or the new one, and whole.
//
// The text is written into a temporary file beside it (".NAME.PID-….part"), carried to the disk,
// and only then given the name. A process that is killed leaves at most that temporary file, which
// the next save of the same file removes once its owner is gone.
#pragma once

#include <cstdint>
#include <expected>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>

namespace gapwright {

// A file descriptor that is closed at the end.
class OwnedDescriptor {
  public:
    explicit OwnedDescriptor(int number = -1) : number_(number) {}
    OwnedDescriptor(OwnedDescriptor&& other) noexcept : number_(other.release()) {}
    OwnedDescriptor& operator=(OwnedDescriptor&& other) noexcept;
    OwnedDescriptor(const OwnedDescriptor&) = delete;
    OwnedDescriptor& operator=(const OwnedDescriptor&) = delete;
    ~OwnedDescriptor();

    int number() const { return number_; }
    bool is_open() const { return number_ >= 0; }
    int release();
    // 0, or the reason why what was written may be lost.
    int close();

  private:
    int number_;
};

// By what a changed file is known without reading it. Two writes within one tick of the system's
// clock (some ms) can leave the same stamp.
struct FileStamp {
    std::uint64_t device = 0;
    std::uint64_t inode = 0;
    std::int64_t modified = 0;  // ns since 1970
    std::int64_t status =
        0;  // ns since 1970, of the last change of any kind; no one can set it back
    std::uint64_t size = 0;  // bytes

    bool operator==(const FileStamp&) const = default;
};

struct SaveFailure {
    std::string reason;   // one sentence, no full stop: "… : there is no space left on the disk"
    bool exists = false;  // a file of the name is there, and was not to be replaced
    // Where the new text has its name already, and only the folder's entry may not outlast a power
    // cut: its stamp.
    std::optional<FileStamp> in_place = std::nullopt;
};

struct SaveOptions {
    bool replace = true;   // false: never replaces a file
    bool outlasts = true;  // a power cut; false, and quicker, for what can be made again
    // Asked last of all before the file gets its name; a reason calls the save off. So whoever
    // compares the old file does it here, and little time is left for others to change it.
    std::function<std::expected<void, std::string>()> last_look = {};
};

// Saves `text` as `name` in the folder open as `folder`; `shown` is its name in messages. `name`
// has no '/'. A file that is there keeps its permission bits (not its owner, nor extended
// attributes); one that may not be written, or is no plain file, is an error, and so is all that
// the system refuses. The stamp is the new file's.
std::expected<FileStamp, SaveFailure> atomic_save(int folder, const std::string& name,
                                                  std::string_view text,
                                                  const SaveOptions& options = {},
                                                  std::string_view shown = {});

// Saves at a path that a person named to a command; where it is a link, what the link leads to.
// Errors: as atomic_save's, and a folder that is not there or cannot be opened.
std::expected<void, SaveFailure> save_at(const std::filesystem::path& path, std::string_view text,
                                         const SaveOptions& options = {});

// What the system says of an error number, in plain words: "there is no space left on the disk".
std::string plain_reason(int error);

}  // namespace gapwright
