#include "simulated_bench.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace gapwright::testing_support {
namespace {

constexpr double thermal_voltage = 0.02526;  // V at 293 K

std::string in_nr3(double value) {
    return fmt::format("{:+.6E}", value);
}

// The number behind `word` and a space; none when the message is another one.
std::optional<double> number_behind(const std::string& message, const std::string& word) {
    if (!message.starts_with(word + " ")) return std::nullopt;
    try {
        return std::stod(message.substr(word.size() + 1));
    } catch (const std::exception&) {
        return std::nullopt;
    }
}

std::string lie_about(const std::string& message, const std::string& answer) {
    if (message == "OUTP?") return answer == "1" ? "0" : "1";
    if (message == "SYST:ERR?") return "-222,\"Data out of range\"";
    if (message == "*IDN?") return "SOMEBODY,ELSE,0,0";
    return in_nr3(std::stod(answer) * 3 + 0.5);
}

}  // namespace

double SimulatedLed::voltage(double amperes) const {
    if (open && amperes > 0) return INFINITY;
    return emission * thermal_voltage * std::log1p(amperes / saturation) + amperes * series;
}

double SimulatedLed::current(double volts) const {
    if (open) return 0;
    double low = 0;
    double high = 10;
    for (int k = 0; k < 100; ++k) {
        const double middle = (low + high) / 2;
        (voltage(middle) < volts ? low : high) = middle;
    }
    return low;
}

std::string mishap_name(Mishap mishap) {
    static const char* const names[mishap_count] = {
        "drop_unheard",  "drop_after", "half_answer", "half_answer_drop",
        "silence",       "deaf",       "lie",         "overload",
        "words",         "binary",     "long_line",   "flood",
        "empty",         "extra_line", "late",        "error_entry",
        "error_endless", "ignored",    "all_ignored", "stale",
        "refuse",        "stop"};
    return names[static_cast<int>(mishap)];
}

SimulatedBench::SimulatedBench(BenchSettings settings)
    : settings_(std::move(settings)), random_(settings_.seed) {}

double SimulatedBench::with_noise(double value) {
    return value * (1 + settings_.noise * std::uniform_real_distribution<double>(-1, 1)(random_));
}

// Constant current up to the voltage limit, constant voltage there.
void SimulatedBench::apply() {
    current_ = voltage_ = 0;
    if (output_) {
        ever_on_ = true;
        SimulatedLed with_leads = settings_.led;
        with_leads.series += settings_.lead;
        const bool limited = !(with_leads.voltage(set_current_) <= set_voltage_);
        current_ = limited ? with_leads.current(set_voltage_) : set_current_;
        voltage_ = settings_.led.open ? set_voltage_ : settings_.led.voltage(current_);
    }
    highest_current_ = std::max(highest_current_, current_);
    highest_voltage_ = std::max(highest_voltage_, voltage_);
}

std::optional<std::string> SimulatedBench::obey_supply(const std::string& message, bool ignore) {
    const bool other = settings_.other_words;
    const double unit = other ? 1e-3 : 1;  // A
    const std::string on = other ? "OUTP:STAT 1" : "OUTP ON";
    const std::string off = other ? "OUTP:STAT 0" : "OUTP OFF";
    if (const auto volts = number_behind(message, "VOLT")) {
        if (!ignore) set_voltage_ = *volts;
    } else if (const auto amperes = number_behind(message, "CURR")) {
        if (!ignore) set_current_ = *amperes * unit;
    } else if (message == on) {
        if (!ignore) output_ = true;
    } else if (message == off) {
        if (!ignore && !settings_.never_off) output_ = false;
    } else if (message == (other ? "OUTP:STAT?" : "OUTP?")) {
        return output_ ? "1" : "0";
    } else if (message == "VOLT?") {
        return in_nr3(set_voltage_);
    } else if (message == "CURR?") {
        return in_nr3(set_current_ / unit);
    } else if (message == "MEAS:VOLT?") {
        return in_nr3(with_noise(voltage_ + current_ * settings_.lead));
    } else if (message == "MEAS:CURR?") {
        return in_nr3(with_noise(current_ / unit));
    } else {
        return std::nullopt;
    }
    apply();
    return "";
}

