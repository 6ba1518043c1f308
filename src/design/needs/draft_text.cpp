#include "design/needs/draft_text.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/sketch.hpp"
#include "link/need.hpp"
#include "source/source_text.hpp"
#include "source/text_edit.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr std::size_t note_column = 39;  // where remarks stand in the examples

std::string with_note(const SketchLine& line, std::size_t column = note_column) {
    if (line.note.empty()) return line.text + "\n";
    std::size_t width = 0;  // in characters, as editors show them
    for (const char c : line.text) width += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    const std::size_t gap = width + 2 < column ? column - width : 2;
    return fmt::format("{}{}# {}\n", line.text, std::string(gap, ' '), line.note);
}

std::string paths_text(const std::vector<SketchLine>& paths) {
    if (paths.size() == 1 && paths[0].note.empty()) {
        return fmt::format("paths = [\"{}\"]", paths[0].text);
    }
    std::string text = "paths = [\n";
    for (const auto& path : paths) {
        text += with_note({fmt::format("  \"{}\",", path.text), path.note});
    }
    return text + "]";
}

std::string parts_text(const Sketch& sketch) {
    std::string text = "\n[parts]\n";
    for (const auto& part : sketch.parts()) {
        text += with_note({fmt::format("{} = {}", part.name, part.text), part.note});
    }
    return text;
}

// States are named after the load.
std::string state_name(const Need& need, const SketchState& state) {
    if (!state.name.empty()) return state.name;
    return state.driven == need.driven ? "on" : "off";
}

std::string states_text(const Need& need, const Sketch& sketch) {
    std::size_t width = 0;
    for (const auto& state : sketch.states()) {
        width = std::max(width, state_name(need, state).size());
    }
    std::string text = "\n[states]\n";
    for (const auto& state : sketch.states()) {
        text += fmt::format("{:{}} = {}\n", state_name(need, state), width, state.settings);
    }
    return text;
}

std::string promise_text(const std::string& state, const std::vector<SketchLine>& lines) {
    std::string text = fmt::format("\n[[promise]]\nstate = \"{}\"\n", state);
    for (const auto& line : lines) text += with_note(line);
    return text;
}

// What the load must show when on and when off.
struct LoadBounds {
    SketchLine on;
    SketchLine off;
};

// A bound as the need or its card states it; of a spread the end that asks for more.
std::string volts_text(const Figure& figure, double bound) {
    const Place& place = figure.place;
    if (figure.spread.varies() || !place.text) {
        return fmt::format("\"{}\"", engineering_short(bound, Dimension::voltage, 6));
    }
    return std::string(place.text->text().substr(place.begin, place.end - place.begin));
}

std::string amperes_text(const std::string& stated, double bound) {
    if (!stated.empty()) return stated;
    return fmt::format("\"{}\"", engineering_short(bound, Dimension::current, 6));
}

LoadBounds bounds_of(const NeedLoad& load) {
    const auto volts = [&](Key on_key, Key off_key) {
        const auto& on = *load.description.find(on_key);
        const auto& off = *load.description.find(off_key);
        return LoadBounds{{"at_least = " + volts_text(on, on.spread.highest)},
                          {"at_most = " + volts_text(off, off.spread.lowest)}};
    };
    if (load.kind == NeedLoad::Kind::coil) return volts(Key::pull_in, Key::drop_out);
    if (load.kind == NeedLoad::Kind::logic_input) return volts(Key::high_above, Key::low_below);
    return {{"at_least = " + amperes_text(load.current_text, *load.current)},
            {"at_most = " + amperes_text(load.off_current_text, *load.off_current),
             load.off_current_assumed ? "1 % of the current when on: own choice" : ""}};
}

std::string promises_text(const Need& need, const Sketch& sketch) {
    std::string text;
    const auto bounds = bounds_of(need.load);
    for (const auto& state : sketch.states()) {
        std::vector<SketchLine> lines;
        for (const auto& line : sketch.measured()) lines.push_back({line});
        lines.push_back(state.driven == need.driven ? bounds.on : bounds.off);
        text += promise_text(state_name(need, state), lines);
    }
    for (const auto& promise : sketch.promises()) {
        const SketchState state{.driven = promise.driven, .settings = {}};
        text += promise_text(state_name(need, state), promise.lines);
    }
    return text;
}

// `duty` with a share for each state, where the need's single figure would not mean the load's "on"
// in the link. How long a sensor at rest leaks is not known: of several states with the drive alike
// the last, in which it leaks and so lights the emitter a little, gets all the time (own choice).
std::string duty_table(const Need& need, const Sketch& sketch) {
    const auto& states = sketch.states();
    std::vector<std::string> shares;
    for (auto state = states.begin(); state != states.end(); ++state) {
        const bool last = std::ranges::find(state + 1, states.end(), state->driven,
                                            &SketchState::driven) == states.end();
        const double share = state->driven == need.driven ? need.duty->share : 1 - need.duty->share;
        shares.push_back(duty_text(state_name(need, *state), last ? share : 0));
    }
    return fmt::format("{{ {} }}", fmt::join(shares, ", "));
}

// Whether a single figure says of the link what it says of the need.
bool single_duty_serves(const Need& need, const Sketch& sketch) {
    const auto& states = sketch.states();
    return states.size() <= 2 && states.front().driven == need.driven;
}

}  // namespace

std::string draft_text(const Need& need, const Sketch& sketch) {
    const std::string_view file = need.file->text();
    std::vector<TextEdit> edits;
    bool line_ended = file.empty() || file.ends_with('\n');
    for (const Side side : {Side::input, Side::output}) {
        const PathsSpot& spot = need.side(side).paths;
        edits.push_back(
            {spot.at, spot.at, spot.before + paths_text(sketch.paths(side)) + spot.after});
        line_ended = line_ended || (spot.at == file.size() && spot.after.ends_with('\n'));
    }
    if (need.duty && !single_duty_serves(need, sketch)) {
        edits.push_back(replacement_at(need.duty->place, duty_table(need, sketch)));
    }
    edits.push_back({file.size(), file.size(),
                     (line_ended ? "" : "\n") + parts_text(sketch) + states_text(need, sketch) +
                         promises_text(need, sketch)});
    return edited(file, std::move(edits));
}

std::string in_time_text(const Need& need, const Sketch& sketch) {
    if (!(need.rate > 0) || need.load.kind != NeedLoad::Kind::logic_input) return {};
    const double low = need.load.description.find(Key::low_below)->spread.nominal;
    const double high = need.load.description.find(Key::high_above)->spread.nominal;
    std::string text = fmt::format("\n[signal]\nrate = \"{}\"\n\n[[promise]]\n",
                                   engineering_short(need.rate, Dimension::signalling_rate, 6));
    text += with_note({"signal = \"pulse width error\"",
                       "a bit is sampled in its middle: half of it is the end"});
    for (const auto& line : sketch.measured()) text += line + "\n";
    text += with_note({fmt::format("reaches = \"{}\"",
                                   engineering_short((low + high) / 2, Dimension::voltage, 3)),
                       "the middle of the input's undefined range"});
    text += with_note({"at_most = \"25 %\"", "own choice"});
    return text;
}

}  // namespace gapwright
