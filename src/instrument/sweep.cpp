#include "instrument/sweep.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>

#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "instrument/output_guard.hpp"
#include "instrument/supply.hpp"
#include "instrument/sweep_plan.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double current_share = 0.1;   // by which a measured current may differ from the set one
constexpr double current_error = 1e-3;  // A, besides that; both own choices
constexpr double voltage_error = 0.05;  // V by which a voltage may pass a limit, as meters err
constexpr double limit_share = 0.98;    // of the voltage limit: from there on it is reached
constexpr double settled_voltage = 0.001;  // V
constexpr int most_repeats = 2;            // of a reading that fell out of step

std::string at_current(double current) {
    return "at " + engineering_short(current, Dimension::current);
}

class Sweep {
  public:
    Sweep(const SweepInstruments& instruments, const SweepPlan& plan, Clock& clock,
          const std::stop_token& stop, const SweepProgress& progress)
        : instruments_(instruments), plan_(plan), clock_(clock), stop_(stop), progress_(progress) {}

    SweepResult run() {
        begin_ = clock_.now();
        note(run_all());
        return std::move(result_);
    }

  private:
    using Step = InstrumentExpected<void>;

    // Ends the sweep's result. A stop counts as such whatever it broke off.
    void note(const Step& done) {
        if (done) {
            result_.end = SweepEnd::complete;
            result_.step.clear();
            return;
        }
        result_.fault = done.error().kind;
        result_.end =
            result_.fault == InstrumentFault::interrupted ? SweepEnd::stopped : SweepEnd::failed;
        result_.message = done.error().message;
    }

    Step run_all() {
        result_.step = "connecting to the supply";
        auto supply = meet<Supply>(instruments_.supply, "the supply", instruments_.table,
                                   plan_.patience, stop_);
        if (!supply) return std::unexpected(supply.error());
        result_.supply_identity = supply->talk().identity().text;
        if (instruments_.meter) {
            result_.step = "connecting to the meter";
            auto meter = meet<Voltmeter>(instruments_.meter, "the meter", instruments_.table,
                                         plan_.patience, stop_);
            if (!meter) return std::unexpected(meter.error());
            result_.meter_identity = meter->talk().identity().text;
            meter_.emplace(std::move(*meter));
        }
        OutputGuard guard(instruments_.supply, plan_, clock_, std::move(*supply));
        supply_ = &guard.supply();
        const Step done = sweep(guard);
        supply_ = nullptr;
        result_.output = guard.finish();
        return done;
    }

    Step sweep(OutputGuard& guard) {
        result_.step = "before switching on";
        guard.arm();  // it may be on already: from here on it is ours
        if (auto off = supply_->switch_output(false, stop_); !off) return off;
        if (auto cleared = supply_->clear(); !cleared) return cleared;
        if (meter_) {
            if (auto ready = meter_->prepare(stop_); !ready) return ready;
        }
        // The current first: what was set before may be anything.
        if (auto set = supply_->set_current(plan_.currents.front(), stop_); !set) return set;
        if (auto set = set_limits(plan_.currents.front()); !set) return set;
        for (std::size_t k = 0; k < plan_.currents.size(); ++k) {
            if (auto done = point(k); !done) return done;
            if (progress_) progress_(result_.points.back(), k + 1, plan_.currents.size());
        }
        result_.step = "switching off";
        return {};
    }

    // The voltage before the current: where currents rise, what is allowed of it falls.
    Step set_limits(double current) {
        const double volts = voltage_limit_at(plan_, current);
        if (volts != voltage_) {
            if (auto set = supply_->set_voltage(volts, stop_); !set) return set;
            voltage_ = volts;
        }
        if (auto set = supply_->set_current(current, stop_); !set) return set;
        return supply_->check_errors(stop_);
    }

    Step point(std::size_t k) {
        const double current = plan_.currents[k];
        if (k > 0) {
            result_.step = at_current(current);
            if (plan_.rest > 0) {
                if (auto off = supply_->switch_output(false, stop_); !off) return off;
                on_ = false;
                if (auto waited = wait(plan_.rest); !waited) return waited;
            }
            if (auto set = set_limits(current); !set) return set;
        }
        result_.step = k == 0 ? "switching on" : at_current(current);
        if (!on_) {
            if (auto in_time = go_on(); !in_time) return in_time;
            if (auto on = supply_->switch_output(true, stop_); !on) return on;
            on_ = true;
            if (k == 0) on_since_ = clock_.now();
        }
        result_.step = at_current(current);
        const double settle = std::max(
            {plan_.settle, supply_->commands().settle, meter_ ? meter_->commands().settle : 0});
        if (auto waited = wait(settle); !waited) return waited;
        return measure(current);
    }

