// The drawer: the parts at hand, from a CSV file.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "card/part_kind.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// One row: so many alike parts.
struct DrawerRow {
    Kind kind = Kind::resistor;
    std::optional<Spread> value;    // with the row's tolerance, in the kind's unit (Ω, F, H)
    std::optional<double> power;    // W
    std::optional<unsigned> count;  // none: as many as wanted
    std::string card;               // a card's name, for parts that have no value
    std::string note;
    Place place;
};

struct Drawer {
    std::vector<DrawerRow> rows;
    Problems skipped;  // one for each row that could not be read; they are not among `rows`
};

// Reads a drawer: header `kind,value,tolerance,power,count,card,note` in any order, missing columns
// are empty. A bad row is skipped and reported. Errors: those of read_csv, and unknown_key for a
// header that is not one of these.
Expected<Drawer> read_drawer(std::shared_ptr<const SourceText> text);

}  // namespace gapwright
