// Addresses as people write them, and slips in them.
#include "instrument/address.hpp"

#include <gtest/gtest.h>

namespace gapwright {
namespace {

TEST(Address, IsReadInEveryForm) {
    const std::vector<std::pair<std::string, Address>> forms = {
        {"tcp:192.0.2.7", TcpAddress{"192.0.2.7", 5025}},
        {"tcp:supply.bench:1234", TcpAddress{"supply.bench", 1234}},
        {"192.0.2.7:5025", TcpAddress{"192.0.2.7", 5025}},
        {"tcp:[2001:db8::7]", TcpAddress{"2001:db8::7", 5025}},
        {"[2001:db8::7]:99", TcpAddress{"2001:db8::7", 99}},
        {"serial:/dev/ttyUSB0", SerialAddress{"/dev/ttyUSB0", 9600}},
        {"serial:/dev/ttyS1:115200", SerialAddress{"/dev/ttyS1", 115200}},
        {"usbtmc:/dev/usbtmc0", UsbtmcAddress{"/dev/usbtmc0"}},
    };
    for (const auto& [text, address] : forms) {
        const auto read = parse_address(text);
        ASSERT_TRUE(read) << text << ": " << read.error().message;
        EXPECT_EQ(*read, address) << text;
        EXPECT_EQ(*parse_address(to_text(*read)), address) << to_text(*read);
    }
}

TEST(Address, SlipsAreToldWithAnExample) {
    struct Slip {
        std::string text;
        Cause cause;
        std::string under;  // the bytes that are wrong
        std::string told;
    };
    const std::vector<Slip> slips = {
        {"", Cause::not_a_quantity, "", "no host"},
        {"supply", Cause::not_a_quantity, "supply", "no address"},
        {"tcp:", Cause::not_a_quantity, "", "no host"},
        {"tcp:a b:1", Cause::not_a_quantity, "a b:1", "no host"},
        {"tcp:-x", Cause::not_a_quantity, "-x", "no host"},
        {"tcp:host:0", Cause::out_of_range, "0", "1 to 65535"},
        {"tcp:host:65536", Cause::out_of_range, "65536", "1 to 65535"},
        {"tcp:host:50x", Cause::out_of_range, "50x", "1 to 65535"},
        {"host:", Cause::out_of_range, "", "1 to 65535"},
        {"tcp:[::1", Cause::not_a_quantity, "[::1", "bracket"},
        {"tcp:[::1]5025", Cause::not_a_quantity, "5025", "only a port"},
        {"serial:ttyUSB0", Cause::not_a_quantity, "ttyUSB0", "path"},
        {"serial:/dev/ttyUSB0:9601", Cause::out_of_range, "9601", "9600"},
        {"usbtmc:", Cause::not_a_quantity, "", "path"},
        {"serail:/dev/ttyUSB0", Cause::unknown_name, "serail", "did you mean \"serial\""},
    };
    for (const Slip& slip : slips) {
        const auto read = parse_address(slip.text);
        ASSERT_FALSE(read) << slip.text;
        EXPECT_EQ(read.error().cause, slip.cause) << slip.text;
        EXPECT_EQ(slip.text.substr(read.error().begin, read.error().end - read.error().begin),
                  slip.under)
            << slip.text;
        EXPECT_NE(read.error().message.find(slip.told), std::string::npos) << read.error().message;
        EXPECT_NE(read.error().remedy.find("tcp:192.0.2.7:5025"), std::string::npos);
    }
}

}  // namespace
}  // namespace gapwright
