#include "reference/second_bench/second_bench.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "reference/second_bench/second_faults.hpp"

namespace gapwright::reference {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

std::vector<double> solved(const Network& network) {
    const auto volts = balance(network);
    if (!volts) throw std::runtime_error("the second bench found no balance");
    return *volts;
}

// A hand's breadth of test lead picks up nanoamperes: tens of millivolts across 10 MΩ where
// nothing else holds the node (common practice: an open input "floats").
constexpr double picked_up = 3e-9;

}  // namespace

SecondBench::SecondBench(const Link& link, std::uint64_t seed, const SecondFault* fault,
                         JunctionTest test)
    : link_(link), dice_(seed), board_(drawn_board(link, dice_)), meter_(link.meter, dice_, test) {
    for (auto& part : board_.parts) {
        // What the cards do not tell: where junctions break down (common practice: light emitters
        // far above the 5 V that they are rated for, emitter junctions at 6.5 to 9.5 V).
        auto& figures = part.device.figures;
        figures["emitter_breakdown"] = dice_.between(6.5, 9.5);
        const double rated = part.device.figure("reverse_voltage", 20);
        figures["breakdown"] = part.device.kind == "diode" ? rated * dice_.between(1.3, 2)
                                                           : rated * dice_.between(3, 8);
        figures["body_saturation"] = dice_.decades(2e-12, 2e-11);
    }
    if (fault) fault->apply(board_);
}

Board SecondBench::as_it_is_now() {
    Board board = board_;
    for (auto& part : board.parts) {
        for (auto& hole : part.holes) {
            if (hole.sometimes) hole.joint = dice_.happens(0.5) ? 1e11 : 0;
        }
    }
    return board;
}

Wiring SecondBench::wiring_of(const Measurement& m) const {
    Wiring wiring;
    if (m.state != unpowered) wiring.state = &link_.states.at(*link_.find_state(m.state));
    if (m.lifted) wiring.lifted = board_.find(link_.parts[*m.lifted].name, m.side);
    if (m.off) wiring.off = board_.find(link_.parts[*m.off].name, m.side);
    wiring.all_input = m.all_input;
    wiring.all_output = m.all_output;
    return wiring;
}

SecondBench::Leads SecondBench::leads_of(const Measurement& m, const Wired& wired) const {
    const bool across =
        m.kind == MeasurementKind::isolation || m.kind == MeasurementKind::insulation;
    Leads leads{board_.node(across ? Side::input : m.side, m.plus),
                board_.node(across ? Side::output : m.side, m.minus)};
    if (m.all_input && across) leads.plus = board_.side_return(Side::input);
    if (m.all_output && across) leads.minus = board_.side_return(Side::output);
    if (m.reversed) std::swap(leads.plus, leads.minus);
    if (m.lifted && wired.lifted_lead) {
        // The lead that is out takes the place of the hole that it belongs in.
        const std::size_t p = board_.find(link_.parts[*m.lifted].name, m.side);
        const std::size_t hole = board_.parts[p].holes[0].node;
        (leads.minus == hole ? leads.minus : leads.plus) = *wired.lifted_lead;
    }
    return leads;
}

SecondBench::Solved SecondBench::powered(const Board& board, Wiring wiring,
                                         const std::function<void(Wired&)>& instrument) const {
    for (int round = 0;; ++round) {
        Solved result{wired(board, wiring), {}};
        instrument(result.wired);
        result.volts = solved(result.wired.network);
        // A logic output gives what its chip's supply gives: as much less as that is less, and
        // nothing below half of it or when it is the wrong way round.
        bool moved = false;
        for (const Side side : {Side::input, Side::output}) {
            const std::size_t k = side == Side::input ? 0 : 1;
            if (board.sound_volts[k] <= 0) continue;
            const double there =
                result.volts[board.node(side, supply_node)] - result.volts[board.side_return(side)];
            double drive = there / board.sound_volts[k];
            if (drive < 0.5) drive = 0;
            if (drive > 0.93 && drive < 1.07) drive = 1;
            if (std::abs(drive - wiring.drive[k]) > 0.01 && wiring.drive[k] > 0) moved = true;
            if (wiring.drive[k] > 0) wiring.drive[k] = drive;
        }
        if (!moved || round == 6) return result;
    }
}

