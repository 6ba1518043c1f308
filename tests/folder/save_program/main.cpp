// Opens a file, changes it and says how that went: "saved" or "not saved: …", then what it holds.
//   save_program FOLDER FILE TEXT
//
// Calls of the system from `begin_mark` to `end_mark` are those of the change.
#include <fmt/format.h>
#include <unistd.h>

#include <memory>

#include "folder/working_file.hpp"

namespace {

// Shows in a list of calls and does nothing.
void mark(const char* name) {
    const int refused = ::access(name, F_OK);
    static_cast<void>(refused);
}

}  // namespace

int main(int count, char** arguments) {
    if (count != 4) return 2;
    auto folder = gapwright::Folder::open(arguments[1]);
    if (!folder) return 3;
    auto file = gapwright::WorkingFile::open(
        std::make_shared<const gapwright::Folder>(std::move(*folder)), arguments[2]);
    if (!file) return 4;
    mark("/begin_mark");
    file->change(arguments[3], "the text changed");
    mark("/end_mark");
    fmt::print("{}\n", file->saved() ? "saved" : "not saved: " + file->trouble());
    fmt::print("{}\n", file->text() == arguments[3] ? "held" : "lost");
    return 0;
}
