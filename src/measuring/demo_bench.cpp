#include "measuring/demo_bench.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <random>
#include <stop_token>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

#include "instrument/channel.hpp"
#include "instrument/sweep_plan.hpp"
#include "measuring/demo_part.hpp"

namespace gapwright {
namespace {

constexpr double current_step = 1e-4;   // A, of supplies
constexpr double voltage_step = 0.01;   // V, likewise
constexpr double supply_noise = 3e-5;   // A, of what a supply shows
constexpr double leads = 0.1;           // Ω from the supply to the part and back
constexpr double meter_noise = 2e-4;    // share
constexpr double meter_volts = 1e-4;    // V, a step
constexpr double meter_amperes = 1e-7;  // A, a step
constexpr int halvings = 60;

double in_steps(double value, double step) {
    return std::round(value / step) * step;
}

// The number behind `word` and a space; none where the message is another one.
std::optional<double> number_behind(std::string_view message, std::string_view word) {
    if (!message.starts_with(word) || message.size() < word.size() + 2) return std::nullopt;
    if (message[word.size()] != ' ') return std::nullopt;
    const std::string_view digits = message.substr(word.size() + 1);
    double value = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (error != std::errc() || end != digits.data() + digits.size()) return std::nullopt;
    return value;
}

struct DemoSupply {
    double voltage = 0;  // V, set
    double current = 0;  // A, set
    bool on = false;
};

}  // namespace

class DemoBench::State {
  public:
    State(DemoPart part, const SweepPlan& plan, std::uint64_t seed)
        : part_(std::move(part)), place_(plan.meter), shunt_(plan.shunt), random_(seed) {}

    // The answer to a message; none for an order.
    std::optional<std::string> obey(DemoRole role, const std::string& message) {
        if (message == "*IDN?") return fmt::format("SIMULATED,{},0,0", name_of(role));
        if (message == "SYST:ERR?") return "0,\"No error\"";
        if (role == DemoRole::meter) {
            return message == "READ?" ? std::optional(read_meter()) : std::nullopt;
        }
        return obey_supply(role, message);
    }

  private:
    static std::string_view name_of(DemoRole role) {
        switch (role) {
            case DemoRole::supply:
                return "SUPPLY-1";
            case DemoRole::feed:
                return "SUPPLY-2";
            case DemoRole::meter:
                return "METER";
        }
        return "";
    }

    std::optional<std::string> obey_supply(DemoRole role, const std::string& message) {
        DemoSupply& supply = role == DemoRole::supply ? drive_ : feed_;
        if (const auto volts = number_behind(message, "VOLT")) {
            supply.voltage = in_steps(*volts, voltage_step);
        } else if (const auto amperes = number_behind(message, "CURR")) {
            supply.current = in_steps(*amperes, current_step);
        } else if (message == "OUTP ON" || message == "OUTP OFF") {
            supply.on = message == "OUTP ON";
        } else if (message == "VOLT?") {
            return fmt::format("{:.2f}", supply.voltage);
        } else if (message == "CURR?") {
            return fmt::format("{:.4f}", supply.current);
        } else if (message == "OUTP?") {
            return supply.on ? "1" : "0";
        } else if (message == "MEAS:VOLT?") {
            return fmt::format("{:.2f}", role == DemoRole::supply ? drive_volts() : feed_volts());
        } else if (message == "MEAS:CURR?") {
            const double flows = role == DemoRole::supply ? drive_current_ : received_;
            const double shown = supply.on ? flows + supply_noise * noise() : 0;
            return fmt::format("{:.4f}", std::max(0.0, shown));
        }
        settle();
        return std::nullopt;
    }

    // A sum of twelve: near enough to a normal law, and the same on every machine.
    double noise() {
        double sum = -6;
        for (int k = 0; k < 12; ++k) sum += static_cast<double>(random_() >> 11U) * 0x1.0p-53;
        return sum;
    }

    // What is in line with the driven part besides it, Ω.
    double in_line() const {
        const bool shunted = place_ == MeterPlace::across_shunt && !feed_used_;
        return leads + (shunted ? shunt_ : 0);
    }

