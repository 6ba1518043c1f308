// An arrangement: one way to build one side of a link, as the trade knows it. To add one, see
// docs/adding-an-arrangement.md.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>
#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "circuit/index.hpp"
#include "design/arrangements/sketch.hpp"
#include "link/need.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// A gap that a link can be built on.
struct GapChoice {
    std::string name;  // "four-pin-coupler-b", "infrared-led and infrared-receiver"
    std::string text;  // U1 under [parts]
    std::string note = {};
    std::shared_ptr<const Description> emitter;   // a led; of a coupler the coupler itself
    std::shared_ptr<const Description> receiver;  // likewise
};

// What an arrangement is drawn for. Figures are SI, and the worst of their spread.
struct Circumstances {
    const Need& need;
    CardShelf& shelf;
    const GapChoice& gap;
    bool indicator = false;  // an indicator in series with the emitter

    // The supply of a side and the drive's voltage when high.
    const Spread& supply(Side side) const;
    const Spread* drive_high() const;  // none for a contact

    // The current at which the emitter's card states its forward voltage: what such an emitter is
    // meant to be run at. Its lowest and highest forward voltage there, the indicator's with it.
    double emitter_current() const;
    Spread emitter_forward() const;

    // The highest current that the load takes when on.
    double load_current() const;

    // The emitter in a path, the indicator before it: "U1" or "D3 > U1".
    std::string_view emitter_path() const { return indicator ? "D3 > U1" : "U1"; }

    // The receiver is a light-dependent resistor, which has no collector and no emitter.
    bool receiver_switches() const;  // is through or shut, as a transistor is

    // The card of that name, or none.
    std::shared_ptr<const Description> card(const std::string& name) const;

    // The first of these transistors that the load burdens with no more than half its rated current
    // and with no more than its rated voltage; empty when none does.
    std::string switch_for_load(const std::vector<std::string>& cards, Key current_limit,
                                Key voltage_limit) const;
};

struct Arrangement {
    std::string_view name;  // as people call it; part of a draft's description
    // Input: the emitter is lit when the drive is driven. Output: the load is on when the receiver
    // is lit. Else the other way round.
    bool follows = true;
    bool (*fits)(const Circumstances&) = nullptr;
    void (*draw)(const Circumstances&, Sketch&) = nullptr;
};

// Adds the drive and the indicator, if there is one, under their standard names, and the two states
// of a drive: driven, and not.
void draw_drive(const Circumstances& c, Sketch& sketch);
void draw_indicator(const Circumstances& c, Sketch& sketch);

}  // namespace gapwright
