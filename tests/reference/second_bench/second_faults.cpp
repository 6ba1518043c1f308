// The list of a link's faults: joints, metal, supplies, the meter and the gap; what parts can be
// besides is in faults_of_part.cpp and faults_of_gap.cpp.
#include "reference/second_bench/second_faults.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <map>
#include <set>
#include <utility>

namespace gapwright::reference {
namespace {

// Solder is milliohms, a splash of it some tens; what flux and dirt leave is far more.
double solder(Dice& dice) {
    return dice.happens(0.5) ? 0.002 : dice.decades(0.005, 0.3);
}

class List {
  public:
    List(const Link& link, Dice& dice)
        : link_(link), dice_(dice), board_(drawn_board(link, dice)) {}

    std::vector<SecondFault> made() {
        for (std::size_t p = 0; p < board_.parts.size(); ++p) {
            add_joints(p);
            add_pins(p);
            take(faults_of_part(link_, board_, p, dice_));
        }
        for (std::size_t b = 0; b < board_.beams.size(); ++b) {
            take(faults_of_gap(link_, board_, b, dice_));
        }
        add_exchanged_resistors();
        for (const Side side : {Side::input, Side::output}) {
            add_metal(side);
            add_supply(side);
        }
        add_meter();
        add_across();
        return std::move(faults_);
    }

  private:
    void take(std::vector<SecondFault> more) {
        std::move(more.begin(), more.end(), std::back_inserter(faults_));
    }

    void add_joints(std::size_t p) {
        const BuiltPart& part = board_.parts[p];
        const auto& kind = part.device.kind;
        // What hangs on clips has no joints of its own: its leads come off, told elsewhere.
        if (kind == "battery" || kind == "logic output") return;
        for (std::size_t h = 0; h < part.holes.size(); ++h) {
            const bool gate = part.holes[h].lead == "gate";
            faults_.push_back(joint_at(board_, p, h,
                                       gate ? FaultKind::gate_floating : FaultKind::open_joint,
                                       dice_.decades(1e9, 1e12)));
            faults_.push_back(
                joint_at(board_, p, h, FaultKind::resistive_joint, dice_.decades(50, 50e3)));
            faults_.push_back(joint_at(board_, p, h, FaultKind::intermittent_joint, 1e11));
        }
    }

    void add_pins(std::size_t p) {
        const BuiltPart& part = board_.parts[p];
        if (part.device.kind == "battery") return;
        std::set<std::pair<std::size_t, std::size_t>> seen;
        for (std::size_t a = 0; a < part.holes.size(); ++a) {
            for (std::size_t b = a + 1; b < part.holes.size(); ++b) {
                const std::size_t one = part.holes[a].node, other = part.holes[b].node;
                if (one == other || !seen.insert(std::minmax(one, other)).second) continue;
                SecondFault fault = bridge_between(link_, board_, one, other, solder(dice_));
                fault.kind = FaultKind::bridged_pins;
                fault.words = fmt::format("solder between {} and {} of {}", part.holes[a].lead,
                                          part.holes[b].lead, part.name);
                fault.parts = {part.name};
                fault.on_board = p;
                faults_.push_back(std::move(fault));
            }
        }
    }

    void add_metal(Side side) {
        const std::size_t first = board_.side_return(side);
        const std::size_t last = first + link_.side(side).node_names.size();
        for (std::size_t a = first; a < last; ++a) {
            for (std::size_t b = a + 1; b < last; ++b) {
                faults_.push_back(bridge_between(link_, board_, a, b, solder(dice_)));
            }
        }
    }

    void add_exchanged_resistors() {
        std::vector<std::size_t> resistors;
        for (std::size_t p = 0; p < board_.parts.size(); ++p) {
            if (board_.parts[p].device.kind == "resistor") resistors.push_back(p);
        }
        for (std::size_t i = 0; i < resistors.size(); ++i) {
            for (std::size_t j = i + 1; j < resistors.size(); ++j) {
                const std::size_t a = resistors[i], b = resistors[j];
                const auto nominal = [&](std::size_t p) {
                    return link_.parts[*board_.parts[p].part].description.nominal(Key::value);
                };
                const double ratio = nominal(a) / nominal(b);
                if (ratio > 0.7 && ratio < 1.4) continue;  // nobody would ever know
                SecondFault fault = part_fault(
                    board_, a, FaultKind::resistors_exchanged, nominal(b), [a, b](Board& board) {
                        std::swap(board.parts[a].device, board.parts[b].device);
                    });
                fault.words = fmt::format("{} and {} are exchanged", board_.parts[a].name,
                                          board_.parts[b].name);
                fault.parts = {board_.parts[a].name, board_.parts[b].name};
                faults_.push_back(std::move(fault));
            }
        }
    }

