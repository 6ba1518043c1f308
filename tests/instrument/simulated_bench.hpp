// Two supplies and a meter that are not there: a simulated LED on the first, a receiver of its
// light on the second, answers as instruments give them, and mishaps at any message. What the
// output truly does is kept apart from what is answered. It shares no code with what it tests.
#pragma once

#include <cstddef>
#include <functional>
#include <mutex>
#include <optional>
#include <random>
#include <string>
#include <vector>

namespace gapwright::testing_support {

// The part on the supply's terminals.
struct SimulatedLed {
    double saturation = 2.5e-13;  // A
    double emission = 1.8;
    double series = 2;  // Ω
    bool open = false;

    double voltage(double current) const;  // V at 293 K
    double current(double voltage) const;  // A
};

// What the second supply feeds: a current in the LED's light, until the voltage is used up.
struct SimulatedReceiver {
    double ratio = 1.2;       // at large LED currents
    double knee = 1e-3;       // A of LED current, where the ratio is half of that
    double saturation = 0.2;  // V that are left at least

    double current(double led_current) const;  // A, with voltage enough
};

enum class Role { supply, meter, feed };
inline constexpr int role_count = static_cast<int>(Role::feed) + 1;

// What the meter is across, or in series with.
enum class MeterLeads { led, shunt, series };

enum class Mishap {
    drop_unheard,      // the connection closes, the message is not acted on
    drop_after,        // acted on, then the connection closes without an answer
    half_answer,       // half an answer without an ending
    half_answer_drop,  // half an answer, then the connection closes
    silence,           // acted on, not answered
    deaf,              // from here on neither, on this connection
    lie,               // another number, another state of the output
    overload,          // 9.91E37
    words,             // a text that is no answer
    binary,            // bytes that are no text, with line feeds among them
    long_line,         // 20 000 characters
    flood,             // megabytes without an end
    empty,             // an empty line
    extra_line,        // a line too many before the answer
    late,              // the answer after the time is over
    error_entry,       // something in the error queue
    error_endless,     // an error queue that never empties, on this connection
    ignored,           // an order not followed
    all_ignored,       // no order followed from here on, on this connection
    stale,             // all_ignored, and a "0" comes that looks like an output that is off
    refuse,            // the connection closes and no other is taken for a while
    stop,              // somebody presses Ctrl-C
};
inline constexpr int mishap_count = static_cast<int>(Mishap::stop) + 1;
std::string mishap_name(Mishap mishap);

struct MishapAt {
    Mishap kind = Mishap::silence;
    Role role = Role::supply;
    std::size_t message = 0;  // the how many-th message to that instrument, from 0
};

struct BenchSettings {
    SimulatedLed led = {};
    SimulatedReceiver receiver = {};
    bool fed = false;                    // the second supply and its receiver are there
    MeterLeads leads = MeterLeads::led;  // of the meter; with a receiver in its line
    double shunt = 100;                  // Ω
    double set_step = 0;                 // A, in which supplies hold currents; 0: finely
    double read_step = 0;                // A, in which they show them
    double slow_by = 0;                  // s, each answer
    double noise = 1e-5;                 // of each reading, share
    double lead = 0.1;                   // Ω between the supply's terminals and the part
    unsigned seed = 1;                   // of the noise
    double refuse_for = 0.3;             // s
    double late_by = 0.3;                // s
    std::vector<MishapAt> mishaps = {};  // of several at one message the first counts
    std::function<void()> on_stop = {};
    bool never_off = false;          // the supply follows no order to switch off
    bool other_words = false;        // it speaks in mA and switches by OUTP:STAT
    bool answers_crlf_only = false;  // it hears only messages that end with CR LF
};

// One connection to one instrument.
struct SimulatedLine {
    Role role = Role::supply;
    bool deaf = false;
    bool ignoring = false;
    bool endless = false;  // its error queue
};

// What an instrument does with a message.
struct Reaction {
    std::string bytes = {};
    double delay = 0;  // s before they are sent
    bool close = false;
    bool refuse = false;  // takes no connection for a while
    bool flood = false;
};

// Calls may come from any thread.
class SimulatedBench {
  public:
    explicit SimulatedBench(BenchSettings settings);

    Reaction hear(SimulatedLine& line, std::string message);

    // The truth.
    bool output_is_on() const;  // of any supply
    bool output_is_on(Role role) const;
    bool was_ever_on() const;
    double highest_current() const;   // A through the part, of all times
    double highest_voltage() const;   // V across the part
    double highest_received() const;  // A through the receiver
    std::size_t mishaps_happened() const;
    bool was_on_at_mishap() const;                  // before the message that the first one befell
    std::vector<std::string> log(Role role) const;  // every message, in order
    const BenchSettings& settings() const { return settings_; }

  private:
    std::string obey(SimulatedLine& line, const std::string& message, bool ignore);
    std::optional<std::string> obey_supply(Role role, const std::string& message, bool ignore);
    std::string read_meter();
    void apply();
    double with_noise(double value);

    mutable std::mutex mutex_;
    BenchSettings settings_;
    std::mt19937 random_;
    struct Supply {
        double set_voltage = 0;
        double set_current = 0;
        bool output = false;
    };
    Supply supply_ = {};
    Supply feed_ = {};
    bool ever_on_ = false;
    std::size_t happened_ = 0;
    bool on_at_mishap_ = false;
    double current_ = 0;   // A through the part now
    double voltage_ = 0;   // V across the part now
    double received_ = 0;  // A through the receiver now
    double highest_current_ = 0;
    double highest_voltage_ = 0;
    double highest_received_ = 0;
    std::vector<std::string> errors_[role_count];
    std::vector<std::string> log_[role_count];
};

}  // namespace gapwright::testing_support
