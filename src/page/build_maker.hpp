// A build sheet for the page: shown by build_work, and told in files by the export.
#pragma once

#include <string>
#include "build/build_sheet.hpp"
#include "build/parts_to_pull.hpp"
#include "page/board_table.hpp"
#include "page/jobs.hpp"
#include "page/judged.hpp"
#include "page/refusal.hpp"
#include "report/build_report.hpp"

namespace gapwright {

struct BuildMade {
    Judged judged;
    PartsToPull parts;
    BuildSheet sheet;

    // Refers to this.
    BuildAnswer answer() const { return {*judged.link, *judged.proof, parts, sheet}; }
};

// What a build is made of: a link's text by its id, and the kind of board.
struct BuildOrder {
    std::string link_id;
    LinkText source;
    std::string board;
};

// Errors: the link's problems, no circuit or proof, a drawer that cannot be read, parts that do not
// fit.
Answered<BuildMade> make_build(const BuildOrder& order, BoardTable& boards, JobProgress& progress);

}  // namespace gapwright