double SecondBench::voltage(const Measurement& m, const Board& board) {
    const double up = dice_.between(-picked_up, picked_up);
    const double down = dice_.between(-picked_up, picked_up);
    Leads leads;
    const auto result = powered(board, wiring_of(m), [&](Wired& wired) {
        leads = leads_of(m, wired);
        wired.network.join(leads.plus, leads.minus, meter_.meter().input_resistance);
        wired.network.add(PlainPath{leads.plus, board.side_return(m.side), 0, up});
        wired.network.add(PlainPath{leads.minus, board.side_return(m.side), 0, down});
        if (board.meter_fault == MeterFault::red_lead_in_current_socket) {
            wired.network.join(leads.plus, leads.minus, 0.05);
        }
    });
    if (board.meter_fault == MeterFault::red_lead_in_current_socket) {
        return meter_.shown_voltage(dice_.between(-1e-4, 1e-4));
    }
    return meter_.shown_voltage(result.volts[leads.plus] - result.volts[leads.minus]);
}

double SecondBench::current(const Measurement& m, const Board& board) {
    Wiring wiring = wiring_of(m);
    const std::size_t p =
        m.part ? board_.find(link_.parts[*m.part].name, m.side) : board_.supply(m.side).value();
    wiring.opened = p;
    // Current out of a source's first lead is what flows along its path.
    const auto& kind = board.parts[p].device.kind;
    const double sign = kind == "battery" || kind == "logic output" ? -1 : 1;
    return meter_.shown_current([&](double burden) {
        wiring.burden = board.meter_fault == MeterFault::fuse_blown ? 1e11 : burden;
        const auto result = powered(board, wiring, [](Wired&) {});
        if (!result.wired.ammeter) return 0.0;
        if (board.meter_fault == MeterFault::fuse_blown) return 0.0;
        return sign * current_along(result.wired.network, *result.wired.ammeter, result.volts);
    });
}

double SecondBench::ohms(const Measurement& m, const Board& board) {
    const bool tester = m.kind == MeasurementKind::insulation;
    const auto found = [&](const OhmRange& range) {
        Wired now = wired(board, wiring_of(m));
        const Leads leads = leads_of(m, now);
        now.network.add(LimitedSource{leads.plus, leads.minus, range.volts, range.ohms, 1});
        const auto volts = solved(now.network);
        const double across = volts[leads.plus] - volts[leads.minus];
        const double through = (range.volts - across) / range.ohms;
        return through > range.volts * 1e-12 ? across / through : infinite;
    };
    if (tester) return meter_.shown_insulation(found({2e9, insulation_volts, insulation_ohms}));
    if (board.meter_fault == MeterFault::red_lead_in_current_socket) return infinite;
    return meter_.shown_resistance(found);
}

double SecondBench::junction(const Measurement& m, const Board& board) {
    if (board.meter_fault == MeterFault::red_lead_in_current_socket) return infinite;
    Wired now = wired(board, wiring_of(m));
    const Leads leads = leads_of(m, now);
    now.network.add(TestCurrent{leads.plus, leads.minus, meter_.junction_current(),
                                meter_.meter().junction_voltage, meter_.junction_bend()});
    const auto volts = solved(now.network);
    return meter_.shown_junction(volts[leads.plus] - volts[leads.minus]);
}

double SecondBench::read(const Measurement& m) {
    const Board board = as_it_is_now();
    switch (m.kind) {
        case MeasurementKind::voltage:
            return voltage(m, board);
        case MeasurementKind::current:
            return current(m, board);
        case MeasurementKind::resistance:
        case MeasurementKind::isolation:
        case MeasurementKind::insulation:
            return ohms(m, board);
        case MeasurementKind::junction:
            return junction(m, board);
    }
    throw std::logic_error("no such measurement");
}

double SecondBench::resistance_between(std::size_t plus, std::size_t minus) {
    return meter_.shown_resistance([&](const OhmRange& range) {
        Wired now = wired(board_, {});
        now.network.add(LimitedSource{plus, minus, range.volts, range.ohms, 1});
        const auto volts = solved(now.network);
        const double across = volts[plus] - volts[minus];
        return across / std::max((range.volts - across) / range.ohms, range.volts * 1e-13);
    });
}

}  // namespace gapwright::reference
