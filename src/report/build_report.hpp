// A build sheet as one self-contained HTML file, with its pictures, and as tables.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "build/build_sheet.hpp"
#include "build/parts_to_pull.hpp"
#include "report/html/html_report.hpp"

namespace gapwright {

// What a sheet is told from. Refers to all of it.
struct BuildAnswer {
    const Link& link;
    const Proof& proof;
    const PartsToPull& parts;
    const BuildSheet& sheet;
};

// Everything that is drawn for one board; names begin with the board's word.
struct BuildPictures {
    std::vector<NamedPicture> plans;      // from above, and from below where there is soldering
    std::vector<NamedPicture> schematic;  // the first state
    std::vector<NamedPicture> resistors;  // with their bands, each value once
    std::vector<std::vector<NamedPicture>> steps;  // by step: one, or none

    std::vector<const NamedPicture*> all() const;
};
BuildPictures build_pictures(const BuildAnswer& answer);

std::string build_html(const BuildAnswer& answer, const BuildPictures& pictures);

// "solderless board of 30 rows", "strip board of 10 strips with 13 holes each".
std::string board_words(const Board& board);

// What the drawer gives for a part, and what stands in for what it lacks; sentences.
std::vector<std::string> drawer_words(const PullItem& item, bool has_drawer);

// What to heed while building, the gravest first; sentences.
std::vector<std::string> build_cautions(const BuildAnswer& answer);

// CSV, RFC 4180: designators,count,part,bands,marking,drawer line,missing,instead.
std::string parts_csv(const PartsToPull& parts);
// side,node,holes: every node with all its holes, parts' pins and wires' ends.
std::string nodes_csv(const Wiring& wiring, const Plan& plan);

// A node's holes with what is in each: "d14 (R1 2), e14 (U1 1 anode), b14 (wire 3)".
std::vector<std::string> node_holes(const Wiring& wiring, const Plan& plan, std::size_t node);

// What `build` prints: boards, wires, isolation, what is missing.
std::string build_text(const std::vector<BuildAnswer>& answers, bool colour);

// The same for programs, one JSON document.
std::string build_json(const std::vector<BuildAnswer>& answers);

}  // namespace gapwright
