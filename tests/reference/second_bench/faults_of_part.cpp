// What each kind of part can be in the wrong way, besides its joints.
#include <fmt/format.h>

#include <cmath>
#include <functional>
#include <string>
#include <utility>

#include "reference/second_bench/second_faults.hpp"

namespace gapwright::reference {
namespace {

class PartList {
  public:
    PartList(const Link& link, const Board& board, std::size_t p, Dice& dice)
        : link_(link), board_(board), p_(p), dice_(dice) {}

    std::vector<SecondFault> made() {
        const std::string& kind = board_.parts[p_].device.kind;
        if (kind == "resistor") resistor();
        if (kind == "diode") {
            two_leads(FaultKind::diode_reversed, FaultKind::diode_shorted,
                      FaultKind::diode_missing);
        }
        if (kind == "led" && !is_of_beam()) indicator();
        if (kind == "zener") zener();
        if (kind == "transistor") transistor();
        if (kind == "mosfet") mosfet();
        if (kind == "contact") contact();
        if (kind == "logic output") logic_output();
        if (kind == "logic input") logic_input();
        if (kind == "coil" || kind == "load" || kind == "inductor") load();
        return std::move(faults_);
    }

  private:
    bool is_of_beam() const {
        for (const Beam& beam : board_.beams) {
            if (beam.emitter == p_ || beam.receiver == p_) return true;
        }
        return false;
    }

    void add(FaultKind kind, double amount, std::function<void(BuiltPart&)> change) {
        faults_.push_back(part_fault(
            board_, p_, kind, amount,
            [p = p_, change = std::move(change)](Board& board) { change(board.parts[p]); }));
    }
    void figure(FaultKind kind, const std::string& key, double value) {
        add(kind, value, [key, value](BuiltPart& part) { part.device.figures[key] = value; });
    }
    void exchanged(FaultKind kind, std::size_t a, std::size_t b) {
        add(kind, 0, [a, b](BuiltPart& part) { std::swap(part.terminals[a], part.terminals[b]); });
    }
    void shorted(FaultKind kind) {
        const double ohms = dice_.decades(0.05, 3);
        add(kind, ohms,
            [ohms](BuiltPart& part) { part.device = MadePart{"resistor", {{"value", ohms}}, {}}; });
    }
    void open(FaultKind kind) {
        add(kind, 0, [](BuiltPart& part) { part.dead = true; });
    }
    void two_leads(FaultKind reversed, FaultKind short_, FaultKind open_) {
        exchanged(reversed, 0, 1);
        shorted(short_);
        open(open_);
    }

    void resistor() {
        const double nominal = link_.parts[*board_.parts[p_].part].description.nominal(Key::value);
        const auto wrong = [&](FaultKind kind, double value) {
            figure(kind, "value", value * dice_.between(0.97, 1.03));
        };
        wrong(FaultKind::resistor_ten_times, nominal * 10);
        wrong(FaultKind::resistor_tenth, nominal / 10);
        wrong(FaultKind::resistor_thousandfold, nominal * 1000);
        open(FaultKind::resistor_open);
        // The first two bands read in the wrong order, where that gives a value to be had.
        const double decade = std::pow(10, std::floor(std::log10(nominal * 1.0001)) - 1);
        const int digits = static_cast<int>(std::lround(nominal / decade));
        const int swapped = digits % 10 * 10 + digits / 10;
        if (swapped >= 10 && std::abs(std::log(swapped / double(digits))) > 0.3) {
            wrong(FaultKind::resistor_digits_swapped, swapped * decade);
        }
        // Two or three compartments further in a drawer of twelve values a decade.
        const double steps = dice_.between(2, 3.4) * (dice_.happens(0.5) ? 1 : -1);
        wrong(FaultKind::resistor_neighbour, nominal * std::pow(10, std::trunc(steps) / 12));
    }

    void indicator() {
        two_leads(FaultKind::led_reversed, FaultKind::led_shorted, FaultKind::led_open);
        const double own = board_.parts[p_].device.figure("forward", 2);
        // Forward voltages at the same current: infrared, red, green, white (common practice).
        const double colours[] = {1.2, 2.0, 2.4, 3.05};
        const double other = colours[dice_.below(4)];
        if (std::abs(other - own) > 0.35) figure(FaultKind::led_other_colour, "forward", other);
    }

