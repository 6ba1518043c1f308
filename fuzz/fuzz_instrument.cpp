// Any bytes as what two instruments answer to a short sweep, and any failures of the line between:
// the sweep ends, the last order about the output is to switch it off, and what it tells is text.
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

// What is answered, what was ordered. Shared by both lines.
struct FuzzBench {
    std::string_view bytes;  // not yet answered
    std::stop_source stop = {};
    FuzzClock clock = {};
    bool on_ordered = false;        // ever tried
    bool last_order_is_off = true;  // also where the order did not go out

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
    explicit FuzzChannel(FuzzBench& bench) : bench_(bench) {}

    InstrumentExpected<void> write(std::string_view bytes, double timeout) override {
        if (bytes.find("OUTP ON") != std::string_view::npos) {
            bench_.on_ordered = true;
            bench_.last_order_is_off = false;
        }
        if (bytes.find("OUTP OFF") != std::string_view::npos) bench_.last_order_is_off = true;
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
    bool broken_ = false;
    bool asked_identity_ = false;
};

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    FuzzBench bench = {.bytes = {reinterpret_cast<const char*>(data), size}};
    const unsigned char how = bench.take();
    const Connect connect =
        [&bench](double timeout,
                 const std::stop_token&) -> InstrumentExpected<std::unique_ptr<Channel>> {
        bench.clock.wait(timeout / 100, {});
        if (bench.bytes.starts_with('\x06')) {
            bench.take();
            return instrument_error(InstrumentFault::refused, "refused");
        }
        return std::make_unique<FuzzChannel>(bench);
    };
    SweepInstruments instruments = {.supply = connect};
    if ((how & 1U) != 0) instruments.meter = connect;
    SweepPlan plan;
    plan.currents = {1e-3, 5e-3, 20e-3};
    plan.voltage_limit = 3;
    plan.largest_current = 30e-3;
    plan.largest_voltage = 5;
    plan.largest_power = 50e-3;
    plan.rest = (how & 2U) != 0 ? 1 : 0;
    const SweepResult result =
        run_sweep(instruments, plan, bench.clock, bench.stop.get_token(), {});
    if (!bench.last_order_is_off) std::abort();
    if (bench.on_ordered && result.output == OutputOff::untouched) std::abort();
    if (result.end != SweepEnd::complete && result.message.empty()) std::abort();
    if (result.end == SweepEnd::complete && result.points.size() != 3) std::abort();
    if (bench.clock.now() > 2000) std::abort();
    for (const SweepPoint& point : result.points) {
        if (!(std::abs(point.voltage) <= 3.2)) std::abort();
        if (!(point.current <= 1.1 * point.set_current + 1e-3)) std::abort();
    }
    return 0;
}
