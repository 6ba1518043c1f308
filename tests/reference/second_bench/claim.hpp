// What a suspect's words say, taken apart: which part or place, and what is wrong with it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace gapwright::reference {

struct Claim {
    enum class What : std::uint8_t {
        nothing,          // no fault
        open,             // a part, or a lead of it
        joint,            // a bad one: resistance where none belongs
        shorted,          // a part from end to end, or two leads of it
        value,            // another resistance, "reads as about …"
        reversed,         // the wrong way round
        leads_exchanged,  // of one part
        turned,           // a coupler, in its socket
        weak,             // little light comes across
        strong,           // more than it should
        leaks,
        draws,  // a logic input
        stays,  // `word`: open, closed, low, high
        parts_exchanged,
        joined,  // two nodes
        stray_light,
        other_kind,  // another type, colour, voltage of part
        little_gain,
        other_device,  // `word`: "pnp", "MOSFET" …
        supply,        // `word`: missing, reversed, low, high, weak
        meter,         // `word`: fuse, socket
        unknown,
    };
    What what = What::unknown;
    std::string part;                 // "R3", "U1"; of a supply "input supply"
    std::string half;                 // "emitter" or "receiver" of a gap; empty where not said
    std::string lead;                 // "base" …; empty where the whole part is meant
    std::vector<std::string> others;  // the other part exchanged, the two leads or nodes
    std::string word;
    std::optional<double> amount;  // "about 100 kΩ", "about 1.2 V", "about 27 %" (of 1)
};

// A text may claim two faults at once.
std::vector<Claim> claims_of(const std::string& text);

// "about 4.7 kΩ" or "about 1.2 V" in a sentence, or none; `after` the word "about" or "instead of".
std::optional<double> amount_in(const std::string& text, const std::string& after = "about");

}  // namespace gapwright::reference
