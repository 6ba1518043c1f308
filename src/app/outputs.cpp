#include "app/outputs.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <expected>
#include <filesystem>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "app/exit_status.hpp"
#include "app/terminal.hpp"
#include "folder/output_file.hpp"
#include "report/html/html_report.hpp"
#include "report/pictures/picture_file.hpp"
#include "source/diagnostics.hpp"
#include "source/display.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view standard_output = "-";

using Encode = std::expected<std::string, std::string> (*)(const std::string& svg);

std::expected<std::string, std::string> as_it_is(const std::string& svg) {
    return svg;
}

bool add_as(std::vector<OutputFile>& files, const std::vector<const NamedPicture*>& pictures,
            const std::string& folder, std::string_view ending, Encode encode) {
    if (folder.empty()) return true;
    std::vector<std::string> taken;
    for (const auto* picture : pictures) {
        auto data = encode(picture->picture.svg(true));
        if (!data) {
            tell("gapwright: {}: {}\n", picture->name, data.error());
            return false;
        }
        const std::string own = file_name(picture->name);
        std::string name = own;
        for (int k = 2; std::ranges::find(taken, name) != taken.end(); ++k) {
            name = fmt::format("{}-{}", own, k);
        }
        taken.push_back(name);
        files.push_back({.path = fs::path(folder) / (name + std::string(ending)),
                         .text = std::move(*data),
                         .make_folder = true});
    }
    return true;
}

Problems only_told(Cause cause, std::string message, std::string remedy) {
    Diagnostic problem{.cause = cause, .place = {}, .message = {}, .remedy = {}};
    problem.message = std::move(message);
    problem.remedy = std::move(remedy);
    return only(std::move(problem));
}

Problems problems_of(const std::vector<Obstacle>& obstacles) {
    Problems problems;
    std::vector<std::string> there;
    for (const auto& obstacle : obstacles) {
        const std::string path = obstacle.path.string();
        switch (obstacle.kind) {
            case Obstacle::Kind::is_there:
                there.push_back(path);
                break;
            case Obstacle::Kind::is_input:
                problems.push_back(only_told(Cause::output_is_input,
                                             path + " is read by this run: it is not written over",
                                             "write to another file")
                                       .front());
                break;
            case Obstacle::Kind::named_twice:
                problems.push_back(only_told(Cause::contradiction,
                                             path + " is named for more than one output",
                                             "give each a file of its own")
                                       .front());
                break;
        }
    }
    if (there.empty()) return problems;
    const std::string message =
        there.size() == 1
            ? there.front() + " is there already"
            : fmt::format("{} files are there already: {}", there.size(), fmt::join(there, ", "));
    problems.push_back(only_told(Cause::output_exists, message,
                                 "nothing was written; name another place, or add --replace")
                           .front());
    return problems;
}

OutputRule rule_of(const Outputs& outputs) {
    return {.replace = outputs.replace, .inputs = files_read()};
}

}  // namespace

std::string file_name(const std::string& name) {
    std::string result;
    for (const char c : printable(name)) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                           (c >= '0' && c <= '9') || c == '-' || c == '.' ||
                           static_cast<unsigned char>(c) >= 0x80;
        result += plain ? c : '_';
    }
    return result;
}

std::vector<NamedOutput> PictureFolders::named() const {
    return {{"--svg", svg}, {"--png", png}, {"--pdf", pdf}};
}

bool Outputs::take_stdout() const {
    return std::ranges::find(files, standard_output, &NamedOutput::path) != files.end();
}

std::optional<ExitStatus> refuse_outputs(const Outputs& outputs) {
    std::vector<fs::path> paths;
    std::vector<std::string> to_stdout;
    if (outputs.json) to_stdout.emplace_back("--json");
    for (const auto& file : outputs.files) {
        if (file.path == standard_output) {
            to_stdout.push_back(fmt::format("{} -", file.option));
        } else if (!file.path.empty()) {
            paths.emplace_back(file.path);
        }
    }
    if (to_stdout.size() > 1) {
        return refuse(
            only_told(Cause::contradiction,
                      fmt::format("{} cannot all have standard output", fmt::join(to_stdout, ", ")),
                      "name a file for all but one"),
            outputs.json);
    }
    for (const auto& folder : outputs.folders) {
        if (folder.path != standard_output) continue;
        return refuse(only_told(Cause::contradiction,
                                fmt::format("{} names a folder, not a file", folder.option),
                                "name a folder; one that is called - is ./-"),
                      outputs.json);
    }
    const auto obstacles = find_obstacles(paths, rule_of(outputs));
    if (obstacles.empty()) return std::nullopt;
    return refuse(problems_of(obstacles), outputs.json);
}

bool write_answer(std::string_view text, const Outputs& outputs) {
    if (outputs.json) return write_json(text);
    if (!outputs.take_stdout()) return write_out(text);
    tell_text(text);
    return true;
}

void add_file(std::vector<OutputFile>& files, const std::string& path, std::string text) {
    if (!path.empty()) files.push_back({.path = path, .text = std::move(text)});
}

bool add_pictures(std::vector<OutputFile>& files, const std::vector<const NamedPicture*>& pictures,
                  const PictureFolders& folders) {
    return add_as(files, pictures, folders.svg, ".svg", as_it_is) &&
           add_as(files, pictures, folders.png, ".png", png_of) &&
           add_as(files, pictures, folders.pdf, ".pdf", pdf_of);
}

bool add_pictures(std::vector<OutputFile>& files, const std::vector<NamedPicture>& pictures,
                  const PictureFolders& folders) {
    std::vector<const NamedPicture*> all;
    for (const auto& picture : pictures) all.push_back(&picture);
    return add_pictures(files, all, folders);
}

std::optional<ExitStatus> write_files(const std::vector<OutputFile>& files, const Outputs& outputs,
                                      const std::stop_token& stop) {
    std::vector<OutputFile> named;
    const OutputFile* to_stdout = nullptr;
    for (const auto& file : files) {
        if (file.path == standard_output) {
            to_stdout = &file;
        } else {
            named.push_back(file);
        }
    }
    OutputRule rule = rule_of(outputs);
    if (stop.stop_requested()) rule.replace = false;
    const auto written = write_outputs(named, rule);
    if (!written && !written.error().obstacles.empty()) {
        const bool all_there = std::ranges::all_of(
            written.error().obstacles,
            [](const Obstacle& obstacle) { return obstacle.kind == Obstacle::Kind::is_there; });
        if (stop.stop_requested() && outputs.replace && all_there) {
            tell("gapwright: stopped: files that were there are left as they were\n");
            return exit_failed;
        }
        return refuse(problems_of(written.error().obstacles), false);
    }
    if (!written) {
        tell("gapwright: {}\n", written.error().reason);
        return exit_failed;
    }
    if (to_stdout && !write_bytes(to_stdout->text)) return exit_failed;
    return std::nullopt;
}

}  // namespace gapwright