    DemoFeed feed_now() const {
        return {.voltage = feed_.on ? feed_.voltage : 0,
                .series = place_ == MeterPlace::across_shunt ? shunt_ : 0};
    }

    // Constant current up to the voltage limit, constant voltage there.
    void settle() {
        feed_used_ = feed_used_ || feed_.on;
        drive_current_ = part_voltage_ = received_ = 0;
        const auto needed = [&](double amperes) {
            const auto answer = part_.at(amperes, {});
            return answer ? answer->voltage + amperes * in_line() : INFINITY;
        };
        if (drive_.on && drive_.current > 0) {
            drive_current_ = drive_.current;
            if (!(needed(drive_current_) <= drive_.voltage)) {
                double low = 0;
                for (int k = 0; k < halvings; ++k) {
                    const double middle = (low + drive_current_) / 2;
                    (needed(middle) < drive_.voltage ? low : drive_current_) = middle;
                }
            }
        }
        if (const auto answer = part_.at(drive_current_, feed_now())) {
            part_voltage_ = drive_.on ? answer->voltage : 0;
            received_ = std::min(answer->received, feed_.current);
        }
    }

    double drive_volts() const { return part_voltage_ + drive_current_ * in_line(); }
    double feed_volts() const { return feed_.on ? feed_.voltage : 0; }

    std::string read_meter() {
        const double share = 1 + meter_noise * noise();
        const double line = feed_used_ ? received_ : drive_current_;
        switch (place_) {
            case MeterPlace::none:
                break;
            case MeterPlace::across_part:
                return fmt::format("{:.4f}", in_steps(part_voltage_ * share, meter_volts));
            case MeterPlace::across_shunt:
                return fmt::format("{:.4f}", in_steps(line * shunt_ * share, meter_volts));
            case MeterPlace::in_series:
                return fmt::format("{:.7f}", in_steps(line * share, meter_amperes));
        }
        return "0";
    }

    DemoPart part_;
    MeterPlace place_;
    double shunt_;  // Ω
    std::mt19937_64 random_;
    DemoSupply drive_ = {};
    DemoSupply feed_ = {};
    bool feed_used_ = false;    // there is a second supply
    double drive_current_ = 0;  // A
    double part_voltage_ = 0;   // V
    double received_ = 0;       // A
};

namespace {

// Answers at once.
class DemoChannel : public Channel {
  public:
    explicit DemoChannel(
        std::function<std::optional<std::string>(const std::string& message)> instrument)
        : instrument_(std::move(instrument)) {}

    InstrumentExpected<void> write(std::string_view bytes, double) override {
        for (const char c : bytes) {
            if (c != '\n') {
                heard_ += c;
                continue;
            }
            if (auto answer = instrument_(std::exchange(heard_, {}))) {
                answers_.push_back(std::move(*answer));
            }
        }
        return {};
    }

    InstrumentExpected<std::string> read_line(double, const std::stop_token& stop) override {
        if (stop.stop_requested()) return instrument_error(InstrumentFault::interrupted, "stopped");
        if (answers_.empty()) return instrument_error(InstrumentFault::timeout, "no answer");
        std::string line = std::move(answers_.front());
        answers_.pop_front();
        return line;
    }

    void discard() override { answers_.clear(); }

  private:
    std::function<std::optional<std::string>(const std::string& message)> instrument_;
    std::string heard_ = {};
    std::deque<std::string> answers_ = {};
};

}  // namespace

DemoBench::DemoBench(DemoPart part, const SweepPlan& plan, std::uint64_t seed)
    : state_(std::make_unique<State>(std::move(part), plan, seed)) {}

DemoBench::~DemoBench() = default;

Connect DemoBench::connect(DemoRole role) {
    return [state = state_.get(), role](
               double, const std::stop_token&) -> InstrumentExpected<std::unique_ptr<Channel>> {
        return std::make_unique<DemoChannel>(
            [state, role](const std::string& message) { return state->obey(role, message); });
    };
}

std::uint64_t demo_seed(std::string_view specimen) {
    // FNV-1a (Fowler, Noll & Vo; constants from memory).
    std::uint64_t seed = 0xcbf29ce484222325U;
    for (const char c : specimen) {
        seed = (seed ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
    }
    return seed;
}

}  // namespace gapwright
