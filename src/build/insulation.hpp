// The distances that the insulation between the two sides of a link asks for, and whether a board
// and its couplers have them.
//
// Figures are those of insulation_tables.hpp, from memory. Nothing here finds a link fit for mains:
// above extra-low voltage local codes and licensed practice decide, which every verdict says.
#pragma once

#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <vector>

#include "link/link.hpp"
#include "proof/cautions/cautions.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// What is asked between the two sides.
struct RequiredDistances {
    double voltage = 0;         // V, r.m.s. with mains, else d.c. or peak: what creepage is about
    double peak = 0;            // V: √2 of it with mains, else the voltage itself
    double impulse = 0;         // V, that a board withstands: of the grade
    double clearance = 0;       // m, in air
    double creepage = 0;        // m, along a surface of the insulation's material group
    double board_creepage = 0;  // m, along the board: less on printed wiring, see below
    bool extra_low = true;      // the voltage is extra-low: 60 V d.c., with mains 30 V r.m.s.
    std::vector<std::string> steps = {};  // how they were found, sentences for people
};

// The distances for a working voltage (V, the highest between the sides: with mains r.m.s., else
// d.c. or the peak of what is not d.c.) and an insulation. The voltage that counts is the working
// voltage or the mains, whichever is higher; where neither is stated, the 60 V up to which a link
// is one of extra-low voltage.
//
// Clearance: the larger of that for the impulse voltage (mains, or a mains of up to 50 V where none
// is stated, and overvoltage category) and that for the peak of the voltage; of reinforced
// insulation for the next higher preferred impulse and 160 % of the peak.
// Creepage: by the voltage, interpolated; with mains and a grade above functional the row at or
// above it. Reinforced creepage is double. Never less than the clearance. Along the board the
// columns for printed wiring count for functional insulation only, where there is one: our own
// choice, since nothing is known of how clean or coated the board will be.
//
// Error, a sentence: the voltage is above what the tables cover.
std::expected<RequiredDistances, std::string> required_distances(
    std::optional<double> working_voltage, const Insulation& insulation);

// Distances found at one coupler's place on the board, between the pads or pins of its two rows.
struct GapPlace {
    std::size_t part = 0;  // in Link::parts
    double air = 0;        // m, straight
    double surface = 0;    // m, along the board; a slot makes it longer than that in air
};

// What was found on a board.
struct FoundDistances {
    bool solderless = false;  // spring contacts in a plastic block
    // m, least between conductors of the two sides; none: not known.
    std::optional<double> between_sides = {};
    std::vector<GapPlace> gaps = {};  // one for each coupler that stands on the board
};

// One thing that was compared: what was found must be at least what is required.
struct InsulationFinding {
    std::string id = {};    // stable: "board-distance", "external-creepage", "home-made-gap" …
    std::string what = {};  // "between the sides on the board", "external creepage of U1" …
    Dimension dimension = Dimension::length;  // length, m, or voltage, V
    double found = 0;                         // zero where nobody states it
    double required = 0;
    bool kept = false;
    std::string text = {};  // a sentence for people
};

struct InsulationVerdict {
    std::optional<RequiredDistances> required;  // none: the tables do not cover the voltage
    std::vector<InsulationFinding> findings;    // then one, broken, says so
    std::vector<Caution> cautions;              // never empty

    // Whether all that was compared is kept. No statement that the link is fit for anything.
    bool kept() const;
};

// Judges what was found against what the link's insulation asks; a link without [insulation] is
// asked basic insulation without mains, and a caution says so. Compared are
// - on the board: the least distance between the sides, and under each coupler in air and along the
//   surface. A solderless board has no rating: extra-low voltage only, and no distances;
// - of each coupler's card: V_IORM against the peak of the voltage, V_IOTM against the impulse
//   voltage, with mains V_ISO against the temporary overvoltage (mains + 1200 V r.m.s., of
//   reinforced insulation double; IEC 60664-1, 5.3.3.2), external clearance and creepage (for the
//   card's material group), of reinforced insulation above extra-low voltage the distance through
//   it (0.4 mm, IEC 62368-1, from memory);
// - of each pair: a gap made by hand has no rating: extra-low voltage only.
// Above extra-low voltage a figure that nobody states counts as zero; up to there it is left out.
InsulationVerdict judge_insulation(const Link& link, const FoundDistances& found);

}  // namespace gapwright
