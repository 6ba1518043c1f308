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

double in_steps(double value, double step) {
    return step > 0 ? std::round(value / step) * step : value;
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

double SimulatedReceiver::current(double led_current) const {
    return ratio * led_current * led_current / (led_current + knee);
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
    current_ = voltage_ = received_ = 0;
    if (supply_.output) {
        ever_on_ = true;
        SimulatedLed with_leads = settings_.led;
        with_leads.series += settings_.lead;
        if (!settings_.fed && settings_.leads == MeterLeads::shunt) {
            with_leads.series += settings_.shunt;
        }
        const bool limited = !(with_leads.voltage(supply_.set_current) <= supply_.set_voltage);
        current_ = limited ? with_leads.current(supply_.set_voltage) : supply_.set_current;
        voltage_ = settings_.led.open ? supply_.set_voltage : settings_.led.voltage(current_);
    }
    if (feed_.output) {
        ever_on_ = true;
        const double left = feed_.set_voltage - settings_.receiver.saturation;
        received_ = std::min(settings_.receiver.current(current_), feed_.set_current);
        if (settings_.leads == MeterLeads::shunt) {
            received_ = std::min(received_, std::max(0.0, left) / settings_.shunt);
        }
    }
    highest_current_ = std::max(highest_current_, current_);
    highest_voltage_ = std::max(highest_voltage_, voltage_);
    highest_received_ = std::max(highest_received_, received_);
}

std::optional<std::string> SimulatedBench::obey_supply(Role role, const std::string& message,
                                                       bool ignore) {
    Supply& supply = role == Role::supply ? supply_ : feed_;
    const double flows = role == Role::supply ? current_ : received_;
    double terminals = feed_.output ? feed_.set_voltage : 0;
    if (received_ >= feed_.set_current) terminals = settings_.receiver.saturation;
    if (role == Role::supply) {
        const bool shunted = !settings_.fed && settings_.leads == MeterLeads::shunt;
        terminals = voltage_ + current_ * (settings_.lead + (shunted ? settings_.shunt : 0));
    }
    const bool other = settings_.other_words;
    const double unit = other ? 1e-3 : 1;  // A
    const std::string on = other ? "OUTP:STAT 1" : "OUTP ON";
    const std::string off = other ? "OUTP:STAT 0" : "OUTP OFF";
    if (const auto volts = number_behind(message, "VOLT")) {
        if (!ignore) supply.set_voltage = *volts;
    } else if (const auto amperes = number_behind(message, "CURR")) {
        if (!ignore) supply.set_current = in_steps(*amperes * unit, settings_.set_step);
    } else if (message == on) {
        if (!ignore) supply.output = true;
    } else if (message == off) {
        if (!ignore && !settings_.never_off) supply.output = false;
    } else if (message == (other ? "OUTP:STAT?" : "OUTP?")) {
        return supply.output ? "1" : "0";
    } else if (message == "VOLT?") {
        return in_nr3(supply.set_voltage);
    } else if (message == "CURR?") {
        return in_nr3(supply.set_current / unit);
    } else if (message == "MEAS:VOLT?") {
        return in_nr3(with_noise(terminals));
    } else if (message == "MEAS:CURR?") {
        return in_nr3(in_steps(with_noise(flows), settings_.read_step) / unit);
    } else {
        return std::nullopt;
    }
    apply();
    return "";
}

std::string SimulatedBench::read_meter() {
    const double line = settings_.fed ? received_ : current_;
    if (settings_.leads == MeterLeads::shunt) return in_nr3(with_noise(line * settings_.shunt));
    return in_nr3(with_noise(settings_.leads == MeterLeads::series ? line : voltage_));
}

std::string SimulatedBench::obey(SimulatedLine& line, const std::string& message, bool ignore) {
    auto& errors = errors_[static_cast<int>(line.role)];
    const bool supply = line.role != Role::meter;
    if (message == "*IDN?") {
        if (line.role == Role::feed) return "BENCH,SUPPLY-2,0003,1.0";
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
        if (const auto answer = obey_supply(line.role, message, ignore)) return *answer;
    } else {
        const bool series = settings_.leads == MeterLeads::series;
        if (message == (series ? "CONF:CURR:DC" : "CONF:VOLT:DC")) return "";
        if (message == "READ?") return read_meter();
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
    if (now && happened_++ == 0) on_at_mishap_ = supply_.output || feed_.output;
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
    Reaction reaction = {.bytes = answer.empty() ? "" : answer + "\r\n",
                         .delay = settings_.slow_by};
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
    return supply_.output || feed_.output;
}
bool SimulatedBench::output_is_on(Role role) const {
    const std::lock_guard lock(mutex_);
    return role == Role::feed ? feed_.output : supply_.output;
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
double SimulatedBench::highest_received() const {
    const std::lock_guard lock(mutex_);
    return highest_received_;
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
