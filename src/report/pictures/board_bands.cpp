#include "report/pictures/board_bands.hpp"

#include <vector>

#include "board/wiring.hpp"
#include "build/part_look.hpp"
#include "build/steps.hpp"
#include "link/link.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {

std::vector<ColourBands> bands_on(const Link& link, const Wiring& wiring) {
    std::vector<ColourBands> all;
    for (const WiringPart& part : wiring.parts) {
        const Part* behind = part_behind(link, part);
        all.push_back(behind ? look_of(behind->description).bands.value_or(ColourBands{})
                             : ColourBands{});
    }
    return all;
}

}  // namespace gapwright
