#include "board/read_back.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <deque>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <system_error>
#include <utility>
#include <vector>
#include "board/board.hpp"
#include "board/plan_table.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"

namespace gapwright {
namespace {

using Fault = BoardFault::Kind;

// A hole as its name says: letters, sign of a rail, number.
struct Named {
    std::string letters;
    char rail = ' ';  // '+' or '-'
    int number = 0;
};

std::optional<Named> parse(const std::string& name) {
    Named named;
    std::size_t k = 0;
    while (k < name.size() && std::isalpha(static_cast<unsigned char>(name[k]))) ++k;
    named.letters = name.substr(0, k);
    if (k < name.size() && (name[k] == '+' || name[k] == '-')) named.rail = name[k++];
    // One name for each hole, or it could be used twice unnoticed.
    if (k < name.size() && name[k] == '0') return std::nullopt;
    const auto read = std::from_chars(name.data() + k, name.data() + name.size(), named.number);
    if (named.letters.empty() || read.ec != std::errc() || read.ptr != name.data() + name.size()) {
        return std::nullopt;
    }
    return named;
}

int letters_to_column(const std::string& letters) {
    int column = 0;
    for (const char c : letters) column = column * 26 + (c - 'A' + 1);
    return column - 1;
}

std::string column_to_letters(int column) {
    std::string letters;
    for (int c = column + 1; c > 0; c = (c - 1) / 26) {
        letters.insert(letters.begin(), static_cast<char>('A' + (c - 1) % 26));
    }
    return letters;
}

using Faults = std::vector<BoardFault>;

// What a board's own metal is: a strip board's is cut.
struct Metal {
    const Board& board;
    std::set<std::string> cuts;  // holes
};

// A pin in a hole.
struct Pin {
    std::string hole;
    std::optional<std::size_t> node;  // none: nothing may be joined to it
    Side side = Side::input;
    std::string what;
};

using Uses = std::map<std::string, std::string>;                 // by hole: what stands in it
using Joints = std::map<std::string, std::vector<std::string>>;  // by conductor: those joined to it

// Where a hole is from the left, on solderless boards as printed: L+ L- a b c d e f … R- R+.
std::optional<int> column_of(const Board& board, const std::string& hole) {
    const auto named = parse(hole);
    if (!named || named->number < 1 || named->number > board.rows) return std::nullopt;
    if (board.kind != BoardKind::solderless) {
        if (named->rail != ' ' || named->letters.size() > 2) return std::nullopt;
        if (!std::ranges::all_of(named->letters, [](char c) { return c >= 'A' && c <= 'Z'; })) {
            return std::nullopt;
        }
        const int column = letters_to_column(named->letters);
        return column < board.columns ? std::optional(column) : std::nullopt;
    }
    if (named->rail != ' ') {
        if (named->letters != "L" && named->letters != "R") return std::nullopt;
        if (!rail_has_hole(board.rows, named->number - 1)) return std::nullopt;
        if (named->letters == "L") return named->rail == '+' ? 0 : 1;
        return named->rail == '-' ? 18 : 19;
    }
    if (named->letters.size() != 1) return std::nullopt;
    const char c = named->letters[0];
    if (c >= 'a' && c <= 'e') return 4 + (c - 'a');
    if (c >= 'f' && c <= 'j') return 11 + (c - 'f');
    return std::nullopt;
}

bool is_hole(const Board& board, const std::string& name, Faults& faults) {
    if (column_of(board, name)) return true;
    faults.push_back(
        {Fault::no_such_hole, fmt::format("the board has no hole \"{}\"", name), {name}});
    return false;
}

// What the board's own metal joins bears the same name.
std::string conductor(const Metal& metal, const std::string& hole) {
    const Named named = *parse(hole);
    switch (metal.board.kind) {
        case BoardKind::solderless:
            if (named.rail != ' ') return named.letters + named.rail;
            return fmt::format("{}{}", named.letters[0] <= 'e' ? "left row " : "right row ",
                               named.number);
        case BoardKind::strip: {
            // The piece of the strip from the last cut on.
            if (metal.cuts.contains(hole)) return "the cut " + hole;
            const int column = letters_to_column(named.letters);
            int start = 0;
            for (int k = 0; k < column; ++k) {
                if (metal.cuts.contains(column_to_letters(k) + std::to_string(named.number))) {
                    start = k + 1;
                }
            }
            return fmt::format("strip {} from {}", named.number, column_to_letters(start));
        }
        case BoardKind::grid:
            break;
    }
    return hole;
}

std::optional<Side> ground(const Board& board, const std::string& hole) {
    const int column = *column_of(board, hole);
    if (column <= board.gap_left) return Side::input;
    if (column >= board.gap_right) return Side::output;
    return std::nullopt;
}

void put(const std::string& hole, const std::string& what, Uses& uses, Faults& faults) {
    const auto [at, is_first] = uses.emplace(hole, what);
    if (is_first) return;
    faults.push_back({Fault::hole_used_twice,
                      fmt::format("hole {} is used twice, by {} and {}", hole, at->second, what),
                      {hole}});
}

std::vector<Pin> read_pins(const PlanTable& table, const Wiring& wiring, Uses& uses,
                           Faults& faults) {
    using Name = std::pair<std::string, std::string>;  // part, pin
    struct Wanted {
        std::optional<std::size_t> node;
        Side side = Side::input;
    };
    std::map<Name, Wanted> wanted;
    for (const auto& part : wiring.parts) {
        for (std::size_t k = 0; k < part.pins.size(); ++k) {
            const auto& pin = part.pins[k];
            wanted[{part.name, pin.name}] = {
                pin.node, pin.node ? wiring.nodes[*pin.node].side : side_of_pin(part, k)};
        }
    }
    std::vector<Pin> pins;
    std::map<Name, std::string> seen;  // and in which hole
    for (const auto& row : table.pins) {
        const Name name(row.part, row.pin);
        const auto found = wanted.find(name);
        const std::string what = row.part + " " + row.pin;
        if (found == wanted.end()) {
            faults.push_back({Fault::no_such_pin,
                              fmt::format("the link has no pin {}, in hole {}", what, row.hole),
                              {row.hole}});
            continue;
        }
        const auto [first, is_first] = seen.emplace(name, row.hole);
        if (!is_first) {
            faults.push_back(
                {Fault::pin_missing,
                 fmt::format("{} stands in two holes, {} and {}", what, first->second, row.hole),
                 {first->second, row.hole}});
            continue;
        }
        if (!is_hole(table.board, row.hole, faults)) continue;
        put(row.hole, what, uses, faults);
        pins.push_back({row.hole, found->second.node, found->second.side, what});
    }
    for (const auto& [name, node] : wanted) {
        if (seen.contains(name)) continue;
        faults.push_back({Fault::pin_missing,
                          fmt::format("{} {} has no hole in the plan", name.first, name.second)});
    }
    return pins;
}

void join(const Metal& metal, const std::string& a, const std::string& b, Joints& joints) {
    joints[conductor(metal, a)].push_back(conductor(metal, b));
    joints[conductor(metal, b)].push_back(conductor(metal, a));
}

// Bare wire joins every hole that it lies over.
void join_along(const Metal& metal, const WireRow& wire, Joints& joints, Faults& faults) {
    const int u0 = *column_of(metal.board, wire.from);
    const int u1 = *column_of(metal.board, wire.to);
    const int v0 = parse(wire.from)->number;
    const int v1 = parse(wire.to)->number;
    if (u0 != u1 && v0 != v1) {
        faults.push_back(
            {Fault::joined_wrongly,
             fmt::format("the bare wire {}–{} does not follow the grid", wire.from, wire.to),
             {wire.from, wire.to}});
        return;
    }
    const int steps = std::max(std::abs(u1 - u0), std::abs(v1 - v0));
    std::string last = wire.from;
    for (int k = 1; k <= steps; ++k) {
        const int u = u0 + (u1 - u0) * k / steps;
        const int v = v0 + (v1 - v0) * k / steps;
        const std::string here = column_to_letters(u) + std::to_string(v);
        join(metal, last, here, joints);
        last = here;
    }
}

void judge_wire(const Board& board, const WireRow& wire, Faults& faults) {
    const auto a = ground(board, wire.from);
    const auto b = ground(board, wire.to);
    if (a && b && *a == *b) return;
    if (a && b) {
        faults.push_back(
            {Fault::bridged,
             fmt::format("the wire from {} to {} bridges the gap: it joins the two sides",
                         wire.from, wire.to),
             {wire.from, wire.to}});
        return;
    }
    faults.push_back(
        {Fault::in_the_gap,
         fmt::format("the wire from {} to {} reaches into the gap", wire.from, wire.to),
         {wire.from, wire.to}});
}

// What the wires join, and the pins' conductors, joined to anything or not.
Joints read_wires(const PlanTable& table, const Metal& metal, const std::vector<Pin>& pins,
                  Uses& uses, Faults& faults) {
    const bool grid = table.board.kind == BoardKind::grid;
    Joints joints;
    for (const Pin& pin : pins) joints[conductor(metal, pin.hole)];
    for (const auto& wire : table.wires) {
        const bool from = is_hole(table.board, wire.from, faults);
        const bool to = is_hole(table.board, wire.to, faults);
        if (!from || !to) continue;
        if (!grid) {
            const std::string what = fmt::format("the wire {}–{}", wire.from, wire.to);
            put(wire.from, what, uses, faults);
            put(wire.to, what, uses, faults);
        }
        join(metal, wire.from, wire.to, joints);
        if (grid && !wire.insulated) join_along(metal, wire, joints, faults);
        judge_wire(table.board, wire, faults);
    }
    return joints;
}

// Whether a pin stands on its own side's ground.
void judge_place(const Board& board, const Pin& pin, Faults& faults) {
    const auto side = ground(board, pin.hole);
    if (side == pin.side) return;
    faults.push_back(
        {Fault::in_the_gap,
         side ? fmt::format("{} in {} stands on the other side's ground", pin.what, pin.hole)
              : fmt::format("{} stands in the gap, in hole {}", pin.what, pin.hole),
         {pin.hole}});
}

void judge_strips(const Metal& metal, Faults& faults) {
    const Board& board = metal.board;
    if (board.kind != BoardKind::strip) return;
    for (int row = 1; row <= board.rows; ++row) {
        const auto name = [&](int column) {
            return column_to_letters(column) + std::to_string(row);
        };
        int uncut = 0;
        for (int c = board.gap_left + 1; c < board.gap_right; ++c) {
            uncut += metal.cuts.contains(name(c)) ? 0 : 1;
        }
        const std::string left = name(board.gap_left);
        const std::string right = name(board.gap_right);
        if (conductor(metal, left) == conductor(metal, right)) {
            faults.push_back(
                {Fault::bridged,
                 fmt::format("strip {} is not cut between {} and {}: it joins the two sides", row,
                             left, right),
                 {left, right}});
        } else if (uncut > 0) {
            faults.push_back(
                {Fault::in_the_gap,
                 fmt::format("copper is left on strip {} between {} and {}", row, left, right),
                 {left, right}});
        }
    }
}

// By conductor: the number of the group that is joined.
std::map<std::string, int> groups_of(const Joints& joints) {
    std::map<std::string, int> group;
    int groups = 0;
    for (const auto& [start, others] : joints) {
        if (group.contains(start)) continue;
        std::deque<std::string> queue = {start};
        group[start] = groups;
        while (!queue.empty()) {
            const std::string at = queue.front();
            queue.pop_front();
            for (const auto& to : joints.at(at)) {
                if (group.emplace(to, groups).second) queue.push_back(to);
            }
        }
        ++groups;
    }
    return group;
}

BoardFault wrongly_joined(const Wiring& wiring, const Pin& a, const Pin& b) {
    const std::string both = fmt::format("{} in {} and {} in {}", a.what, a.hole, b.what, b.hole);
    if (a.side != b.side) {
        return {
            Fault::bridged, both + " are joined: they belong to different sides", {a.hole, b.hole}};
    }
    return {Fault::joined_wrongly,
            fmt::format("{} are joined: they belong to the nodes {} and {}", both,
                        wiring.nodes[*a.node].name, wiring.nodes[*b.node].name),
            {a.hole, b.hole}};
}

// What is joined against what the wiring says.
void compare(const Wiring& wiring, const Metal& metal, const std::vector<Pin>& pins,
             const Joints& joints, Faults& faults) {
    const auto groups = groups_of(joints);
    const auto group_of = [&](const Pin& pin) { return groups.at(conductor(metal, pin.hole)); };
    std::map<int, const Pin*> first_of_group;
    std::map<std::size_t, const Pin*> first_of_node;
    for (const Pin& pin : pins) {
        if (!pin.node) continue;
        const Pin& in_group = *first_of_group.emplace(group_of(pin), &pin).first->second;
        if (in_group.node != pin.node) faults.push_back(wrongly_joined(wiring, in_group, pin));
        const Pin& in_node = *first_of_node.emplace(*pin.node, &pin).first->second;
        if (group_of(in_node) == group_of(pin)) continue;
        faults.push_back(
            {Fault::not_joined,
             fmt::format("{} in {} and {} in {} are not joined; both belong to the node {}",
                         in_node.what, in_node.hole, pin.what, pin.hole,
                         wiring.nodes[*pin.node].name),
             {in_node.hole, pin.hole}});
    }
    for (const Pin& pin : pins) {
        if (pin.node) continue;
        const auto [found, is_first] = first_of_group.emplace(group_of(pin), &pin);
        if (is_first) continue;
        const Pin& other = *found->second;
        // A pin that nothing is joined to is still metal of its side: the base of a coupler.
        const bool bridges = other.side != pin.side;
        faults.push_back(
            {bridges ? Fault::bridged : Fault::joined_wrongly,
             fmt::format("{} in {} is joined to {} in {}; {}", pin.what, pin.hole, other.what,
                         other.hole, bridges ? "they belong to different sides" : "nothing may be"),
             {pin.hole, other.hole}});
    }
}

}  // namespace

std::vector<BoardFault> read_back(const PlanTable& table, const Wiring& wiring) {
    Faults faults;
    Metal metal{table.board, {}};
    for (const auto& cut : table.cuts) {
        if (is_hole(table.board, cut, faults)) metal.cuts.insert(cut);
    }
    Uses uses;
    const auto pins = read_pins(table, wiring, uses, faults);
    const auto joints = read_wires(table, metal, pins, uses, faults);
    for (const bool on_a_node : {true, false}) {
        for (const Pin& pin : pins) {
            if (pin.node.has_value() == on_a_node) judge_place(table.board, pin, faults);
        }
    }
    judge_strips(metal, faults);
    compare(wiring, metal, pins, joints, faults);
    std::ranges::stable_sort(faults, {}, [](const BoardFault& fault) {
        return fault.kind == Fault::bridged ? 0 : fault.kind == Fault::in_the_gap ? 1 : 2;
    });
    return faults;
}

}  // namespace gapwright
