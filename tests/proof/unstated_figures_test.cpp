// A figure that nobody states lies anywhere in the range of its kind: a promise that holds at one
// end and breaks at the other is not known, one that breaks at both is broken, one that holds at
// both is kept. The ends are measured here by single specimens.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <stdexcept>
#include <string>
#include <vector>

#include "circuit/link_point.hpp"
#include "population/specimen.hpp"
#include "proof/every_kind_link.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "proof/rest/promise_probe.hpp"
#include "support/link_text.hpp"

namespace gapwright {
namespace {

using testing_support::link_from;

// What is left out, from which table of the file, and a promise that depends on it.
struct Row {
    std::string table;
    std::string key;
    std::string promise;
};

const std::vector<Row>& rows() {
    static const std::vector<Row> all{
        {"P1", "resistance", "state = \"on\"\ncurrent = \"R1\"\n"},
        {"L1", "leakage", "state = \"on\"\nvoltage = \"in\"\n"},
        {"S2", "closed_resistance", "state = \"on\"\nvoltage = \"s\"\n"},
        {"S3", "open_resistance", "state = \"on\"\nvoltage = \"t\"\n"},
        {"D1", "ideality", "state = \"on\"\nvoltage = \"d\"\n"},
        {"D1", "series_resistance", "state = \"on\"\nvoltage = \"d\"\n"},
        {"D2", "ideality", "state = \"on\"\ncurrent = \"D2\"\n"},
        {"D2", "forward_slope", "state = \"on\"\ncurrent = \"D2\"\n"},
        {"D2", "series_resistance", "state = \"on\"\ncurrent = \"D2\"\n"},
        {"Z1", "zener_resistance", "state = \"on\"\nvoltage = \"z\"\n"},
        {"Q1", "gain", "state = \"on\"\nvoltage = \"signal\"\n"},
        {"Q1", "collector_resistance", "state = \"on\"\nvoltage = \"signal\"\n"},
        {"M1", "threshold", "state = \"on\"\nvoltage = \"drain\"\n"},
        {"M1", "threshold_slope", "state = \"on\"\nvoltage = \"drain\"\n"},
        {"M1", "transconductance", "state = \"on\"\nvoltage = \"drain\"\n"},
        {"M1", "channel_modulation", "state = \"on\"\ncurrent = \"M1\"\n"},
        {"U1.emitter", "ideality", "state = \"on\"\ncurrent = \"R1\"\n"},
        {"U1.emitter", "series_resistance", "state = \"on\"\ncurrent = \"R1\"\n"},
        {"U1.transfer", "low_knee", "state = \"on\"\nvoltage = \"held\"\n"},
        {"U1.transfer", "high_knee", "state = \"on\"\nvoltage = \"held\"\n"},
        {"U1.transfer", "temperature_coefficient", "state = \"on\"\nvoltage = \"held\"\n"},
        {"U1.transfer", "dark_current", "state = \"off\"\nvoltage = \"held\"\n"},
        {"U1.receiver", "collector_resistance", "state = \"on\"\nvoltage = \"held\"\n"},
        {"U2.emitter", "temperature_coefficient", "state = \"on\"\nvoltage = \"cell\"\n"},
        {"U2.receiver", "dark_resistance", "state = \"off\"\nvoltage = \"cell\"\n"},
        {"U3.emitter", "series_resistance", "state = \"on\"\nvoltage = \"eye\"\n"},
        {"U3.receiver", "gain", "state = \"on\"\nvoltage = \"eye\"\n"},
        {"U3.receiver", "dark_current", "state = \"on\"\nvoltage = \"eye\"\n"},
    };
    return all;
}

// The text without the key's line in that table.
std::string without(std::string text, const Row& row) {
    const auto table = text.find("[parts." + row.table + "]\n");
    const auto line = text.find("\n" + row.key + " = ", table);
    const auto next = text.find("\n[", table);
    EXPECT_NE(table, std::string::npos) << row.table;
    EXPECT_LT(line, next) << row.table << " " << row.key;
    return text.erase(line, text.find('\n', line + 1) - line);
}

std::string unit_of(const Row& row) {
    return row.promise.contains("current") ? "A" : "V";
}

std::string bound(const std::string& key, double value, const Row& row) {
    char text[40];
    std::snprintf(text, sizeof text, "%.12g", value);
    return key + " = \"" + text + " " + unit_of(row) + "\"\n";
}

struct Loaded {
    Link link;
    LinkCircuit circuit;
};

Loaded loaded(const std::string& text) {
    auto link = link_from(text);
    if (!link) throw std::runtime_error(to_text(link.error()));
    auto circuit = build_circuit(*link);
    if (!circuit) throw std::runtime_error(to_text(circuit.error()));
    return {std::move(*link), std::move(*circuit)};
}

// The promised quantity at the two ends of the range of the figure that is left out.
struct Ends {
    double lesser;
    double greater;
};

Ends ends_of(const Row& row) {
    const auto l = loaded(without(every_kind_link(), row) + row.promise + "at_least = \"-1 k" +
                          unit_of(row) + "\"\n");
    std::vector<std::size_t> vary;
    for (std::size_t k = 0; k < l.circuit.parameters.size(); ++k) {
        if (l.circuit.parameters[k].spread.varies()) vary.push_back(k);
    }
    EXPECT_EQ(vary.size(), 1U) << row.table << " " << row.key;
    const auto& figure = l.circuit.parameters.at(vary.at(0));
    EXPECT_TRUE(figure.assumed) << l.circuit.name_of(static_cast<Slot>(vary.at(0)));
    const auto probe = promise_probe(l.link.promises.at(0), l.circuit);
    const auto at = [&](double value) {
        Specimen s = nominal_specimen(l.circuit, condition_ranges(l.link));
        s.values[vary[0]] = value;
        const auto points = solve_link(l.circuit.circuit, s.values, s.conditions);
        if (!points)
            throw std::runtime_error(l.circuit.name_of(static_cast<Slot>(vary.at(0))) +
                                     " has no solution");
        return measure(probe, (*points)[l.link.promises[0].state]);
    };
    const auto [lesser, greater] =
        std::minmax({at(figure.spread.lowest), at(figure.spread.highest)});
    return {lesser, greater};
}

void expect_verdict(const Row& row, const std::string& bound, const std::string& expected) {
    const auto l = loaded(without(every_kind_link(), row) + row.promise + bound);
    ProofOptions options;
    options.samples = 300;
    options.limits_on_the_way = false;
    options.stretch = false;
    const auto proof = prove(l.link, l.circuit, options);
    ASSERT_TRUE(proof) << proof.error().message;
    const auto& p = proof->promises.at(0);
    const std::string which = row.table + " " + row.key + ", " + bound;
    EXPECT_EQ(verdict_name(p.verdict), expected) << which << p.lowest << " … " << p.highest;
    if (expected != "unknown") return;
    std::string words = row.key;
    std::ranges::replace(words, '_', ' ');
    EXPECT_TRUE(p.reason.contains(words) || p.reason.contains(row.key))
        << which << "reason: " << p.reason;
    EXPECT_TRUE(p.reason.contains(row.table.substr(0, 2))) << which << "reason: " << p.reason;
}

TEST(UnstatedFigures, AreJudgedByBothEndsOfTheirRange) {
    EXPECT_GE(rows().size(), 20U);
    for (const auto& row : rows()) {
        const Ends e = ends_of(row);
        ASSERT_LT(e.lesser, e.greater) << row.table << " " << row.key;
        const double apart = e.greater - e.lesser;
        const double between = 0.5 * (e.lesser + e.greater);
        const auto at_most = [&](double v) { return bound("at_most", v, row); };
        const auto at_least = [&](double v) { return bound("at_least", v, row); };
        expect_verdict(row, at_most(between), "unknown");
        expect_verdict(row, at_least(between), "unknown");
        expect_verdict(row, at_most(e.greater + 0.1 * apart), "kept");
        expect_verdict(row, at_least(e.lesser - 0.1 * apart), "kept");
        expect_verdict(row, at_most(e.lesser - 0.1 * apart), "broken");
        expect_verdict(row, at_least(e.greater + 0.1 * apart), "broken");
    }
}

}  // namespace
}  // namespace gapwright
