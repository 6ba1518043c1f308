#include "app/build_files.hpp"

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "app/build_command.hpp"
#include "app/outputs.hpp"
#include "board/board.hpp"
#include "board/wiring.hpp"
#include "build/parts_to_pull.hpp"
#include "build/plan_file.hpp"
#include "folder/output_file.hpp"
#include "report/build_report.hpp"

namespace gapwright {
namespace {

void add(std::vector<OutputFile>& files, const std::string& folder, const std::string& name,
         std::string text) {
    files.push_back({.path = std::filesystem::path(folder) / name,
                     .text = std::move(text),
                     .make_folder = true});
}

bool add_board(std::vector<OutputFile>& files, const BuildAnswer& answer,
               const BuildCommandOptions& options) {
    const std::string& folder = options.folder;
    const BuildPictures pictures = build_pictures(answer);
    const PictureFolders folders{.svg = folder, .png = options.png, .pdf = options.pdf};
    if (!add_pictures(files, pictures.all(), folders)) return false;
    if (folder.empty()) return true;
    const std::string kind(board_kind_word(answer.sheet.plan.board.kind));
    const Wiring& wiring = answer.sheet.wiring;
    const Plan& plan = answer.sheet.plan;
    add(files, folder, kind + ".html", build_html(answer, pictures));
    add(files, folder, kind + "-plan.csv", plan_csv(plan, wiring));
    add(files, folder, kind + "-nodes.csv", nodes_csv(wiring, plan));
    return true;
}

}  // namespace

bool add_build_files(std::vector<OutputFile>& files, const std::vector<BuildAnswer>& answers,
                     const BuildCommandOptions& options) {
    for (const auto& answer : answers) {
        if (!add_board(files, answer, options)) return false;
    }
    if (options.folder.empty()) return true;
    const PartsToPull& parts = answers.front().parts;
    add(files, options.folder, "parts.csv", parts_csv(parts));
    if (!parts.text.empty()) {
        add(files, options.folder, "with-replacements.link.toml", parts.text);
    }
    return true;
}

}  // namespace gapwright
