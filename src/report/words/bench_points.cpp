#include "report/words/bench_points.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "build/wiring_of_link.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "report/bench_report.hpp"

namespace gapwright {
namespace {

// Wiring nodes are the input side's, then the output side's, each in the link's order.
std::size_t wiring_node(const Link& link, Side side, Node node) {
    const std::size_t first = side == Side::input ? 0 : link.input.node_names.size();
    return first + to_index(node);
}

// "R1" of a part whose ends are alike, "Q1 collector", "U1 pin 4 collector"; a supply's and a logic
// part's only lead by its name.
std::string pin_word(const WiringPart& part, const WiringPin& pin) {
    const bool alike = pin.name == "1" || pin.name == "2" || pin.name == "pin";
    if (alike) return part.name;
    if (pin.name == "-") return part.name + " −";
    const bool numbered = pin.name.front() >= '0' && pin.name.front() <= '9';
    return fmt::format("{} {}{}", part.name, numbered ? "pin " : "", pin.name);
}

// "all of it" up to a length that a line bears.
std::string some_of(const std::vector<std::string>& words) {
    constexpr std::size_t most = 3;
    if (words.size() <= most + 1) return fmt::format("{}", fmt::join(words, ", "));
    return fmt::format("{} and {} more", fmt::join(std::span(words).first(most), ", "),
                       words.size() - most);
}

}  // namespace

NodeHoles node_holes_of(const Link& link, const Wiring& wiring, const Plan& plan) {
    NodeHoles result;
    for (const Side side : {Side::input, Side::output}) {
        for (std::size_t n = 0; n < link.side(side).node_names.size(); ++n) {
            const auto node = static_cast<Node>(n);
            std::vector<std::string> holes;
            // A leg that stands in its hole is easier to touch than a lead that leaves it.
            for (const bool on_board : {true, false}) {
                for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
                    const WiringPart& part = wiring.parts[k];
                    if (stands_on_board(part) != on_board) continue;
                    for (std::size_t p = 0; p < part.pins.size(); ++p) {
                        if (part.pins[p].node != wiring_node(link, side, node)) continue;
                        holes.push_back(hole_name(plan.board, plan.holes[k][p]));
                    }
                }
            }
            if (!holes.empty()) result[{side, node}] = std::move(holes);
        }
    }
    return result;
}

std::string MeterPoint::pin_words() const {
    return some_of(pins);
}

std::string MeterPoint::hole_words() const {
    if (holes.empty()) return {};
    if (holes.size() == 1) return "hole " + holes[0];
    return fmt::format("hole {} or {}", holes[0], holes[1]);
}

MeterPoints::MeterPoints(const Link& link, const NodeHoles& holes)
    : link_(link), holes_(holes), wiring_(wiring_of(link)) {}

std::vector<std::string> MeterPoints::pins_of(Side side, Node node) const {
    const std::size_t wanted = wiring_node(link_, side, node);
    const bool rail = wiring_.nodes[wanted].rail != Rail::none;
    std::vector<std::string> on_board;
    std::vector<std::string> leads;
    for (const WiringPart& part : wiring_.parts) {
        for (const WiringPin& pin : part.pins) {
            if (pin.node != wanted) continue;
            // Of a rail the supply's own lead is the first that a hand looks for.
            const bool of_supply = part.name == fmt::format("{} supply", side_name(side));
            auto& list = stands_on_board(part) || (rail && of_supply) ? on_board : leads;
            list.insert(rail && of_supply ? list.begin() : list.end(), pin_word(part, pin));
        }
    }
    on_board.insert(on_board.end(), leads.begin(), leads.end());
    return on_board;
}

MeterPoint MeterPoints::at(Side side, Node node) const {
    const std::string& name = link_.side(side).node_names[to_index(node)];
    const LinkSide& other = link_.side(side == Side::input ? Side::output : Side::input);
    const bool both = name == "supply" || name == "return" ||
                      std::ranges::find(other.node_names, name) != other.node_names.end();
    MeterPoint point{.name = both ? fmt::format("{} {}", side_name(side), name) : name};
    point.pins = pins_of(side, node);
    const auto holes = holes_.find({side, node});
    if (holes != holes_.end()) point.holes = holes->second;
    return point;
}

LeadPoints MeterPoints::in_lead(const Measurement& m) const {
    if (!m.part) {
        const std::string lead = fmt::format("{} supply +", side_name(m.side));
        return {
            .red = {.name = lead},
            .black = at(m.side, m.plus),
            .opened = fmt::format(
                "Take the lead of {} off the board, and put it back after the reading. The meter "
                "goes between.",
                lead)};
    }
    const Part& part = link_.parts[*m.part];
    const Placement& placement = *part.on(m.side);
    const std::string word =
        part.is_gap()
            ? fmt::format("{} {}", part.name, m.side == Side::input ? "emitter" : "receiver")
            : part.name;
    const MeterPoint own{.name = word + "'s lead"};
    // A logic output's other end is inside what drives it.
    const bool driven = part.description.kind == Kind::logic_output;
    const MeterPoint board = at(m.side, driven ? placement.to : placement.from);
    return {.red = driven ? own : board,
            .black = driven ? board : own,
            .opened = fmt::format(
                "Take the lead of {} at {} off the board, and put it back after the reading. The "
                "meter goes between.",
                word, board.name)};
}

LeadPoints MeterPoints::across_the_gap(const Measurement& m) const {
    const auto all_of = [](Side side) {
        return MeterPoint{.name = fmt::format("all {} nodes together", side_name(side))};
    };
    LeadPoints leads{.red = m.all_input ? all_of(Side::input) : at(Side::input, m.plus),
                     .black = m.all_output ? all_of(Side::output) : at(Side::output, m.minus)};
    if (m.reversed) std::swap(leads.red, leads.black);
    return leads;
}

LeadPoints MeterPoints::of(const Measurement& m) const {
    if (m.kind == MeasurementKind::current) return in_lead(m);
    if (crosses_gap(m)) return across_the_gap(m);
    LeadPoints leads{.red = at(m.side, m.plus), .black = at(m.side, m.minus)};
    if (m.off)
        leads.opened = fmt::format("Take a lead of {} off, and put it back after the reading.",
                                   link_.parts[*m.off].name);
    if (!m.lifted) return leads;
    const Part& part = link_.parts[*m.lifted];
    const Placement& placement = *part.on(m.side);
    const std::string lead = fmt::format("{}'s lifted lead", part.name);
    (placement.from == m.plus ? leads.red : leads.black) = {.name = lead};
    leads.opened = fmt::format(
        "Lift the lead of {} at {} out of the board, and put it back after the reading.", part.name,
        at(m.side, placement.from).name);
    return leads;
}

}  // namespace gapwright
