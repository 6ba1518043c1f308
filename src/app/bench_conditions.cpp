#include "app/bench_conditions.hpp"

#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "app/bench_command.hpp"
#include "app/exit_status.hpp"
#include "app/terminal.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "device/constants.hpp"
#include "fit/link_cards.hpp"
#include "link/link.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

Diagnostic refused(const char* option, const std::string& text, const TextError& e) {
    Diagnostic problem;
    problem.cause = e.cause;
    problem.place = {std::make_shared<const SourceText>(option, text), e.begin, e.end};
    problem.message = e.message;
    problem.remedy = e.remedy;
    return problem;
}

// An option's text as a range.
Expected<Spread> typed(const char* option, const std::string& text, Dimension dimension) {
    const auto parsed = parse_spread(text, dimension);
    if (parsed) return *parsed;
    return std::unexpected(only(refused(option, text, parsed.error())));
}

}  // namespace

OrStatus<Bench> bench_of(const BenchCommandOptions& options) {
    auto link = read_checked_link_file(options.file);
    if (!link) return std::unexpected(refuse(link.error(), options.json));
    Bench bench{.link = std::move(*link)};
    bench.stated_light = bench.link.surroundings.light;
    bench.options.seed = options.seed;
    if (!options.temperature.empty()) {
        const auto range = typed("--temperature", options.temperature, Dimension::temperature);
        if (!range) return std::unexpected(refuse(range.error(), options.json));
        if (range->lowest < coldest_temperature || range->highest > hottest_temperature) {
            return std::unexpected(
                refuse(only(refused("--temperature", options.temperature,
                                    {.cause = Cause::out_of_range,
                                     .begin = 0,
                                     .end = options.temperature.size(),
                                     .message = "the models hold from −55 to 125 °C",
                                     .remedy = ""})),
                       options.json));
        }
        bench.options.temperature = *range;
    }
    if (!options.light.empty()) {
        const auto light = typed("--light", options.light, Dimension::illuminance);
        if (!light) return std::unexpected(refuse(light.error(), options.json));
        bench.link.surroundings.light = *light;
    }
    if (!options.age.empty()) {
        const auto age = typed("--age", options.age, Dimension::time);
        if (!age) return std::unexpected(refuse(age.error(), options.json));
        bench.options.age = age->highest;
    }
    return bench;
}

std::optional<ExitStatus> refuse_without_readings(const BenchCommandOptions& options) {
    const bool measured = options.enter || !options.readings.empty();
    if (!measured &&
        (options.prove || options.record || !options.who.empty() || !options.specimen.empty())) {
        Diagnostic problem;
        problem.cause = Cause::missing_key;
        problem.message = "--prove, --record, --who and --specimen are about readings";
        problem.remedy = "give some with --readings FILE, or with --enter";
        return refuse(only(problem), options.json);
    }
    return std::nullopt;
}

}  // namespace gapwright
