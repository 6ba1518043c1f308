#include "build/steps.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>

#include "build/part_look.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double least_shown = 1e-6;  // A: less than this a bench meter does not tell from nothing

// One group of like parts that go in together.
struct Group {
    double height = 0;
    std::string title;
    std::vector<std::size_t> parts;
};

std::string plural_of(Kind kind) {
    switch (kind) {
        case Kind::resistor:
            return "Resistors";
        case Kind::capacitor:
            return "Capacitors";
        case Kind::inductor:
            return "Inductors";
        case Kind::diode:
            return "Diodes";
        case Kind::zener:
            return "Zener diodes";
        case Kind::led:
            return "LEDs";
        case Kind::transistor:
        case Kind::mosfet:
            return "Transistors";
        default:
            return "Other parts";
    }
}

class Steps {
  public:
    explicit Steps(const StepSources& sources)
        : link_(sources.link),
          proof_(sources.proof),
          wiring_(sources.wiring),
          plan_(sources.plan),
          currents_(sources.first_currents) {}

    std::vector<BuildStep> run() {
        prepare_board();
        for (const Side side : {Side::input, Side::output}) {
            links(side, "Links");
            parts(side);
            wires_underneath(side);
            check_side(side);
        }
        leads(false);
        check_isolation("before the gap's parts go in");
        check_currents();
        couplers();
        leads(true);
        check_isolation("with the gap's parts in");
        first_use();
        return std::move(steps_);
    }

  private:
    BuildStep& step(std::string title, bool is_check = false) {
        steps_.push_back({.title = std::move(title), .lines = {}, .is_check = is_check});
        return steps_.back();
    }

    std::string hole(Hole at) const { return hole_name(plan_.board, at); }
    std::string of(Side side) const { return fmt::format("of the {} side", side_name(side)); }
    bool grid() const { return plan_.board.kind == BoardKind::grid; }

    void prepare_board() {
        const Board& board = plan_.board;
        if (board.kind == BoardKind::strip) {
            BuildStep& s = step("Cut the strips");
            const auto column = [&](int c) {
                std::string name = hole(Hole{c, 0});
                name.pop_back();
                return name;
            };
            s.cuts = true;
            s.from_below = true;
            s.lines = {
                fmt::format("Take a board of {} strips with {} holes each, strips from left "
                            "to right.",
                            board.rows, board.columns),
                fmt::format("Cut every strip at the holes of the columns {} and {}, with a "
                            "cutter or a 3.2 mm drill turned by hand, until no copper is left "
                            "about these holes or between them.",
                            column(board.gap_left + 1), column(board.gap_right - 1))};
            BuildStep& c = step("The cuts", true);
            c.cuts = true;
            c.from_below = true;
            c.lines = {
                fmt::format("Meter on resistance, highest range, power off: on each strip from "
                            "column {} to column {} no reading. Look for slivers of copper "
                            "with a glass.",
                            column(board.gap_left), column(board.gap_right))};
            return;
        }
        BuildStep& s = step("Take the board");
        if (board.kind == BoardKind::grid) {
            s.lines = {
                fmt::format("A board of {} rows with {} holes each, without copper: pads in "
                            "the gap would shrink it.",
                            board.rows, board.columns)};
            return;
        }
        s.lines = {
            fmt::format("A solderless board of {} rows, its channel upright: row 1 at the top, "
                        "column a at the left.",
                        board.rows),
            "Rails are told by their marks + and −, whichever lies outward on your board. With a "
            "meter see that each rail conducts from end to end; where it is divided in the middle, "
            "bridge it."};
    }

    std::vector<std::size_t> wires_of(Side side) const {
        std::vector<std::size_t> wires;
        for (std::size_t w = 0; w < plan_.wires.size(); ++w) {
            if (wiring_.nodes[plan_.wires[w].node].side == side) wires.push_back(w);
        }
        return wires;
    }

