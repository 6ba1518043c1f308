// What `check` and `report` share: reads a link file, proves it, says on the terminal what went
// wrong.
#pragma once

#include <cstdint>
#include <expected>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "source/diagnostics.hpp"

namespace gapwright {

struct Proof;

// The options of every command that proves a link.
struct ProveOptions {
    std::string file;
    bool nominal = false;
    bool json = false;
    std::uint64_t samples = 100000;
    std::uint64_t timed_samples = 20'000;
    std::uint64_t seed = 1;
    std::string temperature;  // as typed; empty for the link's own range
};

struct ProvenLink {
    Link link;
    LinkCircuit circuit;
    std::shared_ptr<const Proof> proof;  // always there
};

// The temperature of --temperature in K, or the problem with it shown like that of a file.
std::expected<std::optional<double>, Problems> temperature_option(const std::string& typed);

// With progress on the terminal for long work. `outputs` are looked at once the inputs are read. An
// error has been told when this returns; its exit status is the result.
std::expected<ProvenLink, ExitStatus> prove_file(const ProveOptions& options,
                                                 const Outputs& outputs,
                                                 const std::stop_token& stop);

// The exit status that a proof calls for; a warning is told on stderr.
ExitStatus status_of(const Proof& proof);

}  // namespace gapwright
