// What the options of a command name to write, and the writing, under the rule of
// folder/output_file.hpp.
#pragma once

#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

#include "app/exit_status.hpp"
#include "folder/output_file.hpp"
#include "report/html/html_report.hpp"

namespace gapwright {

// One option and its value as typed; empty: not given. For a file "-" is standard output.
struct NamedOutput {
    std::string_view option;
    std::string path;
};

// Where a command's pictures go; an empty folder: none of that kind.
struct PictureFolders {
    std::string svg;
    std::string png;
    std::string pdf;

    bool any() const { return !svg.empty() || !png.empty() || !pdf.empty(); }
    std::vector<NamedOutput> named() const;
};

struct Outputs {
    std::vector<NamedOutput> files = {};
    std::vector<NamedOutput> folders = {};
    bool replace = false;  // files that are there
    bool json = false;     // what the command says is one JSON document

    // An output goes to standard output: then what the command says goes to standard error.
    bool take_stdout() const;
};

// Before long work, once its inputs have been read: told, with its exit status, where an output
// stands in the way of another, is an input, or is there already.
std::optional<ExitStatus> refuse_outputs(const Outputs& outputs);

// What the command says: words, or with `json` the document. False, told, where it could not be
// written.
bool write_answer(std::string_view text, const Outputs& outputs);

// A name of a state or part as the name of a file: what is no plain character becomes _.
std::string file_name(const std::string& name);

// Nothing where `path` is empty.
void add_file(std::vector<OutputFile>& files, const std::string& path, std::string text);

// Every picture under its name, NAME.svg …, folders made where they are missing; names that come to
// the same get a number. False, told on stderr, when one could not be drawn.
bool add_pictures(std::vector<OutputFile>& files, const std::vector<const NamedPicture*>& pictures,
                  const PictureFolders& folders);
bool add_pictures(std::vector<OutputFile>& files, const std::vector<NamedPicture>& pictures,
                  const PictureFolders& folders);

// Writes all of them or, where one stands in the way, none. What could not be written is told, and
// its exit status returned. A run that was stopped replaces nothing.
std::optional<ExitStatus> write_files(const std::vector<OutputFile>& files, const Outputs& outputs,
                                      const std::stop_token& stop);

}  // namespace gapwright
