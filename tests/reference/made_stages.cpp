// What stands behind a receiver.
#include "reference/network_maker.hpp"

namespace gapwright::reference {

// What a switch at the end of a stage carries: "K1", or a string.
std::string NetworkMaker::burden() {
    const std::size_t which = dice_.below(4);
    if (which == 0) return add("K", coil(dice_));
    if (which == 1) return add("H", load(dice_));
    if (which == 2) return r(300, 5e3) + " > " + add("D", led(dice_));
    return add("L", inductor(dice_)) + " > " + r(100, 10e3);
}

void NetworkMaker::transistor_stage(const std::string& gap, const std::string& through) {
    if (dice_.chance(0.5)) {  // npn, the receiver feeds its base
        const std::string q = add("Q", transistor(dice_, false));
        out("supply > " + r(1e3, 47e3) + " > " + gap + through + " > " + q + ".base");
        out(q + ".base > " + r(3e3, 100e3) + " > return");
        if (dice_.chance(0.5)) {  // with a flyback diode
            const std::string coil_end = node("coil");
            out("supply > " + add("K", coil(dice_)) + " > " + coil_end + " > " + q + " > return");
            out(coil_end + " > " + add("D", diode(dice_)) + " > supply");
        } else {
            out("supply > " + burden() + " > " + q + " > return");
        }
    } else {  // pnp on the high side
        const std::string q = add("Q", transistor(dice_, true));
        out(q + ".base > " + r(1e3, 47e3) + " > " + gap + through + " > return");
        out("supply > " + r(3e3, 100e3) + " > " + q + ".base");
        out("supply > " + q + " > " + burden() + " > return");
    }
}

void NetworkMaker::mosfet_stage(const std::string& gap, const std::string& through) {
    if (dice_.chance(0.5)) {
        const std::string m = add("M", mosfet(dice_, false));
        out("supply > " + gap + through + " > " + m + ".gate");
        out(m + ".gate > " + r(1e3, 220e3) + " > return");
        out("supply > " + burden() + " > " + m + " > return");
    } else {
        const std::string m = add("M", mosfet(dice_, true));
        out(m + ".gate > " + gap + through + " > return");
        out("supply > " + r(1e3, 220e3) + " > " + m + ".gate");
        out("supply > " + m + " > " + burden() + " > return");
    }
}

// Coupler into an npn, that one into a second.
void NetworkMaker::cascade(const std::string& gap, const std::string& through) {
    const std::string first = add("Q", transistor(dice_, false));
    const std::string second = add("Q", transistor(dice_, false));
    const std::string middle = node("middle");
    out("supply > " + r(1e3, 47e3) + " > " + gap + through + " > " + first + ".base");
    out(first + ".base > " + r(3e3, 100e3) + " > return");
    out("supply > " + r(1e3, 22e3) + " > " + middle);
    out(middle + " > " + first + " > return");
    out(middle + " > " + r(300, 22e3) + " > " + second + ".base");
    if (dice_.chance(0.5))
        out(second + ".base > " + r(3e3, 100e3) + " > return");
    else
        out(second + ".base > " + add("C", capacitor(dice_)) + " > return");
    out("supply > " + burden() + " > " + second + " > return");
}

void NetworkMaker::stage(const std::string& gap, Receiver receiver) {
    if (receiver != Receiver::light_resistor && dice_.chance(0.3)) {
        // Six pins: the base is led out.
        link_.recipe += " six pins";
        if (receiver == Receiver::coupler) link_.parts.at(gap).words["package"] = "6";
        const std::string emitter_end = node("emitter");
        const std::string follower_load = r(300, 22e3);
        out("supply > " + gap + " > " + emitter_end + " > " + follower_load + " > return");
        out(gap + ".base > " + r(47e3, 4.7e6) + " > " + emitter_end);
        return;
    }
    const std::string through = dice_.chance(0.3) ? " > " + add("D", diode(dice_)) : "";
    const std::size_t which = dice_.below(6);
    static constexpr const char* names[] = {"a collector load", "a follower",   "a cascade",
                                            "a MOSFET",         "a transistor", "a transistor"};
    link_.recipe += std::string(" into ") + names[which];
    if (which <= 1) {
        const std::string signal = node("signal");
        const std::string pull =
            dice_.chance(0.3) ? r(300, 47e3) + " > " + add("D", led(dice_)) : r(300, 100e3);
        if (which == 0) {
            out("supply > " + pull + " > " + signal);
            out(signal + " > " + gap + through + " > return");
        } else {
            out("supply > " + gap + through + " > " + signal);
            out(signal + " > " + pull + " > return");
        }
        out(signal + " > " + add("J", logic_input()) + " > return");
        if (dice_.chance(0.3)) out(signal + " > " + add("C", capacitor(dice_)) + " > return");
        if (dice_.chance(0.3)) out(signal + " > " + r(10e3, 1e6) + " > return");
    } else if (which == 2) {
        cascade(gap, through);
    } else if (which == 3) {
        mosfet_stage(gap, through);
    } else {
        transistor_stage(gap, through);
    }
}

}  // namespace gapwright::reference
