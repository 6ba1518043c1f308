// Takes a supply's output off, whatever happens.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "instrument/command_table.hpp"
#include "instrument/conversation.hpp"
#include "instrument/supply.hpp"
#include "instrument/sweep_plan.hpp"

namespace gapwright {

// What is known of the output at the end.
enum class OutputOff {
    untouched,      // nothing was sent that switches it: it is as it was before
    confirmed,      // switched off, and the supply says that it is
    unconfirmed,    // the order was sent, but the supply did not say that it followed
    not_commanded,  // the order could not be sent: the output MAY STILL BE ON
};
std::string_view output_name(OutputOff off);  // e.g. "confirmed"

// For people: what is known, and what to do by hand. `supply`: which one it is.
std::string output_words(OutputOff off, std::string_view supply = "the supply");

// Holds the supply. Once armed, the output is taken off at the latest when the guard goes,
// also by an exception: over the connection that there is, then over new ones, again and again
// until the supply confirms it or plan.off_longest is over. No stop breaks that off.
class OutputGuard {
  public:
    OutputGuard(const Connect& connect, const SweepPlan& plan, Clock& clock, Supply supply);
    OutputGuard(const OutputGuard&) = delete;
    OutputGuard& operator=(const OutputGuard&) = delete;
    ~OutputGuard();

    Supply& supply() { return *supply_; }

    // From here on the output is taken off at the end. Before anything that switches it is sent.
    void arm() { armed_ = true; }

    // Sends the order alone, once, where the output may be on: for a second supply, while the first
    // one is taken off.
    void order_off();

    // Takes the output off if armed. Afterwards supply() may be used no more.
    OutputOff finish();

  private:
    OutputOff try_on_this_connection();
    bool reconnect();

    Connect connect_;
    const SweepPlan& plan_;
    Clock& clock_;
    std::optional<Supply> supply_;
    std::string name_;   // "the supply"
    Identity identity_;  // who has to answer on a new connection
    Commands commands_;
    bool armed_ = false;
};

}  // namespace gapwright
