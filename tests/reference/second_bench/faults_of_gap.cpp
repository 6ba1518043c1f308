// What can be wrong with what light crosses: couplers and open pairs.
#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "reference/second_bench/second_faults.hpp"

namespace gapwright::reference {
namespace {

class GapList {
  public:
    GapList(const Link& link, const Board& board, std::size_t b, Dice& dice)
        : link_(link), board_(board), b_(b), beam_(board.beams[b]), dice_(dice) {}

    std::vector<SecondFault> made() {
        emitter();
        receiver();
        if (beam_.coupler) {
            coupler();
        } else {
            pair();
        }
        return std::move(faults_);
    }

  private:
    void add(std::size_t p, FaultKind kind, double amount, std::function<void(Board&)> apply) {
        faults_.push_back(part_fault(board_, p, kind, amount, std::move(apply)));
    }
    void on_part(std::size_t p, FaultKind kind, double amount,
                 std::function<void(BuiltPart&)> change) {
        add(p, kind, amount,
            [p, change = std::move(change)](Board& board) { change(board.parts[p]); });
    }
    void on_beam(FaultKind kind, double amount, std::function<void(Beam&)> change) {
        add(beam_.emitter, kind, amount,
            [b = b_, change = std::move(change)](Board& board) { change(board.beams[b]); });
    }
    void exchanged(std::size_t p, FaultKind kind, std::size_t a, std::size_t b) {
        on_part(p, kind, 0,
                [a, b](BuiltPart& part) { std::swap(part.terminals[a], part.terminals[b]); });
    }
    void leak(FaultKind kind, double ohms) {
        on_part(beam_.receiver, kind, ohms,
                [ohms](BuiltPart& part) { part.leaks.push_back({0, 1, ohms}); });
    }

    void emitter() {
        exchanged(beam_.emitter, FaultKind::emitter_reversed, 0, 1);
        const double ohms = dice_.decades(0.1, 3);
        on_part(beam_.emitter, FaultKind::emitter_shorted, ohms, [ohms](BuiltPart& part) {
            part.device = MadePart{"resistor", {{"value", ohms}}, {}};
        });
        on_part(beam_.emitter, FaultKind::emitter_open, 0,
                [](BuiltPart& part) { part.dead = true; });
    }

    void receiver() {
        const std::size_t p = beam_.receiver;
        const double little = beam_.conducts() ? dice_.decades(50, 1e3) : dice_.decades(300, 50e3);
        leak(FaultKind::receiver_leaks, little);
        leak(FaultKind::receiver_shorted, dice_.decades(0.1, 5));
        on_part(p, FaultKind::receiver_open, 0, [](BuiltPart& part) { part.dead = true; });
        if (beam_.conducts()) return;  // a cell has no right way round
        exchanged(p, FaultKind::receiver_reversed, 0, 1);
        if (board_.parts[p].holes.size() > 2) {
            exchanged(p, FaultKind::receiver_base_emitter, 1, 2);
            exchanged(p, FaultKind::receiver_base_collector, 0, 2);
        }
    }

    void coupler() {
        // Pin 1 where pin 3 belongs (pin 4 of six), pin 2 where pin 4 (5) belongs, and so on.
        add(beam_.emitter, FaultKind::coupler_turned, 0, [b = b_](Board& board) {
            Beam& beam = board.beams[b];
            BuiltPart& in = board.parts[beam.emitter];
            BuiltPart& out = board.parts[beam.receiver];
            std::swap(in.device, out.device);
            std::swap(in.leaks, out.leaks);
            in.terminals = {1, 0};
            out.terminals = {1, 0};
            std::swap(beam.emitter, beam.receiver);
        });
        const double aged = dice_.decades(0.05, 0.3);
        on_beam(FaultKind::coupler_weak, aged, [aged](Beam& beam) { beam.ratio *= aged; });
        const double other = dice_.happens(0.6) ? dice_.between(0.25, 0.45) : dice_.between(2.2, 4);
        on_beam(FaultKind::coupler_other_class, other,
                [other](Beam& beam) { beam.ratio *= other; });
    }

    void pair() {
        const double further = dice_.between(1.8, 4);
        on_beam(FaultKind::pair_far, further, [further](Beam& beam) { beam.distance *= further; });
        const double aside = std::min(beam_.half_angle * dice_.between(1.1, 2.2), 1.4);
        on_beam(FaultKind::pair_aside, aside, [aside](Beam& beam) { beam.angle = aside; });
        const double through = dice_.decades(1e-4, 1e-2);
        on_beam(FaultKind::beam_blocked, through,
                [through](Beam& beam) { beam.brightness *= through; });
        // A slit in the shroud: some tens of times what it was made to let in at its brightest.
        const double most = std::max(link_.surroundings.light.highest, 300.0);
        const double stray = (1 - beam_.shroud) * most * dice_.decades(10, 200);
        on_beam(FaultKind::stray_light, stray, [stray](Beam& beam) { beam.stray += stray; });
        // A receiver behind a daylight filter sees little of a visible emitter, a cell next to
        // nothing of an infrared one (common practice).
        const bool cell = beam_.conducts();
        const double seen = cell ? dice_.decades(1e-3, 1e-2) : dice_.decades(0.01, 0.06);
        const double forward = cell ? dice_.between(1.15, 1.3) : dice_.between(1.8, 2.1);
        add(beam_.emitter, FaultKind::emitter_other_colour, forward,
            [b = b_, seen, forward](Board& board) {
                Beam& beam = board.beams[b];
                beam.brightness *= seen;
                auto& figures = board.parts[beam.emitter].device.figures;
                figures["forward"] = forward;
                figures["ideality"] = 1.8;
                figures["series_resistance"] = 2;
            });
        if (cell) {
            const double factor =
                dice_.happens(0.5) ? dice_.between(0.1, 0.35) : dice_.between(3, 10);
            on_beam(FaultKind::cell_other, factor, [factor](Beam& beam) {
                beam.resistance *= factor;
                beam.dark_resistance *= factor;
            });
        }
    }

    const Link& link_;
    const Board& board_;
    std::size_t b_;
    const Beam& beam_;
    Dice& dice_;
    std::vector<SecondFault> faults_;
};

}  // namespace

std::vector<SecondFault> faults_of_gap(const Link& link, const Board& board, std::size_t beam,
                                       Dice& dice) {
    return GapList(link, board, beam, dice).made();
}

}  // namespace gapwright::reference
