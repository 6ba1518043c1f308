// Opening files without being led astray. Internal to the layer.
#pragma once

#include <sys/stat.h>
#include <sys/types.h>

#include <string>
#include <string_view>

#include "folder/atomic_save.hpp"
#include "folder/folder.hpp"

namespace gapwright {

// openat() until no signal breaks it off; the number, or -1 with errno.
int open_again(int folder, const char* name, int flags, mode_t mode = 0);

FileStamp stamp_of(const struct stat& status);

// The folder that a path's last part is in, and that part. `folder` is where the path starts.
struct Opened {
    OwnedDescriptor folder;
    std::string name;
};
FileExpected<Opened> open_parent(int folder, std::string_view path);

// The plain file of that name, for reading.
FileExpected<OwnedDescriptor> open_plain(int folder, const std::string& name,
                                         std::string_view shown);

FileError file_error(FileFault kind, std::string_view shown, std::string_view words);

}  // namespace gapwright
