// Any bytes as what up to three instruments answer to a short sweep, and any failures of the line
// between: the sweep ends, the last order about each output is to switch it off, and what it tells
// is text.
// No sockets, and time passes only when somebody waits.
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <memory>
#include <string>

#include "instrument/sweep.hpp"

namespace {

using namespace gapwright;

class FuzzClock : public Clock {
  public:
    double now() const override { return now_; }
    void wait(double seconds, const std::stop_token&) override { now_ += seconds; }

  private:
    double now_ = 0;
};

// What was ordered of one supply's output.
struct Ordered {
    bool on = false;          // ever tried
    bool last_is_off = true;  // also where the order did not go out
};

// What is answered, what was ordered. Shared by all lines.
struct FuzzBench {
    std::string_view bytes;  // not yet answered
    std::stop_source stop = {};
    FuzzClock clock = {};
    Ordered supply = {};
    Ordered feed = {};

    // One byte that decides; 0 at the end.
    unsigned char take() {
        if (bytes.empty()) return 0;
        const auto byte = static_cast<unsigned char>(bytes.front());
        bytes.remove_prefix(1);
        return byte;
    }
};

class FuzzChannel : public Channel {
  public:
    FuzzChannel(FuzzBench& bench, Ordered& ordered) : bench_(bench), ordered_(ordered) {}

    InstrumentExpected<void> write(std::string_view bytes, double timeout) override {
        if (bytes.find("OUTP ON") != std::string_view::npos) {
            ordered_.on = true;
            ordered_.last_is_off = false;
        }
        if (bytes.find("OUTP OFF") != std::string_view::npos) ordered_.last_is_off = true;
        asked_identity_ = bytes.starts_with("*IDN?");
        if (broken_) return instrument_error(InstrumentFault::closed, "closed");
        bench_.clock.wait(timeout / 1000, {});
        return {};
    }

    // Most bytes are answers up to a line feed; the first six say what befalls the line instead. An
    // escape stands for the identity, which has to be the same each time.
    InstrumentExpected<std::string> read_line(double timeout,
                                              const std::stop_token& stop) override {
        if (stop.stop_requested()) return fault(InstrumentFault::interrupted);
        if (broken_) return fault(InstrumentFault::closed);
        const bool over = bench_.bytes.empty();
        const unsigned char first = over ? 1 : static_cast<unsigned char>(bench_.bytes.front());
        if (first < 6) {
            bench_.take();
            bench_.clock.wait(timeout, {});
            if (first == 1) return fault(InstrumentFault::timeout);
            if (first == 2) return fault(InstrumentFault::too_long);
            if (first == 3) return fault(InstrumentFault::not_text);
            if (first == 4) bench_.stop.request_stop();
            broken_ = first == 5;
            return fault(broken_ ? InstrumentFault::closed : InstrumentFault::timeout);
        }
        const std::size_t end = std::min(bench_.bytes.find('\n'), bench_.bytes.size());
        std::string line(bench_.bytes.substr(0, end));
        bench_.bytes.remove_prefix(std::min(end + 1, bench_.bytes.size()));
        if (line == "\x1b" && asked_identity_) line = "BENCH,ANY,1,2";
        return line;
    }

    void discard() override {}

  private:
    static std::unexpected<InstrumentError> fault(InstrumentFault kind) {
        return instrument_error(kind, std::string(fault_name(kind)));
    }

    FuzzBench& bench_;
    Ordered& ordered_;
    bool broken_ = false;
    bool asked_identity_ = false;
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    FuzzBench bench = {.bytes = {reinterpret_cast<const char*>(data), size}};
    const unsigned char how = bench.take();
    const auto connect_to = [&bench](Ordered& ordered) -> Connect {
        return [&bench, &ordered](
                   double timeout,
                   const std::stop_token&) -> InstrumentExpected<std::unique_ptr<Channel>> {
            bench.clock.wait(timeout / 100, {});
            if (bench.bytes.starts_with('\x06')) {
                bench.take();
                return instrument_error(InstrumentFault::refused, "refused");
            }
            return std::make_unique<FuzzChannel>(bench, ordered);
        };
    };
    Ordered meter;
    const SweepInstruments instruments = {.supply = connect_to(bench.supply),
                                          .meter = connect_to(meter),
                                          .feed = connect_to(bench.feed)};
    SweepPlan plan;
    if ((how & 1U) != 0) plan.meter = MeterPlace::across_part;
    if ((how & 4U) != 0) {
        plan.meter = (how & 8U) != 0 ? MeterPlace::across_shunt : MeterPlace::in_series;
        plan.shunt = 10;
    }
    if ((how & 16U) != 0 && meters_current(plan.meter)) {
        plan.feed = FeedPlan{.voltage = 5,
                             .current_limit = 20e-3,
                             .largest_current = 50e-3,
                             .largest_voltage = 30,
                             .largest_power = 0.15};
    }
    plan.may_begin_higher = (how & 32U) != 0;
    plan.currents = {1e-3, 5e-3, 20e-3};
    plan.voltage_limit = 3;
    plan.largest_current = 30e-3;
    plan.largest_voltage = 5;
    plan.largest_power = 50e-3;
    plan.rest = (how & 2U) != 0 ? 1 : 0;
    const SweepResult result =
        run_sweep(instruments, plan, bench.clock, bench.stop.get_token(), {});
    if (!bench.supply.last_is_off || !bench.feed.last_is_off || meter.on) std::abort();
    if (bench.supply.on && result.output == OutputOff::untouched) std::abort();
    if (bench.feed.on && result.feed_output == OutputOff::untouched) std::abort();
    if (result.end != SweepEnd::complete && result.message.empty()) std::abort();
    // (two steps that the supply holds alike are one point)
    if (result.end == SweepEnd::complete && result.points.empty()) std::abort();
    if (bench.clock.now() > 2000) std::abort();
    for (const SweepPoint& point : result.points) {
        if (!(std::abs(point.voltage) <= 3.2)) std::abort();
        if (!(point.current <= 1.1 * point.set_current + 1e-3)) std::abort();
    }
    return 0;
}
