#include "instrument/channel.hpp"
#include <expected>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

#include "instrument/address.hpp"
#include "instrument/channel_kinds.hpp"

namespace gapwright {

std::string_view fault_name(InstrumentFault fault) {
    switch (fault) {
        using enum InstrumentFault;
        case refused:
            return "refused";
        case timeout:
            return "timeout";
        case late:
            return "late";
        case closed:
            return "closed";
        case too_long:
            return "too-long";
        case not_text:
            return "not-text";
        case interrupted:
            return "interrupted";
        case wrong_answer:
            return "wrong-answer";
        case told_error:
            return "told-error";
        case implausible:
            return "implausible";
    }
    return "";
}

std::unexpected<InstrumentError> instrument_error(InstrumentFault kind, std::string message) {
    return std::unexpected(InstrumentError{kind, std::move(message)});
}

Connect connector(const Address& address) {
    return [address](double timeout, const std::stop_token& stop) -> OpenedChannel {
        if (const auto* tcp = std::get_if<TcpAddress>(&address)) {
            return open_tcp(*tcp, timeout, stop);
        }
        if (const auto* serial = std::get_if<SerialAddress>(&address)) return open_serial(*serial);
        return open_usbtmc(std::get<UsbtmcAddress>(address));
    };
}

}  // namespace gapwright
