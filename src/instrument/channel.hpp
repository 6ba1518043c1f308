// An open line to one instrument: messages out, lines of text in, each within a time.
#pragma once

#include <cstddef>
#include <expected>
#include <functional>
#include <memory>
#include <stop_token>
#include <string>
#include <string_view>

#include "instrument/address.hpp"

namespace gapwright {

// Why talking to an instrument failed.
enum class InstrumentFault {
    refused,       // nothing answers at the address, or it may not be opened
    timeout,       // no answer, or no room to write, within the time
    late,          // answers come, but after the time is over, again and again
    closed,        // the connection is gone
    too_long,      // an answer longer than any instrument has reason to give
    not_text,      // bytes that are not printable ASCII
    interrupted,   // a stop was asked for
    wrong_answer,  // text, but not an answer to what was asked
    told_error,    // the instrument's own error queue holds something
    implausible,   // a reading or setting that cannot be, or may not be
};
std::string_view fault_name(InstrumentFault fault);  // e.g. "timeout"

struct InstrumentError {
    InstrumentFault kind = InstrumentFault::refused;
    std::string message;  // one sentence, no full stop
    double after = 0;     // s, of `late`: how long the slowest answer took
};

template <class T>
using InstrumentExpected = std::expected<T, InstrumentError>;

std::unexpected<InstrumentError> instrument_error(InstrumentFault kind, std::string message);

// Bytes of one answer without its ending; more is too_long. Own choice: error texts and identities
// are far shorter.
inline constexpr std::size_t longest_answer = 4096;

class Channel {
  public:
    virtual ~Channel() = default;

    // Sends all bytes within `timeout` seconds. No stop breaks it off: half a command is worse than
    // a whole one. Errors: timeout, closed; part of the bytes may have been sent.
    virtual InstrumentExpected<void> write(std::string_view bytes, double timeout) = 0;

    // The next line within `timeout` seconds, without LF, every CR dropped. Errors: timeout,
    // closed, too_long, not_text (the line is gone), interrupted.
    virtual InstrumentExpected<std::string> read_line(double timeout,
                                                      const std::stop_token& stop) = 0;

    // Throws away what has come in and was not read; does not wait for more.
    virtual void discard() = 0;
};

// Opens a channel within `timeout` seconds. Errors: refused, timeout, interrupted.
using Connect = std::function<InstrumentExpected<std::unique_ptr<Channel>>(
    double timeout, const std::stop_token& stop)>;

// What opens that address, each time anew. A name is resolved by the system, which no stop breaks
// off. Through USBTMC reading waits in the kernel: a stop takes effect once the time is over.
Connect connector(const Address& address);

}  // namespace gapwright
