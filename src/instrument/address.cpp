#include "instrument/address.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <variant>
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr std::array<unsigned, 9> speeds = {1200,  2400,  4800,   9600,  19200,
                                            38400, 57600, 115200, 230400};
constexpr std::string_view example =
    "write for example tcp:192.0.2.7:5025, serial:/dev/ttyUSB0:9600 or usbtmc:/dev/usbtmc0";
constexpr std::size_t longest_host = 253;  // of a name in the DNS
constexpr std::size_t longest_device = 255;

std::unexpected<TextError> wrong(Cause cause, std::size_t begin, std::size_t end,
                                 std::string message) {
    return std::unexpected(TextError{cause, begin, end, std::move(message), std::string(example)});
}

std::optional<unsigned> whole_number(std::string_view text) {
    unsigned value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return value;
}

bool is_host(std::string_view host, bool bracketed) {
    const auto fits = [&](char c) {
        const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        const bool digit = c >= '0' && c <= '9';
        if (bracketed) return letter || digit || c == ':' || c == '.' || c == '%';
        return letter || digit || c == '.' || c == '-' || c == '_';
    };
    return !host.empty() && host.size() <= longest_host && std::ranges::all_of(host, fits) &&
           host.front() != '-';
}

// `rest` starts at byte `at` of the whole text.
TextExpected<Address> parse_tcp(std::string_view rest, std::size_t at, bool port_needed) {
    TcpAddress address;
    const std::size_t end = at + rest.size();
    std::string_view host = rest;
    std::optional<std::string_view> port;
    const bool bracketed = rest.starts_with('[');
    if (bracketed) {
        const std::size_t close = rest.find(']');
        if (close == std::string_view::npos) {
            return wrong(Cause::not_a_quantity, at, end,
                         "the bracket of the address is not closed");
        }
        host = rest.substr(1, close - 1);
        const std::string_view after = rest.substr(close + 1);
        if (after.starts_with(':')) port = after.substr(1);
        if (!after.empty() && !port) {
            return wrong(Cause::not_a_quantity, at + close + 1, end, "only a port may follow");
        }
    } else if (const std::size_t colon = rest.find(':'); colon != std::string_view::npos) {
        host = rest.substr(0, colon);
        port = rest.substr(colon + 1);
    }
    if (!is_host(host, bracketed)) {
        return wrong(Cause::not_a_quantity, at, end, "this is no host name or address");
    }
    address.host = host;
    if (port) {
        const auto number = whole_number(*port);
        if (!number || *number < 1 || *number > 65535) {
            return wrong(Cause::out_of_range, end - port->size(), end,
                         "a port is a whole number from 1 to 65535");
        }
        address.port = static_cast<std::uint16_t>(*number);
    } else if (port_needed) {
        return wrong(Cause::not_a_quantity, at, end, "this is no address of an instrument");
    }
    return address;
}

std::optional<TextError> find_no_device(std::string_view device, std::size_t at) {
    const auto odd = [](char c) { return c <= ' ' || c > '~'; };
    if (device.size() > 1 && device.size() <= longest_device && device.starts_with('/') &&
        std::ranges::none_of(device, odd)) {
        return std::nullopt;
    }
    return TextError{Cause::not_a_quantity, at, at + device.size(),
                     "the device is named by its path, which starts with \"/\"",
                     std::string(example)};
}

TextExpected<Address> parse_serial(std::string_view rest, std::size_t at) {
    SerialAddress address;
    const std::size_t colon = rest.rfind(':');
    const std::string_view device = rest.substr(0, colon);
    if (auto error = find_no_device(device, at)) return std::unexpected(*error);
    address.device = device;
    if (colon != std::string_view::npos) {
        const auto baud = whole_number(rest.substr(colon + 1));
        if (!baud || std::ranges::find(speeds, *baud) == speeds.end()) {
            return wrong(Cause::out_of_range, at + colon + 1, at + rest.size(),
                         fmt::format("a serial line runs at {} Bd", fmt::join(speeds, ", ")));
        }
        address.baud = *baud;
    }
    return address;
}

}  // namespace

std::span<const unsigned> serial_speeds() {
    return speeds;
}

TextExpected<Address> parse_address(std::string_view text) {
    const std::size_t colon = text.find(':');
    const std::string_view kind = text.substr(0, colon);
    const std::size_t at = colon == std::string_view::npos ? text.size() : colon + 1;
    const std::string_view rest = text.substr(at);
    if (kind == "tcp") return parse_tcp(rest, at, false);
    if (kind == "serial") return parse_serial(rest, at);
    if (kind == "usbtmc") {
        if (auto error = find_no_device(rest, at)) return std::unexpected(*error);
        return UsbtmcAddress{std::string(rest)};
    }
    // A path behind a kind that is not known is a slip in the kind, not a port.
    if (rest.starts_with('/')) {
        return wrong(Cause::unknown_name, 0, kind.size(),
                     fmt::format("no connection is of kind \"{}\"{}", kind,
                                 did_you_mean(kind, {"tcp", "serial", "usbtmc"})));
    }
    return parse_tcp(text, 0, true);
}

std::string to_text(const Address& address) {
    if (const auto* tcp = std::get_if<TcpAddress>(&address)) {
        const bool v6 = tcp->host.find(':') != std::string::npos;
        return fmt::format("tcp:{}{}{}:{}", v6 ? "[" : "", tcp->host, v6 ? "]" : "", tcp->port);
    }
    if (const auto* serial = std::get_if<SerialAddress>(&address)) {
        return fmt::format("serial:{}:{}", serial->device, serial->baud);
    }
    return "usbtmc:" + std::get<UsbtmcAddress>(address).device;
}

}  // namespace gapwright
