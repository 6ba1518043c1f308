// A build sheet for the page: shown by build_work, and told in files by the export.
#pragma once

#include <string>
#include "build/build_sheet.hpp"
#include "build/parts_to_pull.hpp"
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

// Errors: the link's problems, no circuit or proof, a drawer that cannot be read, parts that do not
// fit.
Answered<BuildMade> make_build(const LinkText& source, const std::string& board,
                               JobProgress& progress);

}  // namespace gapwright
