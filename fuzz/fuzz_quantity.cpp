// Any text as a quantity of each dimension: a finite value inside its limits, or an error whose
// place lies in the text; rewritten, it is one that files take; what engineering notation prints is
// read again.
#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "units/engineering.hpp"
#include "units/quantity.hpp"
#include "units/typed_quantity.hpp"

namespace {

using namespace gapwright;

void demand(bool holds) {
    if (!holds) std::abort();
}

void check_error(const TextError& error, std::string_view text) {
    demand(error.begin <= error.end && error.end <= text.size());
    demand(!error.message.empty());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    for (int k = 0; k <= static_cast<int>(Dimension::voltage_rate); ++k) {
        const auto dimension = static_cast<Dimension>(k);
        if (const auto spread = parse_spread(text, dimension)) {
            demand(std::isfinite(spread->lowest) && std::isfinite(spread->highest));
            demand(spread->lowest <= spread->nominal && spread->nominal <= spread->highest);
            demand(!engineering(spread->nominal, dimension).empty());
        } else {
            check_error(spread.error(), text);
        }
        const auto written = rewrite_quantity(text, {.dimension = dimension});
        if (written) {
            demand(parse_spread(written->text, dimension).has_value());
        } else {
            check_error(written.error(), text);
        }
        const Dimension conditions[] = {Dimension::current, Dimension::voltage};
        if (const auto at = parse_spread_at(text, dimension, conditions); !at) {
            check_error(at.error(), text);
        }
    }
    return 0;
}
