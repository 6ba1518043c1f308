// What figures of the trade are, kind by kind: a figure beyond these is perhaps misread by a power
// of ten, or of another part. All are common practice, wide enough for what is sold; what is beyond
// is only doubted, and far beyond cannot be.
#pragma once

#include <limits>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "units/dimension.hpp"

namespace gapwright::checking {

struct UsualFigure {
    std::vector<Kind> kinds;
    Key key;
    double lowest, highest;  // of what is usual, in the key's inner unit
    double least_possible, most_possible;
    std::string_view hint = {};       // what it may be taken for
    std::optional<Key> with = {};     // of cards that state this key …
    std::optional<Key> without = {};  // … or do not
};
std::span<const UsualFigure> usual_figures();

// Figures that must fit one another: what two or more of them make together.
struct UsualRelation {
    std::vector<Kind> kinds;
    std::vector<Key> of;  // all stated; the first is the one to blame
    // What they make, with the figures at their nominal.
    double (*value)(const Description& card);
    double lowest, highest;
    Dimension dimension;
    std::string_view words;  // "what it takes at its rated current"
    double least_possible = -std::numeric_limits<double>::infinity();
    double most_possible = std::numeric_limits<double>::infinity();
};
std::span<const UsualRelation> usual_relations();

}  // namespace gapwright::checking
