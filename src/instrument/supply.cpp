#include "instrument/supply.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <expected>
#include <stop_token>
#include <string>
#include "instrument/channel.hpp"
#include "instrument/command_table.hpp"

namespace gapwright {
namespace {

constexpr double setting_share = 0.01;  // of the value; own choice
constexpr double current_step = 1e-3;   // A; own choice
constexpr double voltage_step = 0.02;   // V; own choice

InstrumentExpected<double> scaled(InstrumentExpected<double> value, double unit) {
    if (value) return *value * unit;
    return value;
}

}  // namespace

InstrumentExpected<double> Supply::set(const std::string& order, const std::string& question,
                                       double number, double step, const std::stop_token& stop) {
    const std::string sent = with_number(order, number);
    if (auto told = talk_.tell(sent); !told) return std::unexpected(told.error());
    const auto back = talk_.ask_number(question, stop);
    if (!back) return std::unexpected(back.error());
    if (std::abs(*back - number) > setting_share * std::abs(number) + step) {
        return instrument_error(
            InstrumentFault::implausible,
            fmt::format("{} was sent \"{}\" and holds {:g}", talk_.name(), sent, *back));
    }
    return *back;
}

InstrumentExpected<double> Supply::set_current(double amperes, const std::stop_token& stop) {
    // At small currents a whole step would be no check at all.
    const double step = std::min(current_step, 0.5 * amperes);
    return scaled(set(commands_.set_current, commands_.current_setting, amperes / commands_.ampere,
                      step / commands_.ampere, stop),
                  commands_.ampere);
}

InstrumentExpected<double> Supply::set_voltage(double volts, const std::stop_token& stop) {
    return scaled(set(commands_.set_voltage, commands_.voltage_setting, volts / commands_.volt,
                      voltage_step / commands_.volt, stop),
                  commands_.volt);
}

InstrumentExpected<void> Supply::switch_output(bool on, const std::stop_token& stop) {
    if (auto told = talk_.tell(on ? commands_.output_on : commands_.output_off); !told) return told;
    const auto is_on = output_is_on(stop);
    if (!is_on) return std::unexpected(is_on.error());
    if (*is_on != on) {
        return instrument_error(
            InstrumentFault::implausible,
            fmt::format("the output of {} was switched {} and says that it is {}", talk_.name(),
                        on ? "on" : "off", on ? "off" : "on"));
    }
    return {};
}

InstrumentExpected<bool> Supply::output_is_on(const std::stop_token& stop) {
    return talk_.ask_switch(commands_.output_state, stop);
}

InstrumentExpected<double> Supply::measure_voltage(const std::stop_token& stop) {
    return scaled(talk_.ask_number(commands_.measure_voltage, stop), commands_.volt);
}

InstrumentExpected<double> Supply::measure_current(const std::stop_token& stop) {
    return scaled(talk_.ask_number(commands_.measure_current, stop), commands_.ampere);
}

InstrumentExpected<void> Supply::clear() {
    if (commands_.clear.empty()) return {};
    return talk_.tell(commands_.clear);
}

InstrumentExpected<void> Supply::check_errors(const std::stop_token& stop) {
    return talk_.check_errors(commands_.next_error, stop);
}

InstrumentExpected<void> Multimeter::prepare(bool current, const std::stop_token& stop) {
    current_ = current;
    const std::string& prepare = current ? commands_.prepare_ammeter : commands_.prepare_meter;
    for (const std::string& order : {commands_.clear, prepare}) {
        if (order.empty()) continue;
        if (auto told = talk_.tell(order); !told) return told;
    }
    return check_errors(stop);
}

InstrumentExpected<double> Multimeter::read(const std::stop_token& stop) {
    return scaled(talk_.ask_number(commands_.read_meter, stop),
                  current_ ? commands_.ampere : commands_.volt);
}

InstrumentExpected<void> Multimeter::check_errors(const std::stop_token& stop) {
    return talk_.check_errors(commands_.next_error, stop);
}

}  // namespace gapwright
