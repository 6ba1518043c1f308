// The circuit as a whole: are the sides apart, and does every node have a voltage?
#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "link/node_sets.hpp"
#include "link/path_words.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright::reading {
namespace {

// Where a node's name stands first in the paths of a side.
Place place_of(const LinkSide& side, std::string_view node) {
    for (const auto& path : side.paths) {
        for (const auto& item : path) {
            if (!item.part && item.name == node) return item.place;
        }
    }
    return side.supply_place;
}

void check_isolation(Reading& reading) {
    const Link& link = reading.link;
    for (std::size_t k = 2; k < link.input.node_names.size(); ++k) {
        const std::string& name = link.input.node_names[k];
        if (!link.input.node_is_named[k] || !link.output.find_node(name)) continue;
        const std::string rail = remedy_for_rail(name);
        reading.problems.push_back(
            {.cause = Cause::shared_across_gap,
             .place = place_of(link.output, name),
             .message = fmt::format("the node {} is on both sides: this joins input and output, "
                                    "and the gap isolates nothing",
                                    name),
             .remedy =
                 rail.empty() ? "give each side its own node; only light crosses the gap" : rail,
             .other = place_of(link.input, name),
             .other_message = "on the input side it stands here"});
    }
    for (const auto& part : link.parts) {
        if (part.is_gap() || !part.input || !part.output) continue;
        reading.problems.push_back(
            {.cause = Cause::shared_across_gap,
             .place = part.output->place,
             .message = fmt::format("{} is on both sides: it would conduct past the gap, and the "
                                    "gap isolates nothing",
                                    part.name),
             .remedy = "only a coupler or a pair may stand on both sides",
             .other = part.input->place,
             .other_message = "on the input side it stands here"});
    }
}

void check_parts_placed(Reading& reading) {
    for (const auto& part : reading.link.parts) {
        if (!part.input && !part.output) {
            reading.problem(Cause::part_not_in_path, part.place,
                            fmt::format("{} is declared, but stands in no path", part.name),
                            "put it into a path, or remove it");
        } else if (part.is_gap() && (!part.input || !part.output)) {
            const std::string_view missing = part.input ? "receiver" : "emitter";
            const std::string_view side = part.input ? "output" : "input";
            reading.problem(Cause::unlit_gap, part.place,
                            fmt::format("the {} of the gap {} is in no path", missing, part.name),
                            fmt::format("put {} into a path of [{}]", part.name, side));
        }
    }
    const auto is_crossing = [](const Part& p) { return p.is_gap() && p.input && p.output; };
    if (!reading.link.parts.empty() && std::ranges::none_of(reading.link.parts, is_crossing) &&
        reading.problems.empty()) {
        reading.problem(Cause::unlit_gap, reading.document.start(),
                        "no light crosses from input to output: the link has no gap",
                        "add a coupler or a pair, its name in a path of each side");
    }
}

// One side's checks.
class SideChecker {
  public:
    SideChecker(Reading& reading, Side which)
        : reading_(reading), which_(which), side_(reading.link.side(which)) {}

    void check() {
        check_supply();
        check_controls();
        const bool rails_misnamed = check_touches();
        if (!rails_misnamed) check_floating();  // else every node floats, and that is told once
        check_short();
    }

  private:
    template <class Use>
    void each_part(const Use& use) const {
        for (std::size_t k = 0; k < reading_.link.parts.size(); ++k) {
            const Part& part = reading_.link.parts[k];
            if (const auto& placement = part.on(which_)) use(k, part, *placement);
        }
    }

    void check_supply() {
        if (side_.supply) return;
        bool used = false;
        each_part([&](std::size_t, const Part& part, const Placement& p) {
            const bool from_pin = part.description.kind == Kind::logic_output;
            used = used || (p.from == supply_node && !from_pin) || p.to == supply_node;
        });
        if (!used) return;
        reading_.problem(Cause::missing_key, place_of(side_, "supply"),
                         fmt::format("a path uses supply, but [{}] states none", side_name(which_)),
                         "write for example supply = \"9 V\"");
    }

    void check_controls() {
        each_part([&](std::size_t, const Part& part, const Placement& p) {
            const Kind kind = part.description.kind;
            if (p.control || (kind != Kind::transistor && kind != Kind::mosfet)) return;
            const std::string_view name = kind == Kind::transistor ? "base" : "gate";
            reading_.problem(Cause::dangling_node, p.place,
                             fmt::format("nothing is connected to the {} of {}", name, part.name),
                             fmt::format("name the node {}.{} in another path", part.name, name));
        });
        for (std::size_t k = 2; k < side_.node_names.size(); ++k) {
            const std::string& name = side_.node_names[k];
            const auto dot = name.rfind('.');
            if (!side_.node_is_named[k] || dot == std::string::npos) continue;
            const std::string ending = name.substr(dot + 1);
            if (ending != "base" && ending != "gate") continue;
            bool owned = false;
            each_part([&](std::size_t, const Part&, const Placement& p) {
                owned = owned || p.control == static_cast<Node>(k);
            });
            if (owned) continue;
            if (const auto part = reading_.link.find_part(name.substr(0, dot));
                part && reading_.link.parts[*part].description.kind == Kind::coupler &&
                which_ == Side::output && ending == "base") {
                reading_.problem(Cause::unknown_name, place_of(side_, name),
                                 fmt::format("the package of {} has four pins, and no base among "
                                             "them",
                                             name.substr(0, dot)),
                                 "where its base is led out, state package = \"6\"; else leave "
                                 "the base out");
                continue;
            }
            reading_.problem(Cause::unknown_name, place_of(side_, name),
                             fmt::format("the {} side has no part {} with a {}", side_name(which_),
                                         name.substr(0, dot), ending));
        }
    }

