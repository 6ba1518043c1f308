// A circuit under way: what arrangements draw into, one side after the other. Names are given in
// the order in which parts are asked for, so that the numbers of both sides never meet.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "link/need.hpp"

namespace gapwright {

// A line with a remark that stands behind it; most need none.
struct SketchLine {
    std::string text;
    std::string note = {};
};

struct SketchPart {
    std::string name;
    std::string text;  // "{ card = \"npn-small\" }"
    std::string note = {};
};

// A setting of the drive, and whether the need counts it as driven.
struct SketchState {
    bool driven = false;
    std::string settings;   // "{ P1 = \"high\" }"
    std::string name = {};  // empty for "on" or "off", after the load
};

// A promise beside those about the load.
struct SketchPromise {
    bool driven = false;  // about the state in which the drive is driven, or about the other
    std::vector<SketchLine> lines;
};

class Sketch {
  public:
    // Adds a path of a side, written as in a link file.
    void path(Side side, std::string text, std::string note = {});

    // Adds a part under the name given, or under the next free number of its letter.
    void part(std::string name, std::string text, std::string note = {});
    std::string resistor(std::string note = {});    // to be chosen: "R3"
    std::string transistor(std::string_view card);  // "Q2"

    void state(SketchState state) { states_.push_back(std::move(state)); }
    void promise(SketchPromise promise) { promises_.push_back(std::move(promise)); }

    // What is measured on the load, as lines of a promise: `current = "D2"`.
    void measure(std::vector<std::string> lines) { measure_ = std::move(lines); }

    // Says that this resistor's value sets how fast the output is.
    void sets_speed(const std::string& resistor) { sets_speed_.push_back(resistor); }

    const std::vector<SketchLine>& paths(Side side) const {
        return side == Side::input ? input_ : output_;
    }
    const std::vector<SketchPart>& parts() const { return parts_; }
    const std::vector<SketchState>& states() const { return states_; }
    const std::vector<SketchPromise>& promises() const { return promises_; }
    const std::vector<std::string>& measured() const { return measure_; }
    const std::vector<std::string>& speed_setters() const { return sets_speed_; }

  private:
    std::vector<SketchLine> input_;
    std::vector<SketchLine> output_;
    std::vector<SketchPart> parts_;
    std::vector<SketchState> states_;
    std::vector<SketchPromise> promises_;
    std::vector<std::string> measure_;
    std::vector<std::string> sets_speed_;
    int resistors_ = 0;
    int transistors_ = 0;
};

// A part's table on one line: "{ kind = \"contact\", leakage = \"1 mA\" }".
std::string table_text(const PartText& part);

// A part that is all its card says: "{ card = \"npn-small\" }".
std::string card_text(std::string_view card);

}  // namespace gapwright
