// Supplies and a meter on loopback ports, with a simulated LED between them.
//
//   simulated_bench [--mishap KIND:supply|meter|feed:MESSAGE]… [--open] [--refuse-for SECONDS]
//                   [--shunt OHMS] [--fed] [--step AMPERES] [--slow-by SECONDS]
//
// --shunt: the meter is across it; --fed: a second supply feeds a receiver of the LED's light, the
// meter in its line; --step: in which supplies hold and show currents; --slow-by: each answer.
//
// Prints "supply PORT", "meter PORT" and "feed PORT", serves until its input ends or a signal
// comes, answers a line "output" on its input with "output on" or "output off" (on: any of them),
// and prints the same at the end: the truth, not what the supplies say. Exit status 0 when the
// outputs are off then, 3 when on.
#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

#include <charconv>
#include <csignal>
#include <cstdio>
#include <cstring>

#include "simulated_server.hpp"

namespace {

using namespace gapwright::testing_support;

volatile std::sig_atomic_t ended = 0;
void end(int) {
    ended = 1;
}

template <class Number>
bool read_number(std::string_view text, Number& number) {
    const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    return error == std::errc() && stop == text.data() + text.size();
}

bool read_mishap(std::string_view text, MishapAt& mishap) {
    const std::size_t first = text.find(':');
    const std::size_t last = text.rfind(':');
    if (first == std::string_view::npos || first == last) return false;
    const std::string_view role = text.substr(first + 1, last - first - 1);
    if (role != "supply" && role != "meter" && role != "feed") return false;
    mishap.role = role == "supply" ? Role::supply : role == "meter" ? Role::meter : Role::feed;
    if (!read_number(text.substr(last + 1), mishap.message)) return false;
    for (int k = 0; k < mishap_count; ++k) {
        mishap.kind = static_cast<Mishap>(k);
        if (mishap_name(mishap.kind) == text.substr(0, first)) return true;
    }
    return false;
}

int usage() {
    fmt::print(stderr,
               "usage: simulated_bench [--mishap KIND:supply|meter|feed:MESSAGE]... [--open] "
               "[--refuse-for SECONDS] [--shunt OHMS] [--fed] [--step AMPERES] "
               "[--slow-by SECONDS]\nkinds:");
    for (int k = 0; k < mishap_count; ++k) {
        fmt::print(stderr, " {}", mishap_name(static_cast<Mishap>(k)));
    }
    fmt::print(stderr, "\n");
    return 2;
}

void tell(const SimulatedBench& bench) {
    fmt::print("output {}\n", bench.output_is_on() ? "on" : "off");
    std::fflush(stdout);
}

}  // namespace

int main(int count, char** words) {
    BenchSettings settings;
    for (int k = 1; k < count; ++k) {
        const std::string word = words[k];
        if (word == "--open") {
            settings.led.open = true;
        } else if (word == "--mishap" && k + 1 < count) {
            MishapAt mishap;
            if (!read_mishap(words[++k], mishap)) return usage();
            settings.mishaps.push_back(mishap);
        } else if (word == "--refuse-for" && k + 1 < count) {
            if (!read_number(std::string_view(words[++k]), settings.refuse_for)) return usage();
        } else if (word == "--fed") {
            settings.fed = true;
        } else if (word == "--shunt" && k + 1 < count) {
            settings.leads = MeterLeads::shunt;
            if (!read_number(std::string_view(words[++k]), settings.shunt)) return usage();
        } else if (word == "--step" && k + 1 < count) {
            if (!read_number(std::string_view(words[++k]), settings.set_step)) return usage();
            settings.read_step = settings.set_step;
        } else if (word == "--slow-by" && k + 1 < count) {
            if (!read_number(std::string_view(words[++k]), settings.slow_by)) return usage();
        } else {
            return usage();
        }
    }
    std::signal(SIGTERM, end);
    std::signal(SIGINT, end);
    SimulatedBench bench(settings);
    {
        SimulatedServer server(bench);
        fmt::print("supply {}\nmeter {}\nfeed {}\n", server.port(Role::supply),
                   server.port(Role::meter), server.port(Role::feed));
        std::fflush(stdout);
        std::string typed;
        while (ended == 0) {
            pollfd input = {.fd = STDIN_FILENO, .events = POLLIN, .revents = 0};
            if (::poll(&input, 1, 100) <= 0) continue;
            char block[256];
            const auto got = ::read(STDIN_FILENO, block, sizeof block);
            if (got <= 0) break;
            typed.append(block, static_cast<std::size_t>(got));
            for (std::size_t at; (at = typed.find('\n')) != std::string::npos;) {
                if (typed.substr(0, at) == "output") tell(bench);
                typed.erase(0, at + 1);
            }
        }
    }
    tell(bench);
    return bench.output_is_on() ? 3 : 0;
}
