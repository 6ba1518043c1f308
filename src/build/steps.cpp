#include "build/steps.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "build/step_checks.hpp"
#include "build/step_words.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double most_of_thin_wire = 0.3;  // A

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
        case Kind::contact:
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
    return "Other parts";
}

class Steps {
  public:
    explicit Steps(const StepSources& sources)
        : link_(sources.link),
          proof_(sources.proof),
          wiring_(sources.wiring),
          plan_(sources.plan),
          sources_(sources) {}

    std::vector<BuildStep> run() {
        refuse_broken_link();
        prepare_board();
        pins_and_sockets();
        for (const Side side : {Side::input, Side::output}) {
            links(side);
            parts(side);
            wires_underneath(side);
            add(steps::side_check(sources_, side));
        }
        add(steps::isolation_check(sources_, "before anything is joined to them"));
        leads(false);
        for (auto& step : steps::first_power_checks(sources_)) add(std::move(step));
        couplers();
        leads(true);
        add(steps::gap_check(sources_));
        add(steps::isolation_check(sources_, "with the gap's parts in"));
        add(steps::first_use(sources_));
        return std::move(steps_);
    }

  private:
    BuildStep& step(std::string title, bool is_check = false) {
        steps_.push_back({.title = std::move(title), .lines = {}, .is_check = is_check});
        return steps_.back();
    }

    void add(BuildStep step) { steps_.push_back(std::move(step)); }

    std::string hole(Hole at) const { return hole_name(plan_.board, at); }
    std::string of(Side side) const { return fmt::format("of the {} side", side_name(side)); }
    bool grid() const { return plan_.board.kind == BoardKind::grid; }

    std::string heavy_current(Side side) const {
        return fmt::format(
            "Up to {} flows here: wire of at least 0.5 mm²{} (common practice).",
            engineering_short(steps::most_current(sources_, side), Dimension::current),
            plan_.board.kind == BoardKind::solderless
                ? "; springs of solderless boards take about 1 A and grow warm before that"
                : "");
    }

    void refuse_broken_link() {
        if (proof_.verdict != Verdict::broken) return;
        add({.title = "The link itself is broken",
             .lines = {"A promise or rating does not hold with every specimen (gapwright check). "
                       "Mend the link before you build it; what follows is for the link as it "
                       "stands."},
             .is_check = true});
    }

    // Where wires are soldered underneath, something must stand in every hole that they end in.
    void pins_and_sockets() {
        if (!grid()) return;
        std::vector<std::string> holes;
        std::vector<std::string> sockets;
        for (std::size_t k = 0; k < wiring_.parts.size(); ++k) {
            const Body body = wiring_.parts[k].footprint.body;
            if (body == Body::coupler) sockets.push_back(wiring_.parts[k].name);
            if (body != Body::leads) continue;
            for (const Hole at : plan_.holes[k]) holes.push_back(hole(at));
        }
        BuildStep& s = step("Solder pins and sockets");
        s.lines.push_back(fmt::format("A solder pin into each hole where a lead will end: {}.",
                                      fmt::join(holes, ", ")));
        if (sockets.empty()) return;
        s.lines.push_back(fmt::format("A socket in place of {}: the coupler itself goes in last.",
                                      fmt::join(sockets, ", ")));
    }

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
            "Rails are told by their marks + and −, whichever lies outward on your board: L+7 is "
            "row 7 of the left rail marked +. With a meter see that each rail conducts from end to "
            "end; where it is divided in the middle, bridge it.",
            "Sleeve bare legs that pass over a rail or another part."};
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

    void links(Side side) {
        const auto wires = wires_of(side);
        if (grid() || wires.empty()) return;
        BuildStep& s = step(fmt::format("Links {}", of(side)));
        s.wires = wires;
        s.lines.push_back(plan_.board.kind == BoardKind::strip
                              ? "Insulated wire above the board, flat on it, soldered below."
                              : "Insulated solid wire, flat on the board.");
        if (steps::most_current(sources_, side) > most_of_thin_wire)
            s.lines.push_back(heavy_current(side));
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
            "at each pin and wherever wires of one node meet; wires of two nodes never touch.");
        if (steps::most_current(sources_, side) > most_of_thin_wire)
            s.lines.push_back(heavy_current(side));
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
            std::string title = fmt::format("{} {}", key.second, of(side));
            if (std::ranges::find(steps_, title, &BuildStep::title) != steps_.end()) {
                title[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(title[0])));
                title.insert(0, "Larger ");
            }
            BuildStep& s = step(std::move(title));
            s.parts = members;
            for (const std::size_t k : members) s.lines.push_back(steps::placing(sources_, k));
            const bool mosfet = std::ranges::any_of(members, [&](std::size_t k) {
                return part_behind(link_, wiring_.parts[k])->description.kind == Kind::mosfet;
            });
            if (mosfet) s.lines.push_back("Static kills its gate: touch the return first.");
            if (plan_.board.kind != BoardKind::solderless) {
                s.lines.push_back("Solder each leg underneath and cut off what is left.");
            }
        }
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
        for (const std::size_t k : members) s.lines.push_back(steps::placing_lead(sources_, k));
        if (!of_gap) return;
        for (const Part& part : link_.parts) {
            if (part.description.kind != Kind::pair) continue;
            s.lines.push_back(steps::pair_words(part));
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
        for (const std::size_t k : members) s.lines.push_back(steps::placing(sources_, k));
    }

    const Link& link_;
    const Proof& proof_;
    const Wiring& wiring_;
    const Plan& plan_;
    const StepSources& sources_;
    std::vector<BuildStep> steps_;
};

}  // namespace

std::vector<BuildStep> build_steps(const StepSources& sources) {
    return Steps(sources).run();
}

}  // namespace gapwright
