// Where an instrument is: the text after `--supply` and `--meter`.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <variant>

#include "units/quantity.hpp"

namespace gapwright {

// Raw SCPI over TCP. Port 5025 is the one usual for it (common practice).
struct TcpAddress {
    std::string host;  // a name, IPv4, or IPv6 without its brackets
    std::uint16_t port = 5025;

    bool operator==(const TcpAddress&) const = default;
};

// A serial line, 8 data bits, no parity, 1 stop bit, no handshake.
struct SerialAddress {
    std::string device;    // absolute path
    unsigned baud = 9600;  // one of serial_speeds()

    bool operator==(const SerialAddress&) const = default;
};

// The kernel's character device of an instrument of class USBTMC.
struct UsbtmcAddress {
    std::string device;  // absolute path

    bool operator==(const UsbtmcAddress&) const = default;
};

using Address = std::variant<TcpAddress, SerialAddress, UsbtmcAddress>;

// `tcp:HOST[:PORT]`, `HOST:PORT`, `serial:/dev/…[:BAUD]`, `usbtmc:/dev/…`; an IPv6 address stands
// in brackets. Errors: not_a_quantity for another form, unknown_name for another kind of
// connection, out_of_range for a port or speed that is none.
TextExpected<Address> parse_address(std::string_view text);

// The address in full, as parse_address reads it: "tcp:192.0.2.7:5025".
std::string to_text(const Address& address);

// The speeds that a serial line may have, in baud.
std::span<const unsigned> serial_speeds();

}  // namespace gapwright