    void wire_lines(BuildStep& s) const {
        for (const std::size_t w : s.wires) {
            const PlanWire& wire = plan_.wires[w];
            s.lines.push_back(fmt::format("wire {}: {} to {}, {:.1f} mm{}", w + 1, hole(wire.from),
                                          hole(wire.to), length_of(wire) * 1e3,
                                          wire.insulated ? ", insulated: it crosses others" : ""));
        }
    }

    void links(Side side, std::string_view what) {
        const auto wires = wires_of(side);
        if (grid() || wires.empty()) return;
        BuildStep& s = step(fmt::format("{} {}", what, of(side)));
        s.wires = wires;
        s.lines.push_back(plan_.board.kind == BoardKind::strip
                              ? "Above the board, flat on it: bare where straight, else insulated."
                              : "Insulated solid wire, flat on the board.");
        wire_lines(s);
    }

    void wires_underneath(Side side) {
        const auto wires = wires_of(side);
        if (!grid() || wires.empty()) return;
        BuildStep& s = step(fmt::format("Wires {}", of(side)));
        s.wires = wires;
        s.from_below = true;
        s.lines.push_back(
            "Turn the board over, left to right. Bare wire from hole to hole, soldered "
            "at each pin; wires of one node may touch, of two nodes never.");
        wire_lines(s);
    }

