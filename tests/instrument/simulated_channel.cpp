#include "simulated_channel.hpp"

#include <algorithm>

namespace gapwright::testing_support {
namespace {

class SimulatedChannel : public Channel {
  public:
    SimulatedChannel(SimulatedBench& bench, SimulatedClock& clock, Role role,
                     std::shared_ptr<double> refuse_until)
        : bench_(bench), clock_(clock), refuse_until_(std::move(refuse_until)) {
        line_.role = role;
    }

    InstrumentExpected<void> write(std::string_view bytes, double) override {
        if (closed_) return instrument_error(InstrumentFault::closed, "the connection was lost");
        for (const char c : bytes) {
            if (c != '\n') {
                heard_ += c;
                continue;
            }
            Reaction reaction = bench_.hear(line_, std::exchange(heard_, {}));
            for (const char byte : reaction.bytes) {
                answers_.push_back({clock_.now() + reaction.delay, byte});
            }
            flood_ = flood_ || reaction.flood;
            closed_ = closed_ || reaction.close;
            if (reaction.refuse) *refuse_until_ = clock_.now() + bench_.settings().refuse_for;
            if (closed_) break;
        }
        return {};
    }

    InstrumentExpected<std::string> read_line(double timeout,
                                              const std::stop_token& stop) override {
        if (stop.stop_requested()) return instrument_error(InstrumentFault::interrupted, "stopped");
        if (flood_) return instrument_error(InstrumentFault::too_long, "it does not end");
        std::string line;
        const double end = clock_.now() + timeout;
        for (std::size_t k = 0; k < answers_.size() && answers_[k].due <= end; ++k) {
            if (answers_[k].byte != '\n') {
                line += answers_[k].byte;
                continue;
            }
            clock_.advance(std::max(0.0, answers_[k].due - clock_.now()));
            answers_.erase(answers_.begin(), answers_.begin() + static_cast<std::ptrdiff_t>(k) + 1);
            std::erase(line, '\r');
            if (line.size() > longest_answer) {
                return instrument_error(InstrumentFault::too_long, "it does not end");
            }
            const bool text =
                std::ranges::all_of(line, [](char c) { return c >= ' ' && c <= '~'; });
            if (!text) return instrument_error(InstrumentFault::not_text, "it is no text");
            return line;
        }
        if (closed_) return instrument_error(InstrumentFault::closed, "the connection was lost");
        clock_.advance(timeout);
        return instrument_error(InstrumentFault::timeout, "no answer in time");
    }

    void discard() override {
        while (!answers_.empty() && answers_.front().due <= clock_.now()) answers_.pop_front();
    }

  private:
    struct Due {
        double due = 0;  // s
        char byte = 0;
    };
    SimulatedBench& bench_;
    SimulatedClock& clock_;
    std::shared_ptr<double> refuse_until_;
    SimulatedLine line_ = {};
    std::string heard_ = {};
    std::deque<Due> answers_ = {};
    bool flood_ = false;
    bool closed_ = false;
};

}  // namespace

Connect simulated_connect(SimulatedBench& bench, SimulatedClock& clock, Role role) {
    auto refuse_until = std::make_shared<double>(-1);
    return [&bench, &clock, role, refuse_until](
               double, const std::stop_token&) -> InstrumentExpected<std::unique_ptr<Channel>> {
        if (clock.now() < *refuse_until) {
            return instrument_error(InstrumentFault::refused, "nothing answers");
        }
        return std::make_unique<SimulatedChannel>(bench, clock, role, refuse_until);
    };
}

}  // namespace gapwright::testing_support