    // Whether nodes are called as people call supply and return elsewhere.
    bool check_touches() {
        bool rails_misnamed = false;
        std::vector<int> touches(side_.node_names.size(), 0);
        each_part([&](std::size_t, const Part&, const Placement& p) {
            ++touches[to_index(p.from)];
            ++touches[to_index(p.to)];
            if (p.control) ++touches[to_index(*p.control)];
        });
        for (std::size_t k = 2; k < touches.size(); ++k) {
            if (touches[k] != 1) continue;
            const std::string& name = side_.node_names[k];
            std::vector<std::string> others;
            for (std::size_t j = 0; j < side_.node_names.size(); ++j) {
                if (j != k && side_.node_is_named[j]) others.push_back(side_.node_names[j]);
            }
            for (const auto& part : reading_.link.parts) others.push_back(part.name);
            const std::string remedy = remedy_for_rail(name);
            rails_misnamed = rails_misnamed || !remedy.empty();
            reading_.problem(Cause::dangling_node, place_of(side_, name),
                             fmt::format("only one part touches the node {}{}", name,
                                         did_you_mean(name, others)),
                             remedy.empty()
                                 ? "lead another path to it, or end the path at supply or return"
                                 : remedy);
        }
        return rails_misnamed;
    }

    void check_floating() {
        NodeSets conducting(side_.node_names.size());
        conducting.join(supply_node, Node::side_return);
        each_part([&](std::size_t, const Part& part, const Placement& p) {
            const Kind kind = part.description.kind;
            if (kind == Kind::capacitor || kind == Kind::logic_input) return;
            conducting.join(kind == Kind::logic_output ? Node::side_return : p.from, p.to);
            if (p.control && kind != Kind::mosfet) conducting.join(*p.control, p.to);
        });
        const auto floats = [&](std::size_t k) {
            return !conducting.joined(static_cast<Node>(k), Node::side_return);
        };
        bool rails_misnamed = false;
        for (std::size_t k = 2; k < side_.node_names.size(); ++k) {
            rails_misnamed |= floats(k) && !remedy_for_rail(side_.node_names[k]).empty();
        }
        for (std::size_t k = 2; k < side_.node_names.size(); ++k) {
            const std::string& name = side_.node_names[k];
            const std::string rail = remedy_for_rail(name);
            // Where a rail floats, so does all that hangs on it.
            if (!floats(k) || (rails_misnamed && rail.empty())) continue;
            reading_.problem(
                Cause::floating_node,
                side_.node_is_named[k] ? place_of(side_, name) : place_of_unnamed(k),
                fmt::format("the node {} floats: no d.c. path leads from it to return", name),
                rail.empty() ? "add a resistor from it to supply or return" : rail);
        }
    }

    Place place_of_unnamed(std::size_t node) const {
        Place place;
        each_part([&](std::size_t, const Part&, const Placement& p) {
            if (to_index(p.to) == node || to_index(p.from) == node) place = p.place;
        });
        return place;
    }

    // Closed contacts and parts without resistance, straight across the supply, in any one state.
    void check_short() {
        if (!side_.supply || side_.supply->find(Key::resistance)->spread.nominal > 0) return;
        for (const auto& state : reading_.link.states) {
            NodeSets bridged(side_.node_names.size());
            Place last;
            each_part([&](std::size_t k, const Part& part, const Placement& p) {
                if (!conducts_unhindered(k, part, state)) return;
                bridged.join(p.from, p.to);
                last = p.place;
            });
            if (!bridged.joined(supply_node, Node::side_return)) continue;
            reading_.problem(Cause::shorted_supply, last,
                             fmt::format("this shorts the {} side's supply in state {}: nothing on "
                                         "the way from supply to return limits the current",
                                         side_name(which_), state.name),
                             "put a resistor or the load in series");
            return;
        }
    }

    static bool conducts_unhindered(std::size_t index, const Part& part, const State& state) {
        constexpr double limits_nothing = 1.0;  // Ω
        const auto is_small = [&](Key key) {
            const auto* figure = part.description.find(key);
            return figure && figure->spread.nominal < limits_nothing;
        };
        switch (part.description.kind) {
            case Kind::contact: {
                const auto found = state.settings.find(index);
                return found != state.settings.end() && found->second == Setting::closed &&
                       is_small(Key::closed_resistance);
            }
            case Kind::inductor:
                return is_small(Key::resistance);
            case Kind::resistor:
                return is_small(Key::value);
            case Kind::capacitor:
            case Kind::diode:
            case Kind::led:
            case Kind::zener:
            case Kind::transistor:
            case Kind::mosfet:
            case Kind::coil:
            case Kind::load:
            case Kind::logic_output:
            case Kind::logic_input:
            case Kind::coupler:
            case Kind::pair:
            case Kind::phototransistor:
            case Kind::light_dependent_resistor:
            case Kind::battery:
                break;
        }
        return false;
    }

    Reading& reading_;
    Side which_;
    const LinkSide& side_;
};

}  // namespace

void check_topology(Reading& reading) {
    check_isolation(reading);
    check_parts_placed(reading);
    SideChecker(reading, Side::input).check();
    SideChecker(reading, Side::output).check();
}

}  // namespace gapwright::reading
