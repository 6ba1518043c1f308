// Questions and answers with one instrument, kept in step.
//
// An answer that comes late would be taken for the answer to the next question. So after anything
// odd the instrument is asked who it is: its identity is like no other answer, and all that came
// before it is old.
#pragma once

#include <expected>
#include <memory>
#include <stop_token>
#include <string>
#include <string_view>
#include "instrument/answers.hpp"
#include "instrument/channel.hpp"
#include "instrument/clock.hpp"

namespace gapwright {

// Who answers, and how messages to it end.
struct Identity {
    std::string text;  // the answer to *IDN?
    std::string ending = "\n";
};

class Conversation {
  public:
    // `name` stands in messages: "the supply". `answer_timeout` in s. The clock must outlive it.
    Conversation(std::string name, std::unique_ptr<Channel> channel, const Clock& clock,
                 double answer_timeout);

    // Asks who it is, twice, and keeps the answer. Messages end with LF, or with CR LF where the
    // instrument does not answer otherwise. Errors: those of the channel, late, wrong_answer.
    InstrumentExpected<std::string> identify(const std::stop_token& stop);

    // Continues a conversation that broke off, on a new channel: the same identity must answer.
    InstrumentExpected<void> resume(const Identity& before, const std::stop_token& stop);

    // Throws away old answers. Errors: those of the channel; wrong_answer where the identity does
    // not come.
    InstrumentExpected<void> fall_in_step(const std::stop_token& stop);

    // Sends an order. Errors: those of Channel::write.
    InstrumentExpected<void> tell(const std::string& order);

    // Asks; an answer that is none, or none in time, is asked for once more. Errors: those of the
    // channel, late (both answers came after their time), wrong_answer.
    InstrumentExpected<double> ask_number(const std::string& question, const std::stop_token& stop);
    InstrumentExpected<bool> ask_switch(const std::string& question, const std::stop_token& stop);

    // Empties the error queue. Errors: told_error when it held anything, or does not end; those of
    // the channel; wrong_answer.
    InstrumentExpected<void> check_errors(const std::string& question, const std::stop_token& stop);

    const Identity& identity() const { return identity_; }
    const std::string& name() const { return name_; }

    // How often it fell out of step: what was read just before that may answer another question.
    int slips() const { return slips_; }

    // How long the slowest answer took that came after its time, s; 0 where none did.
    double latest_answer() const { return latest_answer_; }

  private:
    template <class T>
    InstrumentExpected<T> ask(const std::string& question,
                              AnswerExpected<T> (*parse)(std::string_view),
                              const std::stop_token& stop);
    template <class T>
    InstrumentExpected<T> ask_once(const std::string& question,
                                   AnswerExpected<T> (*parse)(std::string_view),
                                   const std::stop_token& stop);

    bool came_late(double asked, const std::stop_token& stop);
    std::unexpected<InstrumentError> late_error(const std::string& question) const;

    std::string name_;
    std::unique_ptr<Channel> channel_;
    const Clock& clock_;
    double answer_timeout_;
    double latest_answer_ = 0;
    Identity identity_ = {};
    int slips_ = 0;
};

}  // namespace gapwright