    void parts(Side side) {
        std::map<std::pair<double, std::string>, std::vector<std::size_t>> groups;
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            const WiringPart& part = wiring_.parts[k];
            const Part* behind = part_behind(link_, part);
            if (part.side != side || !behind || part.footprint.body == Body::leads ||
                part.footprint.body == Body::coupler) {
                continue;
            }
            groups[{part.footprint.height, plural_of(behind->description.kind)}].push_back(k);
        }
        for (const auto& [key, members] : groups) {
            BuildStep& s = step(fmt::format("{} {}", key.second, of(side)));
            s.parts = members;
            for (const std::size_t k : members) s.lines.push_back(placing(k));
        }
    }

    // "R1, 330 Ω ± 5 % …: into c3 and c7, either way round".
    std::string placing(std::size_t k) const {
        const WiringPart& part = wiring_.parts[k];
        std::string where;
        const bool plain = part.pins[0].name == "1";
        for (std::size_t p = 0; p < part.pins.size(); ++p) {
            where +=
                fmt::format("{}{}{}", p ? (p + 1 == part.pins.size() ? " and " : ", ") : "",
                            plain ? "" : part.pins[p].name + " into ", hole(plan_.holes[k][p]));
        }
        const std::string words = part_words(link_, part);
        return fmt::format("{}{}{}: {}{}{}", part.name, words.empty() ? "" : ", ", words,
                           plain ? "into " : "", where, mark(part));
    }

    // How to tell its ends apart.
    std::string mark(const WiringPart& part) const {
        const std::string& last = part.pins.back().name;
        switch (part.footprint.body) {
            case Body::axial:
                return last == "cathode" ? "; the band marks the cathode" : "; either way round";
            case Body::radial:
                if (last == "cathode") {
                    return "; the short lead and the flat of the rim mark the cathode";
                }
                return last == "minus" ? "; the stripe marks minus" : "; either way round";
            case Body::in_line: {
                const Part* behind = part_behind(link_, part);
                const bool stated = behind && !behind->description.choice("pins", "").empty();
                return stated ? "" : "; the order of its pins is assumed: see its data sheet";
            }
            case Body::coupler:
            case Body::leads:
                break;
        }
        return {};
    }

    void check_side(Side side) {
        BuildStep& s = step(fmt::format("The {} side", side_name(side)), true);
        std::vector<std::string> nodes;
        for (std::size_t n = 0; n < wiring_.nodes.size(); ++n) {
            if (wiring_.nodes[n].side != side) continue;
            std::vector<std::string> holes;
            for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
                const WiringPart& part = wiring_.parts[k];
                for (std::size_t p = 0; p < part.pins.size(); ++p) {
                    const bool there = part.footprint.body != Body::leads;
                    if (part.pins[p].node == n && there) {
                        holes.push_back(hole(plan_.holes[k][p]));
                    }
                }
            }
            if (holes.size() > 1) {
                s.lines.push_back(fmt::format("{}: near 0 Ω between {}.", wiring_.nodes[n].name,
                                              fmt::join(holes, ", ")));
            }
        }
        s.lines.insert(s.lines.begin(),
                       s.lines.empty()
                           ? "Power off: every pin stands where the plan has it; polarised parts "
                             "the right way round."
                           : "Meter on resistance, power off. Within a node nothing but wire:");
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            const WiringPart& part = wiring_.parts[k];
            if (part.side != side || part.footprint.body == Body::leads ||
                part.footprint.body == Body::coupler) {
                continue;
            }
            s.parts.push_back(k);
            const std::string& last = part.pins.back().name;
            if (last == "cathode") {
                s.lines.push_back(
                    fmt::format("{}: meter on diode test, red on {}, black on {} shows "
                                "its forward voltage; the other way nothing, unless "
                                "another part lies beside it.",
                                part.name, hole(plan_.holes[k][0]), hole(plan_.holes[k][1])));
            }
        }
        s.wires = wires_of(side);
    }

    bool is_gap_half(const WiringPart& part) const {
        const Part* behind = part_behind(link_, part);
        return behind && behind->is_gap();
    }

    void leads(bool of_gap) {
        std::vector<std::size_t> members;
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            const WiringPart& part = wiring_.parts[k];
            if (part.footprint.body == Body::leads && is_gap_half(part) == of_gap) {
                members.push_back(k);
            }
        }
        if (members.empty()) return;
        BuildStep& s = step(of_gap ? "The halves of the gap" : "Leads");
        s.parts = members;
        if (!of_gap) {
            s.lines.push_back(
                "Supplies stay off; leads of the two sides leave on their own side and "
                "are not bundled together.");
        }
        for (const std::size_t k : members) s.lines.push_back(placing_lead(k));
        if (!of_gap) return;
        for (const Part& part : link_.parts) {
            if (part.description.kind != Kind::pair) continue;
            const Figure* distance = part.description.find("distance");
            s.lines.push_back(fmt::format(
                "{}: fix emitter and receiver so that they face each other {} apart, shrouded as "
                "the "
                "link says; no lead of one side may come near the other.",
                part.name,
                distance ? engineering_short(distance->spread.nominal, Dimension::length) : ""));
        }
    }

    std::string placing_lead(std::size_t k) const {
        const WiringPart& part = wiring_.parts[k];
        std::vector<std::string> pins;
        for (std::size_t p = 0; p < part.pins.size(); ++p) {
            const std::string pin = part.pins[p].name == "-" ? "−" : part.pins[p].name;
            pins.push_back(fmt::format("{} to {}", pin, hole(plan_.holes[k][p])));
        }
        const std::string words = part_words(link_, part);
        return fmt::format("{}{}{}: {}", part.name, words.empty() ? "" : ", ", words,
                           fmt::join(pins, ", "));
    }

    void check_isolation(std::string_view when) {
        BuildStep& s = step(fmt::format("The two sides are apart, {}", when), true);
        s.lines.push_back(
            "Power off, supplies and everything else that has another connection "
            "taken away. Meter on resistance, highest range.");
        const auto nearest = side_distance(wiring_, plan_);
        if (nearest) {
            s.lines.push_back(fmt::format(
                "From {} to {}, where the sides come nearest ({:.1f} mm of metal from metal): no "
                "reading.",
                hole(nearest->input), hole(nearest->output), nearest->metres * 1e3));
        }
        std::vector<std::string> ends;
        for (const Side side : {Side::input, Side::output}) {
            for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
                const WiringPart& part = wiring_.parts[k];
                if (part.side != side || part_behind(link_, part)) continue;
                for (std::size_t p = 0; p < part.pins.size(); ++p) {
                    if (part.pins[p].name == "-") ends.push_back(hole(plan_.holes[k][p]));
                }
            }
        }
        if (ends.size() == 2) {
            s.lines.push_back(
                fmt::format("From {} to {}, the two returns: no reading.", ends[0], ends[1]));
        }
        s.lines.push_back(
            "Any reading is a bridge: find it before anything is switched on. This "
            "shows that no wire joins the sides; it does not show what voltage the "
            "gap withstands.");
    }

    void check_currents() {
        for (const Side side : {Side::input, Side::output}) {
            std::vector<std::string> lines;
            for (const auto& current : currents_) {
                if (current.side != side) continue;
                const auto shown = [](double amperes) {
                    return engineering_short(amperes, Dimension::current);
                };
                lines.push_back(current.highest < least_shown
                                    ? fmt::format("{}: less than 1 µA.", current.state)
                                    : fmt::format("{}: {} ({} to {}).", current.state,
                                                  shown(current.nominal),
                                                  shown(std::max(current.lowest, 0.0)),
                                                  shown(current.highest)));
            }
            if (lines.empty()) continue;
            BuildStep& s = step(fmt::format("First power {}", of(side)), true);
            s.lines.push_back(fmt::format(
                "Only the {} supply, with its current limited; the other side stays without. It "
                "gives, in each state, without the gap's parts:",
                side_name(side)));
            s.lines.insert(s.lines.end(), lines.begin(), lines.end());
            s.lines.push_back(
                "Switch off at once where it gives much more, and look for a wrong "
                "hole.");
        }
    }

    void couplers() {
        std::vector<std::size_t> members;
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            if (wiring_.parts[k].footprint.body == Body::coupler) members.push_back(k);
        }
        if (members.empty()) return;
        BuildStep& s = step(members.size() == 1 ? "The coupler" : "The couplers");
        s.parts = members;
        s.lines.push_back(
            "Supplies off. The dot or notch marks pin 1, which is the emitter's anode; "
            "it stands on the input side, at the top.");
        for (const std::size_t k : members) s.lines.push_back(placing(k));
    }

    void first_use() {
        BuildStep& s = step("First use", true);
        s.lines.push_back("Both supplies, with their currents limited. In each state:");
        for (const auto& promise : proof_.promises) {
            if (promise.timed) continue;
            s.lines.push_back(fmt::format("{}: {} {}, between {} and {} over all specimens.",
                                          promise.state, promise.quantity,
                                          engineering(promise.nominal, promise.dimension),
                                          engineering_short(promise.lowest, promise.dimension),
                                          engineering_short(promise.highest, promise.dimension)));
        }
    }

    const Link& link_;
    const Proof& proof_;
    const Wiring& wiring_;
    const Plan& plan_;
    const std::vector<FirstCurrent>& currents_;
    std::vector<BuildStep> steps_;
};

}  // namespace

const Part* part_behind(const Link& link, const WiringPart& part) {
    for (const std::string_view half : {"", " emitter", " receiver"}) {
        if (!part.name.ends_with(half)) continue;
        const auto found = link.find_part(part.name.substr(0, part.name.size() - half.size()));
        if (found && (half.empty() || link.parts[*found].is_gap())) return &link.parts[*found];
    }
    return nullptr;
}

std::string part_words(const Link& link, const WiringPart& part) {
    const Part* behind = part_behind(link, part);
    if (!behind) return {};
    const Description* described = &behind->description;
    if (described->kind == Kind::pair) {
        const auto& half = part.side == Side::input ? described->emitter : described->receiver;
        if (!half) return {};
        described = half.get();
    }
    const PartLook look = look_of(*described);
    if (!look.bands) return look.text;
    return fmt::format("{} ({})", look.text, colour_words(*look.bands));
}

std::vector<BuildStep> build_steps(const StepSources& sources) {
    return Steps(sources).run();
}

}  // namespace gapwright
