// What a command writes for its user, under one rule: nothing of the user's is lost.
//
// A file that the same run reads is never written. A file that is there is replaced only where that
// was asked for; one that holds the very same bytes already is left as it is. All files are looked
// at before the first is written, and where one stands in the way none is. A file that appears
// meanwhile is not replaced either.
#pragma once

#include <expected>
#include <filesystem>
#include <string>
#include <vector>

namespace gapwright {

struct OutputRule {
    bool replace = false;             // files that are there
    std::vector<std::string> inputs;  // paths of the files that this run has read
};

struct OutputFile {
    std::filesystem::path path;
    std::string text;
    bool make_folder = false;  // the folder that it is in, where that is missing
};

// Why a file may not be written.
struct Obstacle {
    enum class Kind {
        is_input,     // this run reads it: by the same path, a link, or a second name of the file
        is_there,     // and is not to be replaced
        named_twice,  // another output has its name
    };
    Kind kind = Kind::is_there;
    std::filesystem::path path;
};

// Of files whose contents are not known yet, so before long work. In the order of `paths`.
std::vector<Obstacle> find_obstacles(const std::vector<std::filesystem::path>& paths,
                                     const OutputRule& rule);

struct OutputFailure {
    std::vector<Obstacle> obstacles;  // nothing was written, unless it appeared meanwhile
    std::string reason;               // without obstacles: one sentence, no full stop; files before
                                      // the one that failed are written
};

// Writes all of them, each whole or not at all.
std::expected<void, OutputFailure> write_outputs(const std::vector<OutputFile>& files,
                                                 const OutputRule& rule);

}  // namespace gapwright
