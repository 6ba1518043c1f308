#include "design/needs/speed.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/receiver.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// docs/method.md, charges: a receiver whose card states no capacitance.
constexpr double usual_capacitance = 12e-12;  // F

double highest(const Description& d, Key key, double otherwise) {
    const auto* figure = d.find(key);
    return figure ? figure->spread.highest : otherwise;
}

}  // namespace

std::optional<double> slowest_load(const Description& receiver, double rate) {
    switch (receiver_of(receiver)) {
        case Receiver::phototransistor:
            break;
        case Receiver::light_dependent_resistor:
            return std::nullopt;  // too_slow tells its own time
    }
    constexpr double rise_in_time_constants = 2.2;  // from 10 to 90 %
    const double gain = highest(receiver, Key::gain, 1) * highest(receiver, Key::second_gain, 1);
    const double capacitance =
        highest(receiver, Key::base_collector_capacitance, usual_capacitance);
    return 0.5 / rate / (rise_in_time_constants * capacitance * gain);
}

std::string too_slow(const Description& receiver, double rate) {
    const double slowest =
        std::max(highest(receiver, Key::rise_time, 0), highest(receiver, Key::decay_time, 0));
    if (slowest <= 0.5 / rate) return {};
    return fmt::format("too slow: takes {} where half a bit lasts {}",
                       engineering_short(slowest, Dimension::time, 3),
                       engineering_short(0.5 / rate, Dimension::time, 3));
}

}  // namespace gapwright
