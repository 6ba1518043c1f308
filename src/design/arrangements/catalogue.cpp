#include "design/arrangements/catalogue.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <span>
#include <vector>

#include "card/card_shelf.hpp"
#include "design/arrangements/all.hpp"  // IWYU pragma: keep (of the list)
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"
#include "design/needs/draft.hpp"
#include "design/needs/draft_text.hpp"
#include "design/needs/gap_choice.hpp"
#include "link/link.hpp"
#include "link/need.hpp"

namespace gapwright {
namespace {

Draft draw(const Circumstances& c, const Arrangement& input, const Arrangement& output) {
    Sketch sketch;
    input.draw(c, sketch);
    sketch.part("U1", c.gap.text, c.gap.note);
    output.draw(c, sketch);
    return {.input = fmt::format("{}{}", input.name, c.indicator ? ", with an indicator" : ""),
            .gap = c.gap.name,
            .output = std::string(output.name),
            .text = draft_text(c.need, sketch),
            .in_time = in_time_text(c.need, sketch),
            .sets_speed = sketch.speed_setters()};
}

}  // namespace

std::span<const Arrangement> input_arrangements() {
    static const std::vector<Arrangement> list = {
#define INPUT(name) arrangements::name(),
#define OUTPUT(name)
#include "design/arrangements/list.inc"
#undef INPUT
#undef OUTPUT
    };
    return list;
}

std::span<const Arrangement> output_arrangements() {
    static const std::vector<Arrangement> list = {
#define INPUT(name)
#define OUTPUT(name) arrangements::name(),
#include "design/arrangements/list.inc"
#undef INPUT
#undef OUTPUT
    };
    return list;
}

// With the input side dead the receiver is dark.
bool serves_when_dead(const Need& need, const Arrangement& output) {
    switch (need.asked_when_dead()) {
        case Need::WhenDead::off:
            return output.follows;
        case Need::WhenDead::on:
            return !output.follows;
        case Need::WhenDead::any:
            break;
    }
    return true;
}

bool fits_some_gap(const Need& need, const Arrangement& output) {
    CardShelf shelf = shelf_beside(need.folder);
    const auto gaps = gap_choices(need, shelf);
    return std::ranges::any_of(gaps, [&](const GapChoice& gap) {
        return output.fits({.need = need, .shelf = shelf, .gap = gap});
    });
}

std::vector<Draft> drafts_of(const Need& need) {
    CardShelf shelf = shelf_beside(need.folder);
    std::vector<Draft> drafts;
    for (const auto& gap : gap_choices(need, shelf)) {
        for (const bool indicator : {false, true}) {
            if (!(indicator ? need.with_indicator : need.without_indicator)) continue;
            const Circumstances c{.need = need, .shelf = shelf, .gap = gap, .indicator = indicator};
            for (const auto& input : input_arrangements()) {
                if (!input.fits(c)) continue;
                for (const auto& output : output_arrangements()) {
                    // Two inversions make none.
                    const bool driven = input.follows == output.follows;
                    if (driven != need.driven || !serves_when_dead(need, output)) continue;
                    if (output.fits(c)) {
                        drafts.push_back(draw(c, input, output));
                    }
                }
            }
        }
    }
    return drafts;
}

}  // namespace gapwright
