// What drives an emitter, and the link as a whole.
#include "reference/made_networks.hpp"

#include "reference/network_maker.hpp"

namespace gapwright::reference {

// What else may stand in the emitter's string, and across the emitter.
NetworkMaker::EmitterString NetworkMaker::emitter_string(const std::string& gap) {
    std::string text = r(150, 3300) + " > ";
    if (dice_.chance(0.25)) text += add("D", led(dice_)) + " > ";
    if (dice_.chance(0.2)) text += add("D", diode(dice_)) + " > ";
    if (dice_.chance(0.15)) text += add("Z", zener(dice_)) + " > ";
    if (dice_.chance(0.2)) text += add("L", inductor(dice_)) + " > ";
    if (dice_.chance(0.6)) return {text + gap, ""};
    const std::string top = node("top");
    const std::string foot = node("foot");
    const std::size_t which = dice_.below(4);
    if (which == 0) in(foot + " > " + add("D", diode(dice_)) + " > " + top);
    if (which == 1) in(top + " > " + r(1e3, 100e3) + " > " + foot);
    if (which == 2) in(top + " > " + add("C", capacitor(dice_)) + " > " + foot);
    if (which == 3) in(top + " > " + add("H", load(dice_)) + " > " + foot);
    return {text + top, top + " > " + gap + " > " + foot};
}

// `head` and `tail` stand before and behind the string; both end and begin at a part or node.
void NetworkMaker::run(const std::string& head, const EmitterString& middle,
                       const std::string& tail) {
    if (middle.second.empty()) {
        in(head + " > " + middle.first + " > " + tail);
        return;
    }
    in(head + " > " + middle.first);
    in(middle.second);
    const std::string foot = middle.second.substr(middle.second.rfind(' ') + 1);
    // A foot that leads to nothing but the return takes a small resistor on its way.
    in(foot + " > " + (tail == "return" ? r(1, 100) + " > " : "") + tail);
}

void NetworkMaker::transistor_drive(const EmitterString& middle, bool pnp) {
    const std::string p = driver();
    const std::string q = add("Q", transistor(dice_, pnp));
    in("supply > " + p + " > " + r(1e3, 47e3) + " > " + q + ".base");
    if (pnp) {
        set(p, "low", "high");
        run("supply > " + q, middle, "return");
        in("supply > " + r(5e3, 200e3) + " > " + q + ".base");
    } else {
        set(p, "high", "low");
        run("supply", middle, q + " > return");
        in(q + ".base > " + r(5e3, 200e3) + " > return");
    }
}

void NetworkMaker::mosfet_drive(const EmitterString& middle, bool p_channel) {
    const std::string p = driver();
    const std::string m = add("M", mosfet(dice_, p_channel));
    in("supply > " + p + " > " + r(10, 1e4) + " > " + m + ".gate");
    if (p_channel) {
        set(p, "low", "high");
        run("supply > " + m, middle, "return");
        in("supply > " + r(1e4, 1e6) + " > " + m + ".gate");
    } else {
        set(p, "high", "low");
        run("supply", middle, m + " > return");
        in(m + ".gate > " + r(1e4, 1e6) + " > return");
    }
}

void NetworkMaker::drive(const std::string& gap) {
    const EmitterString middle = emitter_string(gap);
    const std::size_t which = dice_.below(6);
    static constexpr const char* names[] = {"contact", "logic output", "npn",
                                            "pnp",     "n-channel",    "p-channel"};
    link_.recipe += std::string(" driven by ") + names[which] + ',';
    if (which == 0) {
        const std::string s = add("S", contact(dice_));
        set(s, "closed", "open");
        run("supply > " + s, middle, "return");
    } else if (which == 1) {
        const std::string p = driver();
        set(p, "high", "low");
        run("supply > " + p, middle, "return");
    } else if (which <= 3) {
        transistor_drive(middle, which == 3);
    } else {
        mosfet_drive(middle, which == 5);
    }
}

MadeLink NetworkMaker::make() {
    link_.temperature = dice_.chance(0.1)   ? 218.15
                        : dice_.chance(0.1) ? 398.15
                                            : 273.15 + dice_.between(-55, 125);
    link_.input.supply = dice_.decades(4.5, 26);
    link_.output.supply = dice_.decades(3.3, 26);
    if (dice_.chance(0.4)) link_.input.resistance = dice_.decades(0.1, 20);
    if (dice_.chance(0.4)) link_.output.resistance = dice_.decades(0.1, 20);
    const std::size_t gaps = dice_.chance(0.25) ? 2 : 1;
    for (std::size_t k = 0; k < gaps; ++k) {
        const std::size_t which = dice_.below(8);
        const auto receiver = which == 6   ? Receiver::phototransistor
                              : which == 7 ? Receiver::light_resistor
                                           : Receiver::coupler;
        const std::string gap = receiver == Receiver::coupler
                                    ? add("U", coupler(dice_))
                                    : add("U", pair(dice_, receiver == Receiver::light_resistor));
        link_.recipe += " | " + link_.parts.at(gap).kind;
        if (receiver == Receiver::light_resistor) link_.recipe += " with light resistor";
        drive(gap);
        stage(gap, receiver);
    }
    return link_;
}

MadeLink made_network(std::uint64_t seed) {
    return NetworkMaker(seed).make();
}

}  // namespace gapwright::reference