    void zener() {
        two_leads(FaultKind::zener_reversed, FaultKind::zener_shorted, FaultKind::zener_open);
        const double own = board_.parts[p_].device.figure("zener_voltage");
        const double factor =
            dice_.happens(0.5) ? dice_.between(0.4, 0.7) : dice_.between(1.5, 2.2);
        figure(FaultKind::zener_other, "zener_voltage", own * factor);
    }

    void transistor() {
        exchanged(FaultKind::collector_emitter_exchanged, 0, 1);
        exchanged(FaultKind::base_emitter_exchanged, 1, 2);
        exchanged(FaultKind::base_collector_exchanged, 0, 2);
        add(FaultKind::other_polarity, 0, [](BuiltPart& part) { part.mirrored = !part.mirrored; });
        const double threshold = dice_.between(1, 3);
        add(FaultKind::mosfet_for_transistor, threshold, [threshold](BuiltPart& part) {
            // The same pins: gate for base, drain for collector, source for emitter.
            part.device = MadePart{
                "mosfet",
                {{"threshold", threshold}, {"transconductance", 0.5}, {"slope_factor", 1.3}},
                {}};
        });
        figure(FaultKind::little_gain, "gain", dice_.decades(4, 25));
        leak(FaultKind::transistor_leaks, dice_.decades(300, 30e3), 0, 1);
        leak(FaultKind::transistor_shorted, dice_.decades(0.1, 5), 0, 1);
        open(FaultKind::transistor_open);
    }

    void leak(FaultKind kind, double ohms, std::size_t a, std::size_t b) {
        add(kind, ohms, [=](BuiltPart& part) { part.leaks.push_back({a, b, ohms}); });
    }

    void mosfet() {
        exchanged(FaultKind::drain_source_exchanged, 0, 1);
        exchanged(FaultKind::gate_source_exchanged, 1, 2);
        exchanged(FaultKind::gate_drain_exchanged, 0, 2);
        add(FaultKind::other_channel, 0, [](BuiltPart& part) { part.mirrored = !part.mirrored; });
        leak(FaultKind::mosfet_shorted, dice_.decades(0.05, 5), 0, 1);
        leak(FaultKind::gate_leaks, dice_.decades(5, 5e3), 2, 1);
    }

    void contact() {
        add(FaultKind::contact_stuck_open, 0, [](BuiltPart& part) { part.stuck = Setting::open; });
        add(FaultKind::contact_stuck_closed, 0,
            [](BuiltPart& part) { part.stuck = Setting::closed; });
        figure(FaultKind::contact_dirty, "closed_resistance", dice_.decades(100, 20e3));
    }

    void logic_output() {
        add(FaultKind::output_stuck_low, 0, [](BuiltPart& part) { part.stuck = Setting::low; });
        add(FaultKind::output_stuck_high, 0, [](BuiltPart& part) { part.stuck = Setting::high; });
        open(FaultKind::output_lead_off);
    }

    void logic_input() {
        // A pin that was overdriven once conducts to its chip's return (common practice).
        leak(FaultKind::input_leaks, dice_.decades(100, 5e3), 0, 1);
    }

    void load() {
        open(FaultKind::load_open);
        shorted(FaultKind::load_shorted);
        const double own = board_.parts[p_].device.figure("resistance");
        const double factor = dice_.happens(0.5) ? dice_.between(0.15, 0.4) : dice_.between(2.5, 6);
        figure(FaultKind::load_other, "resistance", own * factor);
    }

    const Link& link_;
    const Board& board_;
    std::size_t p_;
    Dice& dice_;
    std::vector<SecondFault> faults_;
};

}  // namespace

std::vector<SecondFault> faults_of_part(const Link& link, const Board& board, std::size_t part,
                                        Dice& dice) {
    return PartList(link, board, part, dice).made();
}

}  // namespace gapwright::reference