    void add_supply(Side side) {
        const auto supply = board_.supply(side);
        if (!supply) return;
        const std::size_t p = *supply;
        const auto scaled = [&](FaultKind kind, double factor) {
            faults_.push_back(part_fault(board_, p, kind, factor, [p, factor](Board& board) {
                board.parts[p].device.figures["voltage"] *= factor;
            }));
        };
        faults_.push_back(part_fault(board_, p, FaultKind::supply_missing, 0,
                                     [p](Board& board) { board.parts[p].dead = true; }));
        scaled(FaultKind::supply_reversed, -1);
        scaled(FaultKind::supply_low, dice_.between(0.3, 0.65));
        scaled(FaultKind::supply_high, dice_.between(1.4, 2));
        const double ohms = dice_.decades(30, 1000);
        faults_.push_back(part_fault(board_, p, FaultKind::supply_weak, ohms, [p, ohms](Board& b) {
            b.parts[p].device.figures["resistance"] = ohms;
        }));
    }

    void add_meter() {
        const auto add = [&](FaultKind kind, MeterFault what) {
            SecondFault fault;
            fault.kind = kind;
            fault.words = kind_words(kind);
            fault.apply = [what](Board& board) { board.meter_fault = what; };
            faults_.push_back(std::move(fault));
        };
        add(FaultKind::red_lead_in_current_socket, MeterFault::red_lead_in_current_socket);
        add(FaultKind::fuse_blown, MeterFault::fuse_blown);
    }

    void add_across() {
        for (std::size_t a = 0; a < board_.input_nodes; ++a) {
            for (std::size_t b = board_.input_nodes; b < board_.nodes; ++b) {
                const double chance = dice_.share();
                const double ohms = chance < 0.2    ? 0
                                    : chance < 0.35 ? dice_.decades(0.01, 1)
                                                    : dice_.decades(1, 10e6);
                faults_.push_back(bridge_between(link_, board_, a, b, ohms));
            }
        }
    }

    const Link& link_;
    Dice& dice_;
    Board board_;
    std::vector<SecondFault> faults_;
};

}  // namespace

std::vector<SecondFault> second_faults(const Link& link, Dice& dice) {
    return List(link, dice).made();
}

const SecondFault& drawn_fault(const std::vector<SecondFault>& faults, Dice& dice) {
    // How often benches see what, in parts of the whole (own choice); a group that a link has
    // nothing of falls to the others.
    static const std::map<FaultGroup, double> often{
        {FaultGroup::joint, 20},   {FaultGroup::metal, 10}, {FaultGroup::resistor, 11},
        {FaultGroup::junction, 7}, {FaultGroup::gap, 13},   {FaultGroup::transistor, 8},
        {FaultGroup::mosfet, 6},   {FaultGroup::supply, 6}, {FaultGroup::drive, 6},
        {FaultGroup::load, 4},     {FaultGroup::meter, 2},  {FaultGroup::across, 25},
    };
    std::map<FaultGroup, std::map<FaultKind, std::vector<const SecondFault*>>> sorted;
    for (const auto& fault : faults) sorted[group_of(fault.kind)][fault.kind].push_back(&fault);
    double whole = 0;
    for (const auto& [group, kinds] : sorted) whole += often.at(group);
    double left = dice.between(0, whole);
    auto group = sorted.begin();
    while (left > often.at(group->first) && std::next(group) != sorted.end()) {
        left -= often.at(group->first);
        ++group;
    }
    auto kind = group->second.begin();
    std::advance(kind, static_cast<std::ptrdiff_t>(dice.below(group->second.size())));
    return *kind->second[dice.below(kind->second.size())];
}

}  // namespace gapwright::reference
