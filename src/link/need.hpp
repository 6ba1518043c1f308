// A need as its file states it: what a link must do, before any circuit is chosen. The same file as
// a link's, with [need] in place of paths; see docs/files.md.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {

// A part as a file writes it between braces: its keys, and each value as TOML text.
using PartText = std::vector<std::pair<std::string, std::string>>;

// Where and how a side's paths are written into the file: `before`, the list, `after`, put in at
// byte `at` of the text. Line ends are LF.
struct PathsSpot {
    std::size_t at = 0;
    std::string before = {};
    std::string after = {};
};

struct NeedSide {
    Description supply = {};  // of kind battery
    Place supply_place = {};
    bool supply_assumed = false;  // it is the drive's `high`; the spot's text says so
    PathsSpot paths = {};
};

// What drives the link.
struct NeedDrive {
    Description description = {};  // a logic output or a contact
    PartText text = {};
    std::optional<int> input_type = {};  // of a contact: 1, 2 or 3 of IEC 61131-2
    Place place = {};
};

// What the link drives.
struct NeedLoad {
    enum class Kind : std::uint8_t { coil, indicator, logic_input, load };
    Kind kind = Kind::coil;
    Description description = {};  // an indicator's is of kind led
    PartText text = {};
    std::optional<double> current = {};      // A, indicator and load: at least this when on
    std::optional<double> off_current = {};  // A, likewise: at most this when off
    bool off_current_assumed = false;        // 1 % of `current`, our own choice
    std::string current_text = {};           // the two as TOML text; empty where the file's own
    std::string off_current_text = {};       // text states a spread or nothing
    Place place = {};
};

// `duty` of a need: the share of time that the load is on, 0 … 1.
struct NeedDuty {
    double share = 0;
    Place place = {};  // of the value
};

struct Need {
    std::string title = {};
    std::string about = {};
    std::shared_ptr<const SourceText> file = {};
    std::string folder = {};  // where its cards and its drawer are looked for
    Surroundings surroundings = {};
    std::optional<NeedDuty> duty = {};
    NeedSide input = {};
    NeedSide output = {};
    NeedDrive drive = {};
    NeedLoad load = {};
    bool driven = true;  // the load is on when the drive is; else when it is not
    // What the load does when the input side is dead: its supply gone, its wire cut, its emitter
    // failed.
    enum class WhenDead : std::uint8_t { off, on, any };
    std::optional<WhenDead> when_dead = {};  // as stated
    double rate = 0;                         // Bd

    std::vector<std::string> gaps = {};  // cards of couplers, receivers and emitters; or all
    ChosenStock stock = {};
    // An indicator in series with the emitter: something that a person wants to see or not, no
    // means to meet the need.
    bool with_indicator = false;
    bool without_indicator = true;
    std::optional<ChosenText> distance = {};  // of open pairs
    std::optional<ChosenText> shroud = {};    // of open pairs

    // As stated; else off, but on for a serial line, which rests high (common practice), and any
    // for other logic inputs, which have no state at rest, and where the load is on when the drive
    // is idle, as which a dead one counts.
    WhenDead asked_when_dead() const {
        if (when_dead) return *when_dead;
        const bool line = load.kind == NeedLoad::Kind::logic_input && rate > 0;
        if (line && drive.description.kind == Kind::logic_output) return WhenDead::on;
        return load.kind == NeedLoad::Kind::logic_input || !driven ? WhenDead::any : WhenDead::off;
    }

    const NeedSide& side(Side which) const { return which == Side::input ? input : output; }
    NeedSide& side(Side which) { return which == Side::input ? input : output; }
};

// One share of `duty`, as TOML text: on = "5 %". `share` 0 … 1, written to ten digits.
std::string duty_text(const std::string& state, double share);

// Whether a file states a need and no circuit yet: it has [need], and no side has paths.
bool states_a_need(const TomlDocument& document);

// Reads a need from a text; cards are looked for in `folder` and `folder/cards`. Every problem is
// reported in one go. Errors besides those of any link file: contradiction where a drive or load is
// of a kind that cannot be one, where limits exclude each other, or where the file holds a circuit;
// missing_key for a supply, and for what a promise about the load needs; out_of_range for an input
// type other than 1, 2, 3. Whether any circuit can meet the need is not looked at.
Expected<Need> read_need(std::shared_ptr<const SourceText> text, const std::string& folder);

// The same from a file.
Expected<Need> read_need_file(const std::string& path);

}  // namespace gapwright
