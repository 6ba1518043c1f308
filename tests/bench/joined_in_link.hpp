// What a link joins, worked out from its parts' nodes: whether a fault's edit did what it should.
#pragma once

#include <map>
#include <numeric>
#include <vector>

#include "bench/faults/fault.hpp"
#include "board/wiring.hpp"
#include "card/key.hpp"

namespace gapwright::testing_support {

// Numbers as they first come, so that equal partitions are equal lists.
inline std::vector<std::size_t> renumbered(const std::vector<std::size_t>& sets) {
    std::map<std::size_t, std::size_t> number;
    std::vector<std::size_t> result;
    for (const auto set : sets) {
        result.push_back(number.emplace(set, number.size()).first->second);
    }
    return result;
}

class JoinedInLink {
  public:
    // `edited` is a copy of `good` that the fault has changed.
    JoinedInLink(const Link& good, const Link& edited, const std::optional<SideBridge>& bridge)
        : good_(good), edited_(edited), inputs_(edited.input.node_names.size()) {
        parent_.resize(inputs_ + edited.output.node_names.size());
        std::iota(parent_.begin(), parent_.end(), std::size_t{0});
        for (std::size_t k = good.parts.size(); k < edited.parts.size(); ++k) {
            const Part& part = edited.parts[k];
            if (part.description.nominal(Key::value) > 1) continue;
            const auto& p = part.input ? *part.input : *part.output;
            join(number(p.side, p.from), number(p.side, p.to));
        }
        if (bridge && bridge->resistance.nominal <= 1) {
            join(number(Side::input, bridge->input), number(Side::output, bridge->output));
        }
    }

    std::size_t set_of(Side side, Node node) const {
        std::size_t at = number(side, node);
        while (parent_[at] != at) at = parent_[at];
        return at;
    }

    // By pin of the wiring that is on a node. Which terminal a pin is, is found by the node that it
    // has in the good link.
    std::vector<std::size_t> sets(const Wiring& wiring) const {
        std::vector<std::size_t> result;
        for (const WiringPart& part : wiring.parts) {
            for (const WiringPin& pin : part.pins) {
                if (pin.node) result.push_back(set_of_pin(wiring, part, *pin.node));
            }
        }
        return renumbered(result);
    }

  private:
    std::size_t number(Side side, Node node) const {
        return to_index(node) + (side == Side::input ? 0 : inputs_);
    }
    void join(std::size_t a, std::size_t b) {
        while (parent_[a] != a) a = parent_[a];
        while (parent_[b] != b) b = parent_[b];
        parent_[a] = b;
    }

    std::size_t set_of_pin(const Wiring& wiring, const WiringPart& part, std::size_t node) const {
        const Side side = wiring.nodes[node].side;
        const auto in_good =
            static_cast<Node>(side == Side::input ? node : node - good_.input.node_names.size());
        for (std::size_t k = 0; k < good_.parts.size(); ++k) {
            const std::string& name = good_.parts[k].name;
            if (part.name != name && part.name != name + " emitter" &&
                part.name != name + " receiver") {
                continue;
            }
            const Placement& good = *good_.parts[k].on(side);
            const Placement& now = *edited_.parts[k].on(side);
            return set_of(side, good.from == in_good ? now.from
                                : good.to == in_good ? now.to
                                                     : *now.control);
        }
        return set_of(side, in_good);  // a supply's lead
    }

    const Link& good_;
    const Link& edited_;
    std::size_t inputs_;
    std::vector<std::size_t> parent_;
};

}  // namespace gapwright::testing_support
