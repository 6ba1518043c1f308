// What a link promised, of a built one: no meter in the circuit.
#include <cmath>
#include <variant>

#include "reference/second_bench/second_bench.hpp"

namespace gapwright::reference {

double SecondBench::promised(const Promise& promise) {
    const Board board = as_it_is_now();
    Wiring wiring;
    wiring.state = &link_.states.at(promise.state);
    const auto result = powered(board, wiring, [](Wired&) {});
    const auto& volts = result.volts;
    if (promise.quantity == Promise::Quantity::voltage) {
        return volts[board.node(promise.side, promise.plus)] -
               volts[board.node(promise.side, promise.minus)];
    }
    // A gap's receiver is on the output side, its emitter on the input side.
    const Side side = link_.parts[promise.part].is_gap()
                          ? (promise.receiver ? Side::output : Side::input)
                          : promise.side;
    const std::size_t p = board.find(link_.parts[promise.part].name, side);
    const auto& path = result.wired.path_of[p];
    if (!path) return 0;
    double amperes = current_along(result.wired.network, *path, volts);
    const auto& kind = board.parts[p].device.kind;
    if (kind == "logic output" || kind == "battery") amperes = -amperes;
    if (promise.quantity == Promise::Quantity::current) return amperes;
    const double across =
        volts[board.parts[p].holes.front().node] - volts[board.parts[p].holes[1].node];
    return std::abs(across * amperes);
}

std::vector<bool> SecondBench::kept() {
    std::vector<bool> all;
    for (const auto& promise : link_.promises) {
        if (!promise.at_rest()) continue;
        const double value = promised(promise);
        all.push_back((!promise.at_least || value >= *promise.at_least) &&
                      (!promise.at_most || value <= *promise.at_most));
    }
    return all;
}

}  // namespace gapwright::reference
