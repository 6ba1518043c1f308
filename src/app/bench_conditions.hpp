// A link at the bench, as the options of `gapwright bench` say.
#pragma once

#include <expected>
#include <optional>

#include "app/bench_command.hpp"
#include "app/exit_status.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "link/link.hpp"
#include "units/quantity.hpp"

namespace gapwright {

template <class Value>
using OrStatus = std::expected<Value, ExitStatus>;

// The link at the bench, and how it is simulated.
struct Bench {
    Link link;  // with the light of the bench
    Spread stated_light = {};
    DictionaryOptions options = {};
};

// What was wrong with a link file or a condition is told, and its exit status returned.
OrStatus<Bench> bench_of(const BenchCommandOptions& options);

// Where an option is about readings, and there are none: told, with its exit status.
std::optional<ExitStatus> refuse_without_readings(const BenchCommandOptions& options);

}  // namespace gapwright
