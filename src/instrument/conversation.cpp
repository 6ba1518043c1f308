#include "instrument/conversation.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <expected>
#include <memory>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>
#include "instrument/answers.hpp"
#include "instrument/channel.hpp"
#include "instrument/clock.hpp"

namespace gapwright {
namespace {

const std::string identity_question = "*IDN?";  // IEEE 488.2
constexpr int most_old_answers = 8;
constexpr int most_errors = 16;  // entries read from one error queue
// How much longer than for an answer is waited for one that is late, so that it can be told how
// late; own choice.
constexpr double late_patience = 2;

// Worth a second question: the line is there, but the answer was none.
bool may_pass(InstrumentFault fault) {
    using enum InstrumentFault;
    return fault == timeout || fault == too_long || fault == not_text || fault == wrong_answer;
}

InstrumentError told(const std::string& name, const std::string& question, InstrumentError error) {
    error.message = fmt::format("{}, asked \"{}\": {}", name, question, error.message);
    return error;
}

}  // namespace

Conversation::Conversation(std::string name, std::unique_ptr<Channel> channel, const Clock& clock,
                           double answer_timeout)
    : name_(std::move(name)),
      channel_(std::move(channel)),
      clock_(clock),
      answer_timeout_(answer_timeout) {}

// After a question that was not answered in time: whether something comes yet. What it says does
// not count: it may be half of an answer.
bool Conversation::came_late(double asked, const std::stop_token& stop) {
    if (!channel_->read_line(late_patience * answer_timeout_, stop)) return false;
    latest_answer_ = std::max(latest_answer_, clock_.now() - asked);
    return true;
}

std::unexpected<InstrumentError> Conversation::late_error(const std::string& question) const {
    return std::unexpected(InstrumentError{
        .kind = InstrumentFault::late,
        .message = fmt::format(
            "{}, asked \"{}\": answers come late, after {:.2g} s; {:g} s are waited for", name_,
            question, latest_answer_, answer_timeout_),
        .after = latest_answer_});
}

InstrumentExpected<void> Conversation::tell(const std::string& order) {
    auto written = channel_->write(order + identity_.ending, answer_timeout_);
    if (!written) return std::unexpected(told(name_, order, written.error()));
    return {};
}

template <class T>
InstrumentExpected<T> Conversation::ask_once(const std::string& question,
                                             AnswerExpected<T> (*parse)(std::string_view),
                                             const std::stop_token& stop) {
    if (auto sent = tell(question); !sent) return std::unexpected(sent.error());
    const auto line = channel_->read_line(answer_timeout_, stop);
    if (!line) return std::unexpected(told(name_, question, line.error()));
    auto value = parse(*line);
    if (value) return std::move(*value);
    return std::unexpected(told(name_, question, {InstrumentFault::wrong_answer, value.error()}));
}

template <class T>
InstrumentExpected<T> Conversation::ask(const std::string& question,
                                        AnswerExpected<T> (*parse)(std::string_view),
                                        const std::stop_token& stop) {
    double asked = clock_.now();
    auto first = ask_once(question, parse, stop);
    if (first || !may_pass(first.error().kind)) return first;
    const bool late = first.error().kind == InstrumentFault::timeout && came_late(asked, stop);
    if (auto in_step = fall_in_step(stop); !in_step) {
        return in_step.error().kind == InstrumentFault::interrupted
                   ? std::unexpected(in_step.error())
               : late ? late_error(question)
                      : std::unexpected(first.error());
    }
    asked = clock_.now();
    auto second = ask_once(question, parse, stop);
    const bool late_again =
        !second && second.error().kind == InstrumentFault::timeout && came_late(asked, stop);
    if (late_again) return late_error(question);
    return second;
}

InstrumentExpected<std::string> Conversation::identify(const std::stop_token& stop) {
    channel_->discard();
    double asked = clock_.now();
    auto first = ask_once(identity_question, parse_identity, stop);
    const auto is_late = [&](const auto& answer) {
        return !answer && answer.error().kind == InstrumentFault::timeout && came_late(asked, stop);
    };
    bool late = is_late(first);
    if (late) {
        asked = clock_.now();
        first = ask_once(identity_question, parse_identity, stop);
        if (is_late(first)) return late_error(identity_question);
    } else if (!first && may_pass(first.error().kind)) {
        channel_->discard();
        identity_.ending = "\r\n";
        first = ask_once(identity_question, parse_identity, stop);
    }
    if (!first) return first;
    identity_.text = *first;
    // A first answer may be what was left from before.
    for (int k = 0; k < most_old_answers; ++k) {
        asked = clock_.now();
        auto again = ask_once(identity_question, parse_identity, stop);
        const bool late_again = is_late(again);
        if (late && late_again) return late_error(identity_question);
        late = late || late_again;
        if (!again && !may_pass(again.error().kind)) return again;
        if (again && *again == identity_.text) return identity_.text;
        if (again) identity_.text = *again;
    }
    return instrument_error(InstrumentFault::wrong_answer,
                            fmt::format("{} does not say twice who it is", name_));
}

InstrumentExpected<void> Conversation::resume(const Identity& before, const std::stop_token& stop) {
    identity_ = before;
    return fall_in_step(stop);
}

InstrumentExpected<void> Conversation::fall_in_step(const std::stop_token& stop) {
    ++slips_;
    channel_->discard();
    if (auto sent = tell(identity_question); !sent) return sent;
    for (int k = 0; k < most_old_answers; ++k) {
        const auto line = channel_->read_line(answer_timeout_, stop);
        if (line && *line == identity_.text) return {};
        if (!line && line.error().kind != InstrumentFault::not_text &&
            line.error().kind != InstrumentFault::too_long) {
            return std::unexpected(told(name_, identity_question, line.error()));
        }
    }
    return instrument_error(InstrumentFault::wrong_answer,
                            fmt::format("{} no longer says who it is", name_));
}

InstrumentExpected<double> Conversation::ask_number(const std::string& question,
                                                    const std::stop_token& stop) {
    return ask(question, parse_number, stop);
}

InstrumentExpected<bool> Conversation::ask_switch(const std::string& question,
                                                  const std::stop_token& stop) {
    return ask(question, parse_switch, stop);
}

InstrumentExpected<void> Conversation::check_errors(const std::string& question,
                                                    const std::stop_token& stop) {
    if (question.empty()) return {};
    std::string first;
    for (int k = 0; k < most_errors; ++k) {
        const auto entry = ask(question, parse_error_entry, stop);
        if (!entry) return std::unexpected(entry.error());
        if (entry->code == 0) {
            if (first.empty()) return {};
            return instrument_error(InstrumentFault::told_error,
                                    fmt::format("{} reports {}", name_, first));
        }
        if (first.empty()) first = fmt::format("error {} \"{}\"", entry->code, entry->text);
    }
    return instrument_error(
        InstrumentFault::told_error,
        fmt::format("{} reports {}, and its error queue does not end", name_, first));
}

}  // namespace gapwright
