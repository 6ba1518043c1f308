// Small links and drawers of which a test can look at every set of values, by its own means.
#pragma once

#include <array>
#include <random>
#include <string>
#include <vector>

#include "design/values/value_search.hpp"
#include "need_support.hpp"
#include "proof/proof.hpp"

namespace gapwright::testing_support {

// A link whose resistors to be chosen are written with `{}` as their value.
struct ValueCase {
    std::string text;
    std::vector<std::string> chosen;    // their names
    std::vector<std::string> supplies;  // parts whose currents the supplies give, all together
    Stock stock;
    std::vector<DrawerRow> rows;
    std::size_t most_parts = 1;

    // The link with this text as the value of every resistor to be chosen.
    std::string with(const std::string& value) const {
        std::string result = text;
        for (std::size_t at; (at = result.find("{}")) != std::string::npos;) {
            result.replace(at, 2, value);
        }
        return result;
    }
};

inline DrawerRow resistor_row(double ohms, double tolerance, std::optional<double> power = {},
                              std::optional<unsigned> count = {}) {
    return {.kind = Kind::resistor,
            .value = Spread{ohms, ohms * (1 - tolerance), ohms * (1 + tolerance)},
            .power = power,
            .count = count,
            .card = {},
            .note = {},
            .place = {}};
}

// One resistance that a test made of rows.
struct MadeChoice {
    std::vector<std::size_t> rows;
    Spread value;
    std::optional<double> power;
};

// All of the rows' singles, pairs and triples of up to so many parts, in series and in parallel.
std::vector<MadeChoice> made_choices(const std::vector<DrawerRow>& rows, std::size_t most_parts);

// What one set comes to, as a proof of the link with its values says.
struct Judged {
    std::vector<MadeChoice> set;
    double reserve = 0;  // least
    std::size_t parts = 0;
    double current = 0;  // A
};

// Every set for which there are parts enough.
std::vector<Judged> judge_all(const ValueCase& c);

// Case number `k` of a family without end.
ValueCase made_case(unsigned k);

}  // namespace gapwright::testing_support
