#include "design/arrangements/load_branch.hpp"

#include <fmt/format.h>
#include <string>
#include <utility>
#include <vector>
#include "card/key.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/arrangement.hpp"
#include "design/arrangements/sketch.hpp"
#include "link/need.hpp"

namespace gapwright {
namespace {

struct LoadName {
    std::string part;  // "K1"
    std::string node;  // where it meets its switch
};

LoadName name_of(NeedLoad::Kind kind) {
    switch (kind) {
        case NeedLoad::Kind::coil:
            return {"K1", "coil"};
        case NeedLoad::Kind::indicator:
            return {"D2", "lamp"};
        case NeedLoad::Kind::load:
            return {"W1", "load"};
        case NeedLoad::Kind::logic_input:
            break;
    }
    return {"L1", "signal"};
}

// The load in a path, an indicator with its resistor.
std::string draw_load(const Circumstances& c, Sketch& sketch, const LoadName& name) {
    std::string run = name.part;
    if (c.need.load.kind == NeedLoad::Kind::indicator) run = sketch.resistor() + " > " + run;
    sketch.part(name.part, table_text(c.need.load.text));
    return run;
}

// A coil, or a load whose inductance is stated: its current must find a way when it is switched
// off.
bool has_winding(const Circumstances& c) {
    switch (c.need.load.kind) {
        case NeedLoad::Kind::coil:
            return true;
        case NeedLoad::Kind::load: {
            const auto* inductance = c.need.load.description.find(Key::inductance);
            return !inductance || inductance->spread.highest > 0;
        }
        case NeedLoad::Kind::indicator:
        case NeedLoad::Kind::logic_input:
            break;
    }
    return false;
}

// From supply to return through two runs of parts and the node between them. That node is named in
// two paths, since a name that stands in one place only is none: the flyback diode meets it, or,
// for a load without a winding, one path ends there and another begins.
void draw_branch(const Circumstances& c, Sketch& sketch, const std::string& upper,
                 const std::string& node, const std::string& lower) {
    if (!has_winding(c)) {
        sketch.path(Side::output, fmt::format("supply > {} > {}", upper, node));
        sketch.path(Side::output, fmt::format("{} > {} > return", node, lower));
    } else {
        sketch.path(Side::output,
                    fmt::format("supply > {} > {} > {} > return", upper, node, lower));
    }
}

void draw_flyback(const Circumstances& c, Sketch& sketch, const std::string& path) {
    if (!has_winding(c)) return;
    const bool coil = c.need.load.kind == NeedLoad::Kind::coil;
    sketch.path(Side::output, path, coil ? "flyback diode" : "flyback diode, where it has a coil");
    sketch.part("D1", card_text("rectifier-diode"));
}

void measure_load(const Circumstances& c, Sketch& sketch, const LoadName& name,
                  const std::string& across) {
    if (c.need.load.kind == NeedLoad::Kind::coil) {
        std::vector<std::string> lines = {"voltage = " + across};
        if (across.starts_with('[')) lines.emplace_back("side = \"output\"");  // both have supply
        sketch.measure(std::move(lines));
    } else {
        sketch.measure({fmt::format("current = \"{}\"", name.part)});
    }
}

}  // namespace

bool load_is_switched(const Circumstances& c) {
    return c.need.load.kind != NeedLoad::Kind::logic_input;
}

std::string draw_load_below_supply(const Circumstances& c, Sketch& sketch,
                                   const std::string& below) {
    const LoadName name = name_of(c.need.load.kind);
    const std::string load = draw_load(c, sketch, name);
    draw_branch(c, sketch, load, name.node, below);
    draw_flyback(c, sketch, fmt::format("{} > D1 > supply", name.node));
    measure_load(c, sketch, name, fmt::format("[\"supply\", \"{}\"]", name.node));
    return name.node;
}

std::string draw_load_above_return(const Circumstances& c, Sketch& sketch,
                                   const std::string& above) {
    const LoadName name = name_of(c.need.load.kind);
    const std::string load = draw_load(c, sketch, name);
    draw_branch(c, sketch, above, name.node, load);
    draw_flyback(c, sketch, fmt::format("return > D1 > {}", name.node));
    measure_load(c, sketch, name, fmt::format("\"{}\"", name.node));
    return name.node;
}

void draw_logic_input(const Circumstances& c, Sketch& sketch) {
    sketch.path(Side::output, "signal > L1 > return");
    sketch.part("L1", table_text(c.need.load.text));
    sketch.measure({"voltage = \"signal\""});
}

}  // namespace gapwright
