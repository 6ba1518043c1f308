#include "instrument/sweep_reader.hpp"

#include <algorithm>
#include <expected>
#include <stop_token>

#include "instrument/channel.hpp"
#include "instrument/supply.hpp"
#include "instrument/sweep_plan.hpp"
#include "instrument/sweep_point.hpp"

namespace gapwright {
namespace {

using Step = InstrumentExpected<void>;

constexpr int most_repeats = 2;  // of a reading that fell out of step

Step take(const InstrumentExpected<double>& reading, double& into) {
    if (!reading) return std::unexpected(reading.error());
    into = *reading;
    return {};
}

Step read_all(MetInstruments& from, MeterPlace place, const std::stop_token& stop,
              SweepPoint& point) {
    if (from.meter) {
        if (auto read = take(from.meter->read(stop), point.meter); !read) return read;
    }
    if (place != MeterPlace::across_part) {
        if (auto read = take(from.supply->measure_voltage(stop), point.supply_voltage); !read) {
            return read;
        }
    }
    if (auto read = take(from.supply->measure_current(stop), point.read_current); !read) {
        return read;
    }
    if (from.feed) {
        if (auto read = take(from.feed->measure_voltage(stop), point.feed_voltage); !read) {
            return read;
        }
        if (auto good = from.feed->check_errors(stop); !good) return good;
    }
    if (from.meter) {
        if (auto good = from.meter->check_errors(stop); !good) return good;
    }
    return from.supply->check_errors(stop);
}

}  // namespace

int MetInstruments::slips() const {
    return supply->talk().slips() + (feed ? feed->talk().slips() : 0) +
           (meter ? meter->talk().slips() : 0);
}

double MetInstruments::latest_answer() const {
    return std::max({supply->talk().latest_answer(), feed ? feed->talk().latest_answer() : 0,
                     meter ? meter->talk().latest_answer() : 0});
}

double MetInstruments::settle() const {
    return std::max({supply->commands().settle, feed ? feed->commands().settle : 0,
                     meter ? meter->commands().settle : 0});
}

Step read_point(MetInstruments& instruments, MeterPlace place, const std::stop_token& stop,
                SweepPoint& point, SweepReadings& readings) {
    for (int k = 0; k < most_repeats; ++k) {
        const int slips = instruments.slips();
        if (auto read = read_all(instruments, place, stop, point); !read) return read;
        if (instruments.slips() != slips) continue;
        readings.supply_current.push_back(point.read_current);
        if (instruments.meter) readings.meter.push_back(point.meter);
        if (place != MeterPlace::across_part) {
            readings.supply_voltage.push_back(point.supply_voltage);
        }
        if (instruments.feed) readings.feed_voltage.push_back(point.feed_voltage);
        return {};
    }
    return instrument_error(InstrumentFault::wrong_answer,
                            "answers do not belong to their questions");
}

}  // namespace gapwright
