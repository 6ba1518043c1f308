#include "app/prove_file.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <condition_variable>
#include <csignal>
#include <cstring>
#include <mutex>
#include <stop_token>
#include <thread>

#include "device/constants.hpp"
#include "report/verdict_json.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

volatile std::sig_atomic_t interrupted = 0;
void note_interrupt(int) {
    interrupted = 1;
}

// While it lives, Ctrl-C asks for a stop in place of ending the program.
class InterruptGuard {
  public:
    InterruptGuard() {
        interrupted = 0;
        previous_ = std::signal(SIGINT, note_interrupt);
        watcher_ = std::jthread([this](const std::stop_token& end) {
            std::mutex mutex;
            std::unique_lock lock(mutex);
            while (!end.stop_requested()) {
                if (interrupted) stop_.request_stop();
                ended_.wait_for(lock, end, std::chrono::milliseconds(20), [] { return false; });
            }
        });
    }
    ~InterruptGuard() { std::signal(SIGINT, previous_); }
    InterruptGuard(const InterruptGuard&) = delete;
    InterruptGuard& operator=(const InterruptGuard&) = delete;

    std::stop_token token() const { return stop_.get_token(); }

  private:
    std::stop_source stop_;
    std::condition_variable_any ended_;
    void (*previous_)(int) = nullptr;
    std::jthread watcher_;
};

// A line on the terminal that says how far the population is; silent for the first second.
class Progress {
  public:
    explicit Progress(std::size_t total) : total_(total), shown_(isatty(STDERR_FILENO) != 0) {}
    ~Progress() {
        if (written_) fmt::print(stderr, "\r\x1b[K");
    }
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    void operator()(std::size_t done) {
        constexpr std::chrono::seconds patience(1);
        if (!shown_ || std::chrono::steady_clock::now() - begin_ < patience) return;
        const std::lock_guard lock(mutex_);
        const std::size_t hundredth = done * 100 / total_;
        if (hundredth <= last_ || done > total_) return;
        last_ = hundredth;
        written_ = true;
        fmt::print(stderr, "\r{} of {} specimens; Ctrl-C stops and tells what these say", done,
                   total_);
        std::fflush(stderr);
    }

  private:
    std::chrono::steady_clock::time_point begin_ = std::chrono::steady_clock::now();
    std::size_t total_;
    bool shown_;
    std::mutex mutex_;
    std::size_t last_ = 0;
    bool written_ = false;
};

ExitStatus refuse(const Problems& problems, bool json) {
    if (json) write_out(problems_json(problems));
    fmt::print(stderr, "{}", to_text(problems));
    return exit_bad_input;
}

// The temperature of --temperature in K, or the problem with it shown like that of a file.
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

}  // namespace

std::expected<ProvenLink, ExitStatus> prove_file(const ProveOptions& options) {
    const auto refused = [&](const Problems& problems) {
        return std::unexpected(refuse(problems, options.json));
    };
    const auto temperature = temperature_option(options.temperature);
    if (!temperature) return refused(temperature.error());
    auto link = read_link_file(options.file);
    if (!link) return refused(link.error());
    auto circuit = build_circuit(*link);
    if (!circuit) return refused(circuit.error());

    const InterruptGuard interrupt;
    ProofOptions proof_options{.nominal_only = options.nominal,
                               .samples = options.samples,
                               .seed = options.seed,
                               .temperature = *temperature,
                               .engine = {}};
    proof_options.engine.stop = interrupt.token();
    std::expected<Proof, ProofFailure> proof;
    {
        Progress progress(options.samples);
        proof_options.engine.progress = [&](std::size_t done) { progress(done); };
        proof = prove(*link, *circuit, proof_options);
    }
    if (!proof) {
        if (options.json) write_out(failure_json(proof.error().message));
        fmt::print(stderr, "gapwright: {}\n", proof.error().message);
        return std::unexpected(exit_failed);
    }
    return ProvenLink{std::move(*link), std::move(*circuit), std::move(*proof)};
}

ExitStatus status_of(const Proof& proof) {
    if (proof.asked > proof.samples) {
        fmt::print(stderr,
                   "gapwright: stopped after {} of {} specimens: the verdict rests on these\n",
                   proof.samples, proof.asked);
        return exit_failed;
    }
    if (proof.verdict == Verdict::broken) return exit_broken;
    if (proof.unjudged) {
        fmt::print(stderr, "gapwright: a promise about a change of state could not be judged\n");
        return exit_failed;
    }
    if (proof.verdict == Verdict::thin) {
        fmt::print(stderr, "gapwright: warning: kept, but with less than the asked reserve\n");
    }
    return exit_kept;
}

bool write_out(const std::string& text) {
    const bool whole = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
    if (whole && std::fflush(stdout) == 0) return true;
    fmt::print(stderr, "gapwright: the output could not be written: {}\n", std::strerror(errno));
    return false;
}

}  // namespace gapwright
