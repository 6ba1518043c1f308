#include "app/prove_file.hpp"

#include <atomic>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <stop_token>
#include <string>
#include <utility>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "device/constants.hpp"
#include "fit/link_cards.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "proof/verdict.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// Says how far the population is, each hundredth once.
class PopulationProgress {
  public:
    explicit PopulationProgress(std::size_t total) : total_(total) {}

    void operator()(std::size_t done) {
        const std::size_t hundredth = done * 100 / total_;
        std::size_t last = last_;
        if (done > total_ || hundredth <= last) return;
        if (!last_.compare_exchange_strong(last, hundredth)) return;
        line_.show(
            fmt::format("{} of {} specimens; Ctrl-C stops and tells what these say", done, total_));
    }

  private:
    ProgressLine line_;
    std::size_t total_;
    std::atomic<std::size_t> last_ = 0;
};

}  // namespace

std::expected<std::optional<double>, Problems> temperature_option(const std::string& typed) {
    if (typed.empty()) return std::nullopt;
    const auto text = std::make_shared<const SourceText>("--temperature", typed);
    const auto problem = [&](Cause cause, std::size_t begin, std::size_t end, std::string message,
                             std::string remedy) {
        return Problems{{.cause = cause,
                         .place = {text, begin, end},
                         .message = std::move(message),
                         .remedy = std::move(remedy)}};
    };
    const auto parsed = parse_quantity(typed, Dimension::temperature);
    if (!parsed) {
        const auto& e = parsed.error();
        return std::unexpected(problem(e.cause, e.begin, e.end, e.message, e.remedy));
    }
    if (*parsed < coldest_temperature || *parsed > hottest_temperature) {
        return std::unexpected(problem(Cause::out_of_range, 0, typed.size(),
                                       "the models hold from −55 to 125 °C", ""));
    }
    return *parsed;
}

std::expected<ProvenLink, ExitStatus> prove_file(const ProveOptions& options,
                                                 const Outputs& outputs,
                                                 const std::stop_token& stop) {
    const auto refused = [&](const Problems& problems) {
        return std::unexpected(refuse(problems, options.json));
    };
    const auto temperature = temperature_option(options.temperature);
    if (!temperature) return refused(temperature.error());
    auto read = read_solvable_link_file(options.file);
    if (!read) return refused(read.error());
    auto& [link, circuit] = *read;
    if (const auto refusal = refuse_outputs(outputs)) return std::unexpected(*refusal);

    ProofOptions proof_options{.nominal_only = options.nominal,
                               .samples = options.samples,
                               .timed_samples = options.timed_samples,
                               .seed = options.seed,
                               .temperature = *temperature,
                               .engine = {}};
    proof_options.engine.stop = stop;
    std::expected<Proof, ProofFailure> proof;
    {
        PopulationProgress progress(options.samples);
        proof_options.engine.progress = [&](std::size_t done) { progress(done); };
        proof = prove(link, circuit, proof_options);
    }
    if (!proof) {
        return std::unexpected(fail(proof.error().message, options.json));
    }
    return ProvenLink{std::move(link), std::move(circuit),
                      std::make_shared<const Proof>(std::move(*proof))};
}

ExitStatus status_of(const Proof& proof) {
    if (proof.asked > proof.samples) {
        tell("gapwright: stopped after {} of {} specimens: the verdict rests on these\n",
             proof.samples, proof.asked);
        return exit_failed;
    }
    for (const auto& one : proof.not_judged) {
        if (!one.promised) continue;
        tell("gapwright: not judged: {}, {}: {}\n", one.what, one.state, one.reason);
        return exit_failed;
    }
    if (proof.verdict == Verdict::broken || proof.verdict == Verdict::unknown) return exit_broken;
    if (proof.verdict == Verdict::thin) {
        tell("gapwright: warning: kept, but with less than the asked reserve or stretch\n");
    }
    return exit_kept;
}

}  // namespace gapwright
