#include "reference/drawn_charts/tally.hpp"

#include <algorithm>
#include <array>
#include <cstdio>

namespace gapwright::drawn_charts {
namespace {

template <class... Values>
std::string printed(const char* pattern, Values... values) {
    std::array<char, 400> text{};
    std::snprintf(text.data(), text.size(), pattern, values...);
    return text.data();
}

bool is_wrong(Reading reading) {
    return reading == Reading::cautioned || reading == Reading::silent;
}

const char* word(Reading reading) {
    switch (reading) {
        case Reading::right:
            return "right";
        case Reading::part:
            return "in part";
        case Reading::cautioned:
            return "wrong, cautioned";
        case Reading::silent:
            return "WRONG WITHOUT A WORD";
        case Reading::refused:
            return "refused";
    }
    return "";
}

}  // namespace

void Tally::add(const Chart& chart, const Answer& answer) {
    ++charts;
    bool all_right = true;
    int due = 0;
    int written = 0;
    for (const Judged& one : answer.curves) {
        if (!one.due) {
            ++traps;
            followed += is_wrong(one.reading) ? 1 : 0;
            continue;
        }
        ++due;
        written += one.reading == Reading::refused ? 0 : 1;
        ++curves;
        readable += chart.recipe.caution_due ? 0 : 1;
        readable_right += !chart.recipe.caution_due && one.reading == Reading::right ? 1 : 0;
        right += one.reading == Reading::right ? 1 : 0;
        part += one.reading == Reading::part ? 1 : 0;
        cautioned += one.reading == Reading::cautioned ? 1 : 0;
        silent += one.reading == Reading::silent ? 1 : 0;
        refused += one.reading == Reading::refused ? 1 : 0;
        const bool told = one.reading == Reading::cautioned && answer.wrong_by > 0;
        understated += told && one.worst > 1.5 * answer.wrong_by ? 1 : 0;
        points += one.points;
        covered += one.covered;
        squares += one.squares;
        all_right = all_right && one.reading == Reading::right;
    }
    const bool caution_due = chart.recipe.caution_due;
    needless += !caution_due && due > 0 && all_right && answer.cautioned ? 1 : 0;
    missing += caution_due && written > 0 && !answer.cautioned ? 1 : 0;
    lost_others += chart.lost >= 0 && written == 0 ? 1 : 0;
}

void Tally::add_second(const Answer& first, const Answer& answer) {
    const auto again = wanting(first);
    for (std::size_t j = 0; j < again.size(); ++j) {
        const Judged& one = answer.curves[j];
        if (!again[j]) continue;
        second += one.reading == Reading::right ? 1 : 0;
        silent += one.reading == Reading::silent ? 1 : 0;
    }
}

void Tally::add(const Tally& other) {
    charts += other.charts;
    curves += other.curves;
    right += other.right;
    readable += other.readable;
    readable_right += other.readable_right;
    part += other.part;
    cautioned += other.cautioned;
    silent += other.silent;
    refused += other.refused;
    traps += other.traps;
    followed += other.followed;
    needless += other.needless;
    missing += other.missing;
    understated += other.understated;
    second += other.second;
    lost_others += other.lost_others;
    points += other.points;
    covered += other.covered;
    squares += other.squares;
}

std::vector<bool> wanting(const Answer& answer) {
    std::vector<bool> all;
    for (const Judged& one : answer.curves) {
        all.push_back(one.due && (one.reading == Reading::refused || one.reading == Reading::part));
    }
    return all;
}

std::string remarks(const Chart& chart, const Answer& answer) {
    std::string text;
    for (std::size_t j = 0; j < answer.curves.size(); ++j) {
        const Judged& one = answer.curves[j];
        const double share = one.points == 0 ? 1 : double(one.covered) / one.points;
        const bool well =
            one.due ? one.reading == Reading::right && share >= 0.5 : !is_wrong(one.reading);
        if (well) continue;
        text +=
            printed("  %-32s curve %zu%s: %s, worst %.2f %%, extent %.0f %%, covered %d of %d\n",
                    chart.name.c_str(), j + 1, one.due ? "" : " (a trap)", word(one.reading),
                    100 * one.worst, 100 * one.extent, one.covered, one.points);
    }
    if (chart.recipe.caution_due && !answer.cautioned) {
        text += "  " + chart.name + ": no caution\n";
    }
    return text.empty() ? text : text + "    gapwright " + answer.command + "\n" + answer.said;
}

std::string table(const std::vector<Tally>& tallies) {
    std::string text =
        printed("%-28s %6s %6s %5s %7s %6s %7s %9s %6s %5s %8s %8s %7s %8s %6s\n", "style",
                "charts", "curves", "right", "in part", "second", "refused", "cautioned", "silent",
                "traps", "followed", "needless", "missing", "coverage", "spread");
    for (const Tally& one : tallies) {
        text += printed("%-28s %6d %6d %5d %7d %6d %7d %9d %6d %5d %8d %8d %7d %7.1f%% %6.2f\n",
                        one.name.c_str(), one.charts, one.curves, one.right, one.part, one.second,
                        one.refused, one.cautioned, one.silent, one.traps, one.followed,
                        one.needless, one.missing, 100 * one.coverage(), one.spread());
    }
    return text;
}

}  // namespace gapwright::drawn_charts
