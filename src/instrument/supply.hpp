// A bench supply and a meter, in volts and amperes.
#pragma once

#include <expected>
#include <stop_token>
#include <string>
#include <utility>

#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "instrument/command_table.hpp"
#include "instrument/conversation.hpp"

namespace gapwright {

// Every function sends or asks one thing; errors are those of Conversation, and implausible for
// values that cannot be.
class Supply {
  public:
    Supply(Conversation conversation, Commands commands)
        : talk_(std::move(conversation)), commands_(std::move(commands)) {}

    // Sets, then reads back, and gives what the supply holds: a coarse one holds its nearest step.
    // implausible when that differs by more than 1 % and 1 mA (half the value below 2 mA) or 20 mV
    // (own choice).
    InstrumentExpected<double> set_current(double amperes, const std::stop_token& stop);
    InstrumentExpected<double> set_voltage(double volts, const std::stop_token& stop);

    // Sends the order, then asks whether it was followed; implausible when not.
    InstrumentExpected<void> switch_output(bool on, const std::stop_token& stop);

    // Sends the order alone; what takes it off must not wait for anything.
    InstrumentExpected<void> order_off() { return talk_.tell(commands_.output_off); }
    InstrumentExpected<bool> output_is_on(const std::stop_token& stop);

    InstrumentExpected<double> measure_voltage(const std::stop_token& stop);  // V
    InstrumentExpected<double> measure_current(const std::stop_token& stop);  // A

    // Empties the error queue without looking at it; for the beginning.
    InstrumentExpected<void> clear();
    InstrumentExpected<void> check_errors(const std::stop_token& stop);

    Conversation& talk() { return talk_; }
    const Conversation& talk() const { return talk_; }
    const Commands& commands() const { return commands_; }

  private:
    InstrumentExpected<double> set(const std::string& order, const std::string& question,
                                   double number, double step, const std::stop_token& stop);

    Conversation talk_;
    Commands commands_;
};

class Multimeter {
  public:
    Multimeter(Conversation conversation, Commands commands)
        : talk_(std::move(conversation)), commands_(std::move(commands)) {}

    // Empties the error queue and makes it read d.c. voltage, or current.
    InstrumentExpected<void> prepare(bool current, const std::stop_token& stop);
    InstrumentExpected<double> read(const std::stop_token& stop);  // V, or A
    InstrumentExpected<void> check_errors(const std::stop_token& stop);

    Conversation& talk() { return talk_; }
    const Conversation& talk() const { return talk_; }
    const Commands& commands() const { return commands_; }

  private:
    Conversation talk_;
    Commands commands_;
    bool current_ = false;
};

// Connects, asks who it is and looks up its commands. `name`: "the supply".
struct Patience {
    double connect = 5;  // s to open a connection
    double answer = 2;   // s for one answer
};
template <class Instrument>
InstrumentExpected<Instrument> meet(const Connect& connect, const std::string& name,
                                    const CommandTable& table, const Patience& patience,
                                    const Clock& clock, const std::stop_token& stop) {
    auto channel = connect(patience.connect, stop);
    if (!channel) {
        InstrumentError error = channel.error();
        error.message = name + ": " + error.message;
        return std::unexpected(error);
    }
    Conversation talk(name, std::move(*channel), clock, patience.answer);
    const auto identity = talk.identify(stop);
    if (!identity) return std::unexpected(identity.error());
    Commands commands = table.commands_for(*identity);
    return Instrument(std::move(talk), std::move(commands));
}

}  // namespace gapwright
