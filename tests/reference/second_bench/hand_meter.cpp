#include "reference/second_bench/hand_meter.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace gapwright::reference {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

}  // namespace

HandMeter::HandMeter(const Meter& meter, Dice& dice, JunctionTest test)
    : meter_(meter),
      dice_(dice),
      test_(test),
      junction_current_(meter.junction_current * dice.between(0.9, 1.1)),
      junction_range_(std::min(meter.counts * 1e-3, meter.junction_voltage)) {
    // Where the file does not tell, most go as far as their counts reach in millivolts, some as far
    // as they drive (common practice).
    if (dice.happens(0.25)) junction_range_ = meter.junction_voltage;
    if (meter.junction_range) junction_range_ = *meter.junction_range;
    // On its lowest range it drives about a milliampere from up to 3 V, on the others its test
    // voltage through a reference of the range's own size, so that 0.3 to 0.4 V are across the
    // unknown at full scale (common practice of hand-held meters).
    const double lowest_volts = dice.between(meter.test_voltage, std::max(3.0, meter.test_voltage));
    const double reference = dice.between(0.3, 0.7);
    for (const double full : scales(100, 99.9e6)) {
        const bool lowest = ohm_ranges_.empty();
        const double volts = lowest ? lowest_volts : meter.test_voltage;
        ohm_ranges_.push_back({full, volts, lowest ? volts / 1e-3 : full * reference});
    }
}

// Full scales, ten times one another: the counts with the decimal point somewhere.
std::vector<double> HandMeter::scales(double lowest, double highest) const {
    const double leading = meter_.counts / std::pow(10, std::floor(std::log10(meter_.counts)));
    std::vector<double> all;
    for (double full = leading * lowest; full <= highest; full *= 10) all.push_back(full);
    return all;
}

double HandMeter::shown(double value, double full_scale, const Accuracy& accuracy) {
    const double last = full_scale / meter_.counts;
    const double error =
        dice_.between(-1, 1) * (accuracy.share * std::abs(value) + accuracy.digits * last);
    const double digits = std::round((value + error) / last);
    if (std::abs(digits) >= meter_.counts) return std::copysign(infinite, value);
    return digits * last + 0.0;  // a meter shows no minus before nothing
}

double HandMeter::shown_voltage(double volts) {
    for (const double full : scales(0.1, 1e4)) {
        const double value = shown(volts, full, meter_.voltage);
        if (std::isfinite(value)) return value;
    }
    return std::copysign(infinite, volts);
}

double HandMeter::shown_current(const std::function<double(double)>& measured) {
    // From the coarse range down, as one does who knows nothing: to the finest that holds it.
    const auto all = scales(1e-4, 25);
    double value = infinite;
    for (auto full = all.rbegin(); full != all.rend(); ++full) {
        const double amperes = measured(meter_.burden_voltage / *full);
        const double now = shown(amperes, *full, meter_.current);
        if (!std::isfinite(now)) break;
        value = now;
        if (std::abs(now) >= *full / 10 * 0.95) break;
    }
    return value;
}

double HandMeter::shown_resistance(const std::function<double(const OhmRange&)>& measured) {
    for (const auto& range : ohm_ranges_) {
        const double ohms = measured(range);
        if (!(ohms < 2 * range.full_scale)) continue;
        const double value = shown(ohms, range.full_scale, meter_.resistance);
        if (std::isfinite(value)) return std::max(value, 0.0);
    }
    return infinite;
}

double HandMeter::shown_junction(double volts) {
    const double full = junction_range_;
    if (!(volts < full)) return infinite;
    const double last = 1e-3;
    const double error = dice_.between(-1, 1) *
                         (meter_.voltage.share * std::abs(volts) + meter_.voltage.digits * last);
    const double value = std::round((volts + error) / last) * last;
    return value < full ? value : infinite;
}

double HandMeter::shown_insulation(double ohms) {
    if (!(ohms < 2e9)) return infinite;
    // Three per cent and three kilohms, its last place (common practice).
    const double last =
        std::max(1e3, std::pow(10, std::floor(std::log10(std::max(ohms, 1.0))) - 2));
    const double error = dice_.between(-1, 1) * (0.03 * ohms + 3 * last);
    return std::max(0.0, std::round((ohms + error) / last) * last);
}

}  // namespace gapwright::reference
