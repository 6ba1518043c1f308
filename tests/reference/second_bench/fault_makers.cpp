// Single faults: a bridge, a joint, something about a part.
#include <fmt/format.h>

#include <utility>

#include "reference/second_bench/second_faults.hpp"

namespace gapwright::reference {
namespace {

std::string ohms_words(double ohms) {
    if (ohms >= 1e6) return fmt::format("{:.3g} MΩ", ohms / 1e6);
    if (ohms >= 1e3) return fmt::format("{:.3g} kΩ", ohms / 1e3);
    return fmt::format("{:.3g} Ω", ohms);
}

}  // namespace

SecondFault bridge_between(const Link& link, const Board& board, std::size_t a, std::size_t b,
                           double ohms) {
    SecondFault fault;
    const bool across = board.side_of(a) != board.side_of(b);
    fault.kind = !across        ? FaultKind::bridged_nodes
                 : ohms < 1     ? FaultKind::gap_shorted
                 : ohms < 100e3 ? FaultKind::gap_bridged
                                : FaultKind::gap_leaks;
    fault.words = fmt::format("{} from {} to {}", ohms_words(ohms), node_words(link, board, a),
                              node_words(link, board, b));
    fault.nodes = {a, b};
    fault.amount = ohms;
    fault.apply = [a, b, ohms](Board& on) { on.bridges.push_back({a, b, ohms}); };
    return fault;
}

SecondFault joint_at(const Board& board, std::size_t part, std::size_t hole, FaultKind kind,
                     double ohms) {
    const bool sometimes = kind == FaultKind::intermittent_joint;
    const bool some = kind == FaultKind::resistive_joint;
    SecondFault fault = part_fault(board, part, kind, ohms, [=](Board& on) {
        on.parts[part].holes[hole].joint = sometimes ? 0 : ohms;
        on.parts[part].holes[hole].sometimes = sometimes;
    });
    const Hole& at = board.parts[part].holes[hole];
    fault.words = fmt::format("{} at {}.{}{}", kind_words(kind), fault.parts[0], at.lead,
                              some ? ", " + ohms_words(ohms) : std::string());
    fault.nodes = {at.node};
    fault.hole = hole;
    return fault;
}

SecondFault part_fault(const Board& board, std::size_t part, FaultKind kind, double amount,
                       std::function<void(Board&)> apply) {
    SecondFault fault;
    fault.kind = kind;
    fault.parts = {board.parts[part].name};
    fault.words = fmt::format("{}: {} ({:.3g})", fault.parts[0], kind_words(kind), amount);
    fault.on_board = part;
    fault.amount = amount;
    fault.apply = std::move(apply);
    return fault;
}

}  // namespace gapwright::reference
