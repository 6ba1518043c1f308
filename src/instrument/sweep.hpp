// Steps a supply's current through a part and reads what comes of it: the voltage across the part,
// or, with a second supply, the current of another part that receives its light.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "instrument/command_table.hpp"
#include "instrument/output_guard.hpp"
#include "instrument/sweep_plan.hpp"
#include "instrument/sweep_point.hpp"

namespace gapwright {

enum class SweepEnd { complete, stopped, refused, failed };
std::string_view end_name(SweepEnd end);  // e.g. "complete"

struct SweepResult {
    std::vector<SweepPoint> points;  // those that were read, also where the sweep failed later
    SweepEnd end = SweepEnd::failed;
    std::string message;  // why it did not complete
    std::string step;     // what was being done then: "at 12 mA", "before switching on"
    InstrumentFault fault = InstrumentFault::refused;  // where it failed
    OutputOff output = OutputOff::untouched;
    std::optional<OutputOff> feed_output = {};  // of the second supply, where there is one
    std::string supply_identity;                // answers to *IDN?
    std::string feed_identity;                  // empty without a second supply
    std::string meter_identity;                 // empty without a meter
    ReadingSteps steps;                         // in which the readings came
    double latest_answer = 0;  // s, of the slowest answer that came after its time; 0: none did
    // A, what the supply first holds where the plan's smallest current is too small for it; 0: it
    // holds that.
    double held_from = 0;

    // An output may be on, and somebody has to look after it.
    bool output_may_be_on() const;
};

struct SweepInstruments {
    Connect supply;
    Connect meter = {};  // empty: the supply measures the voltage too
    CommandTable table = {};
    Connect feed = {};  // of a plan with a second supply
};

// Told after each point: the point, how many currents are done, of how many.
using SweepProgress =
    std::function<void(const SweepPoint& point, std::size_t done, std::size_t all)>;

// Runs the plan. Refuses one that find_unfit() objects to, or whose instruments are missing, before
// anything is sent. All outputs are first taken off; limits are set and read back; they are
// switched on; each current is set, read back, left to settle and measured, the error queues looked
// at. What the supply holds counts as the set current, and two steps that it holds alike are one.
// It ends at once on a stop, on any error, on a reading that may not be, and when a supply reaches
// its limit (part open, reversed or limit too low). In all these cases, and when `progress` throws,
// all outputs are taken off: see OutputGuard, SweepResult::output and feed_output.
SweepResult run_sweep(const SweepInstruments& instruments, const SweepPlan& plan, Clock& clock,
                      const std::stop_token& stop, const SweepProgress& progress = {});

}  // namespace gapwright
