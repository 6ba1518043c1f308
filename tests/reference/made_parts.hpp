// Random parts: values over the decades that benches use, model parameters around their defaults.
#pragma once

#include <random>

#include "reference/made_link.hpp"

namespace gapwright::reference {

class Dice {
  public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}

    double between(double low, double high);  // evenly
    double decades(double low, double high);  // evenly over the logarithm
    bool chance(double share);
    std::size_t below(std::size_t count);
    double around(double value) { return value * decades(0.6, 1.6); }

  private:
    std::mt19937_64 engine_;
};

MadePart resistor(Dice& dice, double low, double high);
MadePart contact(Dice& dice);
MadePart diode(Dice& dice);
MadePart led(Dice& dice);
MadePart zener(Dice& dice);
MadePart capacitor(Dice& dice);
MadePart inductor(Dice& dice);
MadePart coil(Dice& dice);
MadePart load(Dice& dice);
MadePart logic_output(Dice& dice, double supply);
MadePart logic_input();
MadePart transistor(Dice& dice, bool pnp);
MadePart mosfet(Dice& dice, bool p_channel);
MadePart coupler(Dice& dice);
MadePart pair(Dice& dice, bool light_resistor);

}  // namespace gapwright::reference
