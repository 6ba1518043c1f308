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
#include "instrument/sweep_checks.hpp"
#include "instrument/sweep_plan.hpp"
#include "instrument/sweep_point.hpp"
#include "instrument/sweep_reader.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

constexpr double settled_error = 0.001;   // V
constexpr double settled_current = 1e-6;  // A
constexpr std::string_view first_name = "the supply";
constexpr std::string_view second_name = "the second supply";

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
        result_.steps = steps_of(readings_);
        for (SweepPoint& point : result_.points) weigh(point, plan_, result_.steps);
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
        result_.latest_answer = std::max(result_.latest_answer, done.error().after);
    }

    template <class Instrument>
    InstrumentExpected<Instrument> met(const Connect& connect, std::string_view name) {
        result_.step = fmt::format("connecting to {}", name);
        return meet<Instrument>(connect, std::string(name), instruments_.table, plan_.patience,
                                clock_, stop_);
    }

    Step run_all() {
        auto supply = met<Supply>(instruments_.supply, first_name);
        if (!supply) return std::unexpected(supply.error());
        result_.supply_identity = supply->talk().identity().text;
        std::optional<OutputGuard> feed_guard;
        if (plan_.feed) {
            auto feed = met<Supply>(instruments_.feed, second_name);
            if (!feed) return std::unexpected(feed.error());
            result_.feed_identity = feed->talk().identity().text;
            feed_guard.emplace(instruments_.feed, plan_, clock_, std::move(*feed));
            met_.feed = &feed_guard->supply();
        }
        if (plan_.meter != MeterPlace::none) {
            auto meter = met<Multimeter>(instruments_.meter, "the meter");
            if (!meter) return std::unexpected(meter.error());
            result_.meter_identity = meter->talk().identity().text;
            met_.meter.emplace(std::move(*meter));
        }
        // The light's supply is the later one, so that it goes off first whatever is thrown.
        OutputGuard guard(instruments_.supply, plan_, clock_, std::move(*supply));
        met_.supply = &guard.supply();
        guard.arm();  // they may be on already: from here on they are ours
        if (feed_guard) feed_guard->arm();
        const Step done = sweep();
        result_.latest_answer = met_.latest_answer();
        // Neither waits for the other to be told to switch off.
        if (feed_guard) feed_guard->order_off();
        result_.output = guard.finish();
        if (feed_guard) result_.feed_output = feed_guard->finish();
        return done;
    }

    Step sweep() {
        result_.step = "before switching on";
        if (auto off = met_.supply->switch_output(false, stop_); !off) return off;
        if (met_.feed) {
            if (auto off = met_.feed->switch_output(false, stop_); !off) return off;
        }
        if (auto cleared = met_.supply->clear(); !cleared) return cleared;
        if (met_.meter) {
            const bool current = plan_.meter == MeterPlace::in_series;
            if (auto ready = met_.meter->prepare(current, stop_); !ready) return ready;
        }
        if (met_.feed) {
            if (auto fed = prepare_feed(*plan_.feed); !fed) return fed;
        }
        const auto first = first_held();
        if (!first) return std::unexpected(first.error());
        for (std::size_t k = *first; k < plan_.currents.size(); ++k) {
            const std::size_t before = result_.points.size();
            if (auto done = point(plan_.currents[k]); !done) return done;
            if (progress_ && result_.points.size() > before) {
                progress_(result_.points.back(), k + 1, plan_.currents.size());
            }
        }
        result_.step = "switching off";
        return {};
    }

    // The current limit first: what was set before may be anything.
    Step prepare_feed(const FeedPlan& feed) {
        if (auto cleared = met_.feed->clear(); !cleared) return cleared;
        const auto current = met_.feed->set_current(feed.current_limit, stop_);
        if (!current) return std::unexpected(current.error());
        const auto voltage = met_.feed->set_voltage(feed.voltage, stop_);
        if (!voltage) return std::unexpected(voltage.error());
        if (*current > feed.largest_current || *voltage * *current > feed.largest_power) {
            return instrument_error(
                InstrumentFault::implausible,
                fmt::format("the second supply holds {} at {}, more than the fed part may have",
                            engineering_short(*current, Dimension::current),
                            engineering_short(*voltage, Dimension::voltage)));
        }
        return met_.feed->check_errors(stop_);
    }

    // The first current that the supply holds, tried with the output off. Errors: implausible where
    // it cannot hold the smallest and the plan may not leave that out.
    InstrumentExpected<std::size_t> first_held() {
        std::optional<InstrumentError> refusal;
        for (std::size_t k = 0; k < plan_.currents.size(); ++k) {
            // The current before the voltage: what was set before may be anything.
            const auto held = met_.supply->set_current(plan_.currents[k], stop_);
            if (held && !refusal) return k;
            if (held) {
                result_.held_from = *held;
                if (plan_.may_begin_higher) {
                    // What it said of the smaller ones is old.
                    if (auto cleared = met_.supply->clear(); !cleared) {
                        return std::unexpected(cleared.error());
                    }
                    return k;
                }
                refusal->message += fmt::format(
                    "; from {} on it holds what it is sent",
                    engineering_short(std::max(*held, plan_.currents[k]), Dimension::current));
                return std::unexpected(*refusal);
            }
            if (held.error().kind != InstrumentFault::implausible) {
                return std::unexpected(held.error());
            }
            if (!refusal) refusal = held.error();
        }
        return std::unexpected(*refusal);
    }

    // The voltage before the current: where currents rise, what is allowed of it falls. Gives the
    // current that the supply holds.
    InstrumentExpected<double> set_limits(double current) {
        if (auto set = set_voltage_for(current); !set) return std::unexpected(set.error());
        const auto held = met_.supply->set_current(current, stop_);
        if (!held) return held;
        if (*held > plan_.largest_current) {
            return instrument_error(
                InstrumentFault::implausible,
                fmt::format("the supply holds {}, above the part's largest current",
                            engineering_short(*held, Dimension::current)));
        }
        if (auto set = set_voltage_for(*held); !set) return std::unexpected(set.error());
        if (auto good = met_.supply->check_errors(stop_); !good)
            return std::unexpected(good.error());
        return held;
    }

    Step set_voltage_for(double current) {
        const double volts = voltage_limit_at(plan_, current);
        if (volts == voltage_) return {};
        const auto set = met_.supply->set_voltage(volts, stop_);
        if (!set) return std::unexpected(set.error());
        voltage_ = volts;
        return {};
    }

    Step point(double current) {
        const bool first = result_.points.empty();
        if (!first) result_.step = at_current(current);
        if (!first && plan_.rest > 0) {
            if (auto off = met_.supply->switch_output(false, stop_); !off) return off;
            on_ = false;
            if (auto waited = wait(plan_.rest); !waited) return waited;
        }
        const auto held = set_limits(current);
        if (!held) return std::unexpected(held.error());
        if (!first && *held <= result_.points.back().set_current) return {};
        result_.step = first ? "switching on" : at_current(current);
        if (!on_) {
            if (auto on = switch_on(first); !on) return on;
        }
        result_.step = at_current(current);
        if (auto waited = wait(std::max(plan_.settle, met_.settle())); !waited) return waited;
        return measure(*held);
    }

    // What is fed before its light.
    Step switch_on(bool first) {
        if (auto in_time = go_on(); !in_time) return in_time;
        if (met_.feed && first) {
            if (auto on = met_.feed->switch_output(true, stop_); !on) return on;
        }
        if (auto on = met_.supply->switch_output(true, stop_); !on) return on;
        on_ = true;
        if (first) on_since_ = clock_.now();
        return {};
    }

    Step measure(double held) {
        SweepPoint point = {.set_current = held};
        double before = NAN;
        for (int k = 0; k < plan_.most_readings && !point.settled; ++k) {
            if (auto in_time = go_on(); !in_time) return in_time;
            if (auto read = read_point(met_, plan_.meter, stop_, point, readings_); !read)
                return read;
            weigh(point, plan_, {});
            if (auto good = judge(point, plan_, voltage_); !good) return good;
            const double watched = met_.meter ? point.meter : point.voltage;
            const double error =
                plan_.meter == MeterPlace::in_series ? settled_current : settled_error;
            point.settled =
                std::abs(watched - before) <= plan_.settled_within * std::abs(watched) + error;
            before = watched;
        }
        point.time = clock_.now() - on_since_;
        result_.points.push_back(point);
        return {};
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
    SweepReadings readings_ = {};
    MetInstruments met_ = {};
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

bool SweepResult::output_may_be_on() const {
    const auto may_be_on = [](OutputOff off) {
        return off == OutputOff::unconfirmed || off == OutputOff::not_commanded;
    };
    return may_be_on(output) || (feed_output && may_be_on(*feed_output));
}

SweepResult run_sweep(const SweepInstruments& instruments, const SweepPlan& plan, Clock& clock,
                      const std::stop_token& stop, const SweepProgress& progress) {
    auto unfit = find_unfit(plan);
    if (plan.meter != MeterPlace::none && !instruments.meter)
        unfit.emplace_back("no meter is named");
    if (plan.feed && !instruments.feed) unfit.emplace_back("no second supply is named");
    if (!unfit.empty()) {
        SweepResult result;
        result.end = SweepEnd::refused;
        result.message = fmt::format("{}", fmt::join(unfit, "; "));
        return result;
    }
    return Sweep(instruments, plan, clock, stop, progress).run();
}

}  // namespace gapwright
