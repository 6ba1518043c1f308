#include "instrument/output_guard.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>
#include "instrument/channel.hpp"
#include "instrument/clock.hpp"
#include "instrument/supply.hpp"
#include "instrument/sweep_plan.hpp"

namespace gapwright {
namespace {

constexpr double longest_backoff = 2;  // s
const std::stop_token no_stop = {};    // nothing keeps us from switching off

}  // namespace

std::string_view output_name(OutputOff off) {
    switch (off) {
        case OutputOff::untouched:
            return "untouched";
        case OutputOff::confirmed:
            return "confirmed";
        case OutputOff::unconfirmed:
            return "unconfirmed";
        case OutputOff::not_commanded:
            return "not-commanded";
    }
    return "";
}

std::string output_words(OutputOff off, std::string_view supply) {
    std::string loud(supply);
    for (char& c : loud) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    switch (off) {
        case OutputOff::untouched:
            return fmt::format("{}'s output was not switched: it is as it was before", supply);
        case OutputOff::confirmed:
            return fmt::format("{0}'s output is off: {0} confirms it", supply);
        case OutputOff::unconfirmed:
            return fmt::format(
                "{}'S OUTPUT MAY STILL BE ON: it was told to switch off, but did not confirm it. "
                "Switch it off by hand, at {}, now",
                loud, supply);
        case OutputOff::not_commanded:
            return fmt::format(
                "{0}'S OUTPUT MAY STILL BE ON: {1} could not be reached. Switch it off by hand, at "
                "{1}, now",
                loud, supply);
    }
    return "";
}

OutputGuard::OutputGuard(const Connect& connect, const SweepPlan& plan, Clock& clock, Supply supply)
    : connect_(connect),
      plan_(plan),
      clock_(clock),
      supply_(std::move(supply)),
      name_(supply_->talk().name()),
      identity_(supply_->talk().identity()),
      commands_(supply_->commands()) {}

OutputGuard::~OutputGuard() {
    // Whatever was thrown on the way here, the output goes off; and again if that throws as well.
    for (int k = 0; armed_ && k < 3; ++k) {
        try {
            finish();
        } catch (...) {
            continue;
        }
    }
}

bool OutputGuard::reconnect() {
    supply_.reset();  // many supplies take one connection at a time: the old one makes room first
    auto channel = connect_(plan_.patience.connect, no_stop);
    if (!channel) return false;
    supply_.emplace(Conversation(name_, std::move(*channel), clock_, plan_.patience.answer),
                    commands_);
    return true;
}

void OutputGuard::order_off() {
    // What becomes of it is for finish() to find out.
    if (armed_ && supply_) static_cast<void>(supply_->order_off());
}

OutputOff OutputGuard::try_on_this_connection() {
    for (int k = 0; k < 2; ++k) {
        // The order first, before anything is asked: it must go out even if nothing comes back.
        // Twice, as the first may run into the half of an earlier message.
        if (!supply_->order_off())
            return k == 0 ? OutputOff::not_commanded : OutputOff::unconfirmed;
        if (!supply_->order_off()) break;
        // Then nothing between the identity and the question: no old answer can come in between.
        if (!supply_->talk().resume(identity_, no_stop)) break;
        const auto on = supply_->output_is_on(no_stop);
        if (!on) break;
        // Said twice: one answer may be anything.
        const auto still_on = supply_->output_is_on(no_stop);
        if (!still_on) break;
        if (!*on && !*still_on) return OutputOff::confirmed;
    }
    return OutputOff::unconfirmed;
}

OutputOff OutputGuard::finish() {
    if (!armed_) return OutputOff::untouched;
    const double end = clock_.now() + plan_.off_longest;
    double backoff = plan_.off_backoff;
    OutputOff best = OutputOff::not_commanded;
    bool connected = supply_.has_value();
    for (;;) {
        if (connected) {
            const OutputOff off = try_on_this_connection();
            best = std::min(best, off);
            if (best == OutputOff::confirmed) break;
        }
        if (clock_.now() + backoff >= end) break;
        clock_.wait(backoff, no_stop);
        backoff = std::min(2 * backoff, longest_backoff);
        connected = reconnect();
    }
    armed_ = false;
    return best;
}

}  // namespace gapwright
