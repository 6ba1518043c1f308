// Steps a supply's current through a part and reads the voltage across it.
#pragma once

#include <cstddef>
#include <functional>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "instrument/command_table.hpp"
#include "instrument/output_guard.hpp"
#include "instrument/sweep_plan.hpp"

namespace gapwright {

struct SweepPoint {
    double set_current = 0;  // A
    double current = 0;      // A, as the supply measures it
    double voltage = 0;      // V, as the meter reads it, or the supply where there is no meter
    double time = 0;         // s since the output was first switched on
    bool settled = false;    // two successive readings agreed
};

enum class SweepEnd { complete, stopped, refused, failed };
std::string_view end_name(SweepEnd end);  // e.g. "complete"

struct SweepResult {
    std::vector<SweepPoint> points;  // those that were read, also where the sweep failed later
    SweepEnd end = SweepEnd::failed;
    std::string message;  // why it did not complete
    std::string step;     // what was being done then: "at 12 mA", "before switching on"
    InstrumentFault fault = InstrumentFault::refused;  // where it failed
    OutputOff output = OutputOff::untouched;
    std::string supply_identity;  // answers to *IDN?
    std::string meter_identity;   // empty without a meter

    // The output may be on, and somebody has to look after it.
    bool output_may_be_on() const {
        return output == OutputOff::unconfirmed || output == OutputOff::not_commanded;
    }
};

struct SweepInstruments {
    Connect supply;
    Connect meter = {};  // empty: the supply measures the voltage too
    CommandTable table = {};
};

// Told after each point: the point, how many there are, of how many.
using SweepProgress =
    std::function<void(const SweepPoint& point, std::size_t done, std::size_t all)>;

// Runs the plan. Refuses one that find_unfit() objects to before anything is sent. The output is
// first taken off; limits are set and read back; it is switched on; each current is set, read back,
// left to settle and measured, the error queues looked at. It ends at once on a stop, on any error,
// on a reading that may not be, and when the supply reaches its voltage limit (part open, reversed
// or limit too low). In all these cases, and when `progress` throws, the output is taken off:
// see OutputGuard and SweepResult::output.
SweepResult run_sweep(const SweepInstruments& instruments, const SweepPlan& plan, Clock& clock,
                      const std::stop_token& stop, const SweepProgress& progress = {});

}  // namespace gapwright
