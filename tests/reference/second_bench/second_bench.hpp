// A built link on a bench of its own: one specimen with one fault at most, and a meter that is held
// to it. Made to judge the program's fault finding, so it shares neither its networks, its list of
// faults nor its meter.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "link/link.hpp"
#include "reference/second_bench/board.hpp"
#include "reference/second_bench/hand_meter.hpp"
#include "reference/second_bench/wiring.hpp"

namespace gapwright::reference {

struct SecondFault;

class SecondBench {
  public:
    // A specimen by its seed; without a fault where there is none.
    SecondBench(const Link& link, std::uint64_t seed, const SecondFault* fault = nullptr,
                JunctionTest test = JunctionTest::constant);
    SecondBench(const SecondBench&) = delete;  // its meter throws the bench's own dice
    SecondBench& operator=(const SecondBench&) = delete;

    // What the meter shows: V, A or Ω; infinite for over range.
    double read(const Measurement& measurement);

    // What a promise at rest speaks of, without a meter in the circuit: V, A or W.
    double promised(const Promise& promise);
    // Whether each promise at rest holds, its reserve left aside.
    std::vector<bool> kept();

    bool sides_are_bridged() const { return board_.is_bridged(); }
    const Board& board() const { return board_; }

    // The seeming resistance between two points, the red lead at the first: for tests.
    double resistance_between(std::size_t plus, std::size_t minus);

  private:
    // Nodes of the board at which the two leads are.
    struct Leads {
        std::size_t plus = 0, minus = 0;
    };
    Leads leads_of(const Measurement& measurement, const Wired& wired) const;
    Wiring wiring_of(const Measurement& measurement) const;
    Board as_it_is_now();
    double voltage(const Measurement& measurement, const Board& board);
    double current(const Measurement& measurement, const Board& board);
    double ohms(const Measurement& measurement, const Board& board);
    double junction(const Measurement& measurement, const Board& board);
    // A network solved with its logic outputs as strong as their supply makes them.
    struct Solved {
        Wired wired;
        std::vector<double> volts;
    };
    Solved powered(const Board& board, Wiring wiring,
                   const std::function<void(Wired&)>& instrument) const;

    const Link& link_;
    Dice dice_;
    Board board_;
    HandMeter meter_;
};

}  // namespace gapwright::reference
