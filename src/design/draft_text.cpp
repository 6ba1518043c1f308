#include "design/draft_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "source/text_edit.hpp"
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

LoadBounds bounds_of(const NeedLoad& load) {
    const auto bound = [](std::string_view which, double value, Dimension dimension) {
        return fmt::format("{} = \"{}\"", which, engineering_short(value, dimension, 6));
    };
    const auto spread = [&](std::string_view key) { return load.description.find(key)->spread; };
    const auto volts = [&](double on, double off) {
        return LoadBounds{{bound("at_least", on, Dimension::voltage)},
                          {bound("at_most", off, Dimension::voltage)}};
    };
    if (load.kind == NeedLoad::Kind::coil) {
        return volts(spread("pull_in").highest, spread("drop_out").lowest);
    }
    if (load.kind == NeedLoad::Kind::logic_input) {
        return volts(spread("high_above").highest, spread("low_below").lowest);
    }
    return {{bound("at_least", *load.current, Dimension::current)},
            {bound("at_most", *load.off_current, Dimension::current),
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
    edits.push_back({file.size(), file.size(),
                     (line_ended ? "" : "\n") + parts_text(sketch) + states_text(need, sketch) +
                         promises_text(need, sketch)});
    return edited(file, std::move(edits));
}

}  // namespace gapwright
