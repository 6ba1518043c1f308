#include "report/text/value_bar.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string>

#include "design/design.hpp"
#include "report/words/design_words.hpp"

namespace gapwright {
namespace {

constexpr int cells = 27;

int cell_of(const ValueWindow& window, double ohms) {
    const double low = std::max(window.lowest, 1e-9);
    const double high = std::max(window.highest, low * (1 + 1e-9));
    const double share = std::log(std::max(ohms, low) / low) / std::log(high / low);
    return std::clamp(static_cast<int>(std::lround(share * (cells - 1))), 0, cells - 1);
}

}  // namespace

std::string value_bar(const ValueWindow& window, double taken) {
    std::array<const char*, cells> bar{};
    bar.fill("─");
    if (holds_somewhere(window)) {
        const int from = window.open_below ? 0 : cell_of(window, window.holds_from);
        const int to = window.open_above ? cells - 1 : cell_of(window, window.holds_to);
        for (int k = from; k <= to; ++k) bar[static_cast<std::size_t>(k)] = "▓";
    }
    bar[static_cast<std::size_t>(cell_of(window, taken))] = "█";
    std::string text = "├";
    for (const char* cell : bar) text += cell;
    return text + "┤";
}

}  // namespace gapwright