    Step measure(double current) {
        SweepPoint point = {.set_current = current};
        double before = NAN;
        for (int k = 0; k < plan_.most_readings && !point.settled; ++k) {
            if (auto in_time = go_on(); !in_time) return in_time;
            if (auto read = read_once(point); !read) return read;
            if (auto good = judge(point); !good) return good;
            point.settled = std::abs(point.voltage - before) <=
                            plan_.settled_within * std::abs(point.voltage) + settled_voltage;
            before = point.voltage;
        }
        point.time = clock_.now() - on_since_;
        result_.points.push_back(point);
        return {};
    }

    // Voltage, current and both error queues. What comes just before an answer out of step is read
    // anew: it may have been out of step already.
    Step read_once(SweepPoint& point) {
        for (int k = 0; k < most_repeats; ++k) {
            const int slips = all_slips();
            const auto voltage = meter_ ? meter_->read(stop_) : supply_->measure_voltage(stop_);
            if (!voltage) return std::unexpected(voltage.error());
            const auto current = supply_->measure_current(stop_);
            if (!current) return std::unexpected(current.error());
            if (meter_) {
                if (auto good = meter_->check_errors(stop_); !good) return good;
            }
            if (auto good = supply_->check_errors(stop_); !good) return good;
            point.voltage = *voltage;
            point.current = *current;
            if (all_slips() == slips) return {};
        }
        return instrument_error(InstrumentFault::wrong_answer,
                                "answers do not belong to their questions");
    }

    Step judge(const SweepPoint& point) const {
        const auto fault = [](std::string message) -> Step {
            return instrument_error(InstrumentFault::implausible, std::move(message));
        };
        const std::string volts = engineering(point.voltage, Dimension::voltage);
        const std::string amperes = engineering(point.current, Dimension::current);
        const double allowed = current_share * point.set_current + current_error;
        if (point.current > point.set_current + allowed) {
            return fault(fmt::format("the supply measures {}, more than it was set to", amperes));
        }
        if (point.voltage < -voltage_error) {
            return fault(fmt::format("{} across the part: its leads are exchanged", volts));
        }
        // A meter that reads more than the supply gives is not across the part.
        if (point.voltage > voltage_ * 1.02 + voltage_error) {
            return fault(fmt::format("{} across the part, more than the supply's limit", volts));
        }
        if (point.voltage > limit_share * voltage_ || point.current < point.set_current - allowed) {
            const bool lowered = voltage_ < plan_.voltage_limit;
            return fault(fmt::format(
                "the supply is at its voltage limit, {}{} ({} across the part, {}): the part is "
                "open or reversed, or the limit is too low",
                engineering_short(voltage_, Dimension::voltage),
                lowered ? " for the part's largest power" : "", volts, amperes));
        }
        return {};
    }

    int all_slips() const {
        return supply_->talk().slips() + (meter_ ? meter_->talk().slips() : 0);
    }

    Step wait(double seconds) {
        clock_.wait(seconds, stop_);
        return go_on();
    }

    Step go_on() const {
        if (stop_.stop_requested()) {
            return instrument_error(InstrumentFault::interrupted, "stopped");
        }
        if (clock_.now() - begin_ > plan_.longest) {
            return instrument_error(InstrumentFault::timeout, "the sweep takes longer than it may");
        }
        return {};
    }

    const SweepInstruments& instruments_;
    const SweepPlan& plan_;
    Clock& clock_;
    const std::stop_token& stop_;
    const SweepProgress& progress_;
    SweepResult result_ = {};
    Supply* supply_ = nullptr;  // of the guard
    std::optional<Voltmeter> meter_ = {};
    double begin_ = 0;      // s
    double on_since_ = 0;   // s
    double voltage_ = NAN;  // V, the limit that is set
    bool on_ = false;
};

}  // namespace

std::string_view end_name(SweepEnd end) {
    switch (end) {
        case SweepEnd::complete:
            return "complete";
        case SweepEnd::stopped:
            return "stopped";
        case SweepEnd::refused:
            return "refused";
        case SweepEnd::failed:
            return "failed";
    }
    return "";
}

SweepResult run_sweep(const SweepInstruments& instruments, const SweepPlan& plan, Clock& clock,
                      const std::stop_token& stop, const SweepProgress& progress) {
    if (const auto unfit = find_unfit(plan); !unfit.empty()) {
        SweepResult result;
        result.end = SweepEnd::refused;
        result.message = fmt::format("{}", fmt::join(unfit, "; "));
        return result;
    }
    return Sweep(instruments, plan, clock, stop, progress).run();
}

}  // namespace gapwright
