#include "bench/reasoning/reading_band.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <random>
#include <string_view>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "bench/meter/meter_error.hpp"
#include "bench/meter/simulated_readings.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "link/meter.hpp"

namespace gapwright {
namespace {

constexpr double outside = 0.005;  // of good links, at either end

// The smallest number that at least a share `p` of the sorted values does not exceed.
double quantile(const std::vector<double>& sorted, double p) {
    const double place = p * static_cast<double>(sorted.size() - 1);
    return sorted[static_cast<std::size_t>(std::lround(place))];
}

// What the meter shows of a value when it is off by a share −1 … 1 of its limit of error.
double moved(const Meter& meter, MeasurementKind kind, double value, double share) {
    const double shown_value = shown(meter, kind, value);
    if (!std::isfinite(shown_value)) return shown_value;
    return shown(meter, kind, value + share * error_limit(meter, kind, value));
}

}  // namespace

std::vector<ReadingBand> reading_bands(const FaultDictionary& dictionary, std::uint64_t seed) {
    const SimulatedReadings& good = dictionary.good;
    std::mt19937_64 random(seed);
    std::vector<ReadingBand> bands;
    for (std::size_t m = 0; m < good.measurements; ++m) {
        const MeasurementKind kind = dictionary.measurements[m].kind;
        std::vector<double> read;
        ReadingBand band{.nominal = shown(dictionary.meter, kind, dictionary.nominals[m])};
        band.least = std::numeric_limits<double>::infinity();
        band.most = -std::numeric_limits<double>::infinity();
        for (std::size_t k = 0; k < good.specimens; ++k) {
            // 53 random bits to −1 … 1: the library's distributions differ between libraries.
            const double share = static_cast<double>(random() >> 11U) * 0x1.0p-52 - 1;
            // By either sort of meter.
            for (const double value : {good.at(k, m), good.other(k, m)}) {
                if (std::isnan(value)) continue;
                read.push_back(moved(dictionary.meter, kind, value, share));
                band.least = std::min(band.least, moved(dictionary.meter, kind, value, -1));
                band.most = std::max(band.most, moved(dictionary.meter, kind, value, 1));
            }
        }
        if (!dictionary.readings.front().knows(m)) {  // nothing is known to be wrong there
            constexpr double anything = std::numeric_limits<double>::infinity();
            band.least = band.lowest = -anything;
            band.most = band.highest = anything;
            bands.push_back(band);
            continue;
        }
        std::ranges::sort(read);
        if (!read.empty()) {
            band.lowest = quantile(read, outside);
            band.highest = quantile(read, 1 - outside);
        }
        bands.push_back(band);
    }
    return bands;
}

Judgement judge(const ReadingBand& band, double value) {
    if (value >= band.lowest && value <= band.highest) return Judgement::in_band;
    if (value >= band.least && value <= band.most) return Judgement::suspicious;
    return Judgement::wrong;
}

std::string_view judgement_word(Judgement judgement) {
    switch (judgement) {
        case Judgement::in_band:
            return "in band";
        case Judgement::suspicious:
            return "suspicious";
        case Judgement::wrong:
            break;
    }
    return "wrong";
}

}  // namespace gapwright
