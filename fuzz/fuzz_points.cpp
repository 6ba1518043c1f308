// Any bytes as a CSV of points: errors with text, or points; what they say of each kind; a card of
// an LED where there are a few of them.
#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "card/default_card.hpp"
#include "fit/card_file.hpp"

namespace {

using namespace gapwright;

constexpr std::size_t few = 12;  // points that are fitted quickly

void must(bool holds) {
    if (!holds) std::abort();
}

// What was read can be written, and read again.
void check_round_trip(const std::vector<MeasuredPoint>& points) {
    const auto again =
        read_points_csv(std::make_shared<const SourceText>("again.csv", points_csv(points)));
    must(points.empty() || again.has_value());
    const auto toml =
        read_toml(std::make_shared<const SourceText>("again.card.toml", points_toml(points)));
    must(toml.has_value());
    Problems problems;
    must(read_points(toml->root, problems).size() == points.size());
}

void check_fit(const std::vector<MeasuredPoint>& points) {
    const auto fit = fit_card(*default_card(Kind::led), points);
    if (!fit) {
        must(!fit.error().problems.empty() || !fit.error().message.empty());
        return;
    }
    must(!fit->figures.empty());
    for (const auto& figure : fit->figures) {
        must(std::isfinite(figure.value));
        must(figure.lowest <= figure.value && figure.value <= figure.highest);
    }
    const std::string text = card_file_text(*fit, points, {"fuzz", "", "fuzz"});
    must(read_toml(std::make_shared<const SourceText>("fuzz.card.toml", text)).has_value());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto text = std::make_shared<const SourceText>(
        "fuzz.csv", std::string(reinterpret_cast<const char*>(data), size));
    const auto table = read_points_csv(text);
    const Problems& problems = table ? table->skipped : table.error();
    must(table || !problems.empty());
    must(problems.empty() || !to_text(problems).empty());
    if (!table) return 0;
    check_round_trip(table->points);
    for (const auto& rule : kind_rules()) {
        const auto found = observations_of(rule.kind, table->points);
        must(found ? !found->empty() : !to_text(found.error()).empty());
        if (!found) continue;
        for (const auto& o : *found) must(o.value > 0 && o.point < table->points.size());
        if (rule.kind == Kind::led && found->size() <= few) check_fit(table->points);
    }
    return 0;
}