std::string SimulatedBench::obey(SimulatedLine& line, const std::string& message, bool ignore) {
    auto& errors = errors_[static_cast<int>(line.role)];
    const bool supply = line.role == Role::supply;
    if (message == "*IDN?") {
        return supply ? "BENCH,SUPPLY-1,0001,1.0" : "BENCH,METER-1,0002,1.0";
    }
    if (message == "*CLS") {
        errors.clear();
        return "";
    }
    if (message == "SYST:ERR?") {
        if (line.endless) return "-350,\"Queue overflow\"";
        if (errors.empty()) return "0,\"No error\"";
        const std::string oldest = errors.front();
        errors.erase(errors.begin());
        return oldest;
    }
    if (supply) {
        if (const auto answer = obey_supply(message, ignore)) return *answer;
    } else {
        if (message == "CONF:VOLT:DC") return "";
        if (message == "READ?") return in_nr3(with_noise(voltage_));
    }
    if (errors.size() < 20) errors.push_back("-113,\"Undefined header\"");
    return "";
}

Reaction SimulatedBench::hear(SimulatedLine& line, std::string message) {
    const std::lock_guard lock(mutex_);
    const bool crlf = message.ends_with('\r');
    if (crlf) message.pop_back();
    auto& log = log_[static_cast<int>(line.role)];
    log.push_back(message);
    if (settings_.answers_crlf_only && !crlf) return {};
    const auto planned = std::ranges::find_if(settings_.mishaps, [&](const MishapAt& mishap) {
        return mishap.role == line.role && mishap.message == log.size() - 1;
    });
    const bool now = planned != settings_.mishaps.end();
    if (now && happened_++ == 0) on_at_mishap_ = output_;
    const auto is = [&](Mishap kind) { return now && planned->kind == kind; };
    if (is(Mishap::stop) && settings_.on_stop) settings_.on_stop();
    if (is(Mishap::drop_unheard)) return {.close = true};
    if (is(Mishap::refuse)) return {.close = true, .refuse = true};
    if (is(Mishap::deaf)) line.deaf = true;
    if (line.deaf) return {};
    if (is(Mishap::all_ignored) || is(Mishap::stale)) line.ignoring = true;
    if (is(Mishap::error_endless)) line.endless = true;
    if (is(Mishap::error_entry)) {
        errors_[static_cast<int>(line.role)].push_back("-222,\"Data out of range\"");
    }
    const std::string answer = obey(line, message, line.ignoring || is(Mishap::ignored));
    if (is(Mishap::drop_after)) return {.close = true};
    if (is(Mishap::flood)) return {.flood = true};
    Reaction reaction = {.bytes = answer.empty() ? "" : answer + "\r\n"};
    if (!now) return reaction;
    // An order has no answer to spoil: it then gets one that nobody asked for.
    const std::string spoiled = answer.empty() ? "0" : answer;
    switch (planned->kind) {
        case Mishap::half_answer:
        case Mishap::half_answer_drop:
            reaction.bytes = spoiled.substr(0, (spoiled.size() + 1) / 2);
            reaction.close = planned->kind == Mishap::half_answer_drop;
            break;
        case Mishap::silence:
            reaction.bytes.clear();
            break;
        case Mishap::lie:
            reaction.bytes = (answer.empty() ? "1" : lie_about(message, answer)) + "\n";
            break;
        case Mishap::overload:
            reaction.bytes = "+9.910000E+37\n";
            break;
        case Mishap::words:
            reaction.bytes = "PLEASE WAIT\n";
            break;
        case Mishap::binary:
            reaction.bytes = std::string("\0\xff\n\x01#\n\x80\n", 9);
            break;
        case Mishap::long_line:
            reaction.bytes = std::string(20000, '7') + "\n";
            break;
        case Mishap::empty:
            reaction.bytes = "\n";
            break;
        case Mishap::extra_line:
            reaction.bytes = "+1.000000E+00\n" + reaction.bytes;
            break;
        case Mishap::stale:
            reaction.bytes = "0\n" + reaction.bytes;
            break;
        case Mishap::late:
            reaction.delay = settings_.late_by;
            break;
        default:
            break;
    }
    return reaction;
}

bool SimulatedBench::output_is_on() const {
    const std::lock_guard lock(mutex_);
    return output_;
}
bool SimulatedBench::was_ever_on() const {
    const std::lock_guard lock(mutex_);
    return ever_on_;
}
double SimulatedBench::highest_current() const {
    const std::lock_guard lock(mutex_);
    return highest_current_;
}
double SimulatedBench::highest_voltage() const {
    const std::lock_guard lock(mutex_);
    return highest_voltage_;
}
std::size_t SimulatedBench::mishaps_happened() const {
    const std::lock_guard lock(mutex_);
    return happened_;
}
bool SimulatedBench::was_on_at_mishap() const {
    const std::lock_guard lock(mutex_);
    return on_at_mishap_;
}
std::vector<std::string> SimulatedBench::log(Role role) const {
    const std::lock_guard lock(mutex_);
    return log_[static_cast<int>(role)];
}

}  // namespace gapwright::testing_support
