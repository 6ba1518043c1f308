#include "app/bench_command.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <functional>
#include <future>
#include <iostream>
#include <memory>
#include <mutex>
#include <optional>
#include <stop_token>
#include <string>
#include <utility>
#include <vector>

#include "app/bench_conditions.hpp"
#include "app/bench_prompt.hpp"
#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "bench/faults/misplaced.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/reasoning/bench_verdict.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "bench/sessions/bench_record.hpp"
#include "bench/sessions/built_link.hpp"
#include "bench/sessions/guided_session.hpp"
#include "bench/sessions/readings_file.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "bench/sessions/verdict_record.hpp"
#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/plan_board.hpp"
#include "board/plan_table.hpp"
#include "board/read_back.hpp"
#include "board/wiring.hpp"
#include "build/plan_file.hpp"
#include "build/wiring_of_link.hpp"
#include "folder/output_file.hpp"
#include "link/link.hpp"
#include "population/engine.hpp"
#include "proof/prove.hpp"
#include "report/bench_report.hpp"
#include "report/words/built_words.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

// None where the link stands on no board.
OrStatus<std::optional<Plan>> stated_plan(const BenchCommandOptions& options,
                                          const Wiring& wiring) {
    if (options.plan.empty()) return std::nullopt;
    const auto text = read_file(options.plan);
    if (!text) return std::unexpected(refuse(text.error(), options.json));
    const auto table = read_plan_csv(*text);
    if (!table) return std::unexpected(refuse(table.error(), options.json));
    const auto faults = read_back(*table, wiring);
    if (faults.empty()) return plan_of(*table, wiring);
    Diagnostic problem;
    problem.cause = Cause::contradiction;
    problem.place = {*text, 0, 0};
    problem.message = "this plan is not the link's: " + faults.front().text;
    problem.remedy = "gapwright build LINK --plan tells all of it";
    return std::unexpected(refuse(only(problem), options.json));
}

OrStatus<std::optional<Plan>> new_plan(const BenchCommandOptions& options, const Wiring& wiring,
                                       const std::stop_token& stop) {
    if (options.board.empty()) return std::nullopt;
    PlanOptions plan{.kind = *board_kind_named(options.board), .seed = options.seed};
    plan.stop = [&] { return stop.stop_requested(); };
    auto planned = plan_board(wiring, plan);
    if (!planned) return std::unexpected(fail(planned.error().message, options.json));
    return std::move(*planned);
}

// A text of readings; none where no file is named.
OrStatus<std::shared_ptr<const SourceText>> text_of_readings(const BenchCommandOptions& options) {
    if (options.readings.empty()) return nullptr;
    auto text = read_file(options.readings);
    if (!text) return std::unexpected(refuse(text.error(), options.json));
    return std::move(*text);
}

// What is known before anything is read.
struct Simulated {
    FaultDictionary dictionary;
    TestSheet sheet;
    std::vector<ReadingBand> bands;
};

OrStatus<Simulated> simulated(const BenchCommandOptions& options, const Bench& bench,
                              const Wiring& wiring, const std::optional<Plan>& plan,
                              const EngineOptions& engine, const std::atomic<bool>& quiet) {
    std::optional<ProgressLine> line;
    DictionaryOptions how = bench.options;
    how.engine = engine;
    std::mutex making;
    how.engine.progress = [&](std::size_t done) {
        if (quiet) return;
        const std::scoped_lock lock(making);
        if (!line) line.emplace();
        line->show(fmt::format("{} faults simulated; Ctrl-C stops", done));
    };
    auto dictionary = fault_dictionary(bench.link, how);
    if (!dictionary) return std::unexpected(refuse(dictionary.error(), options.json));
    if (plan) {
        add_faults(bench.link, misplaced_faults(bench.link, wiring, *plan), how.engine,
                   *dictionary);
    }
    if (engine.stop.stop_requested()) return std::unexpected(fail("stopped", options.json));
    auto sheet =
        test_sheet(bench.link, *dictionary, {.most_lines = options.lines, .seed = options.seed});
    auto bands = reading_bands(*dictionary, options.seed);
    return Simulated{std::move(*dictionary), std::move(sheet), std::move(bands)};
}

// Simulates, while `isolation` is asked for where somebody sits at the terminal: what needs no
// model has its answer before the model has.
OrStatus<Simulated> while_simulating(const BenchCommandOptions& options, const Bench& bench,
                                     const Wiring& wiring, const std::optional<Plan>& plan,
                                     const EngineOptions& engine,
                                     const std::function<void()>& isolation) {
    std::atomic<bool> quiet = options.enter;
    if (!options.enter) return simulated(options, bench, wiring, plan, engine, quiet);
    auto known = std::async(std::launch::async,
                            [&] { return simulated(options, bench, wiring, plan, engine, quiet); });
    isolation();
    quiet = false;
    return known.get();
}

struct Taken {
    std::vector<TakenReading> readings = {};
    SessionOptions session = {};
};

// The file's readings, before anything is simulated: a name that is not known is told at once.
OrStatus<std::vector<TakenReading>> readings_of_file(const BenchCommandOptions& options,
                                                     const std::shared_ptr<const SourceText>& text,
                                                     const Link& link) {
    std::vector<TakenReading> readings;
    if (!text) return readings;
    const auto read = read_readings(text, measurements_of(link));
    if (!read) return std::unexpected(refuse(read.error(), options.json));
    for (const Reading& r : *read) {
        readings.push_back({.measurement = r.measurement, .value = r.value});
    }
    return readings;
}

// And those of a session at the terminal, which goes on from `so_far`.
Taken take_readings(const BenchCommandOptions& options, Prompted so_far, const BenchAnswer& answer,
                    const EngineOptions& engine, const Say& say) {
    Taken taken;
    taken.session.engine = engine;
    taken.session.ask_again = options.enter;
    if (options.enter) {
        const InterruptibleInput input;
        so_far = prompt_for_readings(answer, taken.session, std::move(so_far), std::cin, say);
    }
    taken.readings = std::move(so_far.readings);
    taken.session.not_measurable = std::move(so_far.not_measurable);
    if (!options.readings.empty() && taken.readings.empty()) {
        tell("gapwright: warning: {} holds no readings\n", options.readings);
    }
    return taken;
}

// Of the link as measured, where that was asked for: its proof, or why there is none.
OrStatus<std::vector<std::string>> words_of_built(const BenchCommandOptions& options,
                                                  const Bench& bench, const BenchAnswer& answer,
                                                  const std::vector<TakenReading>& readings,
                                                  const EngineOptions& engine) {
    using Words = std::vector<std::string>;
    if (!options.prove || !answer.verdict) return Words{};
    if (answer.verdict->verdict != LinkVerdict::good) {
        return Words{"The link as measured is proven only where no fault was found."};
    }
    auto built = built_link(bench.link, answer.dictionary, readings, engine);
    if (!built) return Words{"The readings do not narrow what is known of this link's parts."};
    ProgressLine line;
    line.show("proving the link as measured; Ctrl-C stops");
    ProofOptions proof_options{.samples = 4000, .timed_samples = 40, .seed = options.seed};
    proof_options.engine = engine;
    built->link.surroundings.light = bench.stated_light;
    const auto proof = prove_built(*built, proof_options);
    if (!proof) return std::unexpected(fail(proof.error().message, options.json));
    return built_words(*built, *proof);
}

std::vector<OutputFile> files_of(const BenchCommandOptions& options, const BenchAnswer& answer,
                                 const std::vector<TakenReading>& taken) {
    const auto& measurements = answer.dictionary.measurements;
    std::vector<OutputFile> files;
    if (!options.output.empty()) add_file(files, options.output, bench_html(answer));
    if (!options.form.empty()) {
        std::vector<Measurement> wanted;
        for (const auto& line : answer.sheet.lines) {
            wanted.push_back(measurements[line.measurement]);
        }
        add_file(files, options.form, readings_form(wanted));
    }
    std::vector<Reading> readings;
    for (const auto& r : taken) readings.push_back({r.measurement, r.value, {}});
    add_file(files, options.save, readings_csv(measurements, readings));
    return files;
}

// A session at the terminal is always recorded; what comes from a file where that is asked for.
// False where that failed.
bool add_record(const BenchCommandOptions& options, const BenchAnswer& answer) {
    if (!answer.verdict || !(options.record || options.enter)) return true;
    BenchRecord record = record_of(answer.link, answer.dictionary, *answer.verdict);
    record.link = std::filesystem::path(options.file).filename().string();
    record.who = options.who;
    record.specimen = options.specimen;
    record.built = answer.built;
    const auto written = append_record(options.file, record);
    tell("gapwright: {}{}\n", written ? "recorded in " : "", written ? *written : written.error());
    return written.has_value();
}

ExitStatus status_of(const std::optional<BenchVerdict>& verdict) {
    if (!verdict) return exit_kept;
    const bool wrong = std::ranges::any_of(
        verdict->readings, [](const JudgedReading& r) { return r.judgement == Judgement::wrong; });
    switch (verdict->verdict) {
        case LinkVerdict::faulty:
        case LinkVerdict::joined:
        case LinkVerdict::unexplained:
            return exit_broken;
        case LinkVerdict::good:
        case LinkVerdict::undecided:
            break;
    }
    return wrong ? exit_broken : exit_kept;
}

}  // namespace

ExitStatus run_bench(const BenchCommandOptions& options, const std::stop_token& stop) {
    const Outputs outputs{
        .files = {{"-o", options.output}, {"--form", options.form}, {"--save", options.save}},
        .folders = {},
        .replace = options.replace,
        .json = options.json};
    EngineOptions engine;
    engine.stop = stop;
    if (const auto refusal = refuse_without_readings(options)) return *refusal;
    const auto bench = bench_of(options);
    if (!bench) return bench.error();
    const Wiring wiring = wiring_of(bench->link);
    auto plan = stated_plan(options, wiring);
    if (!plan) return plan.error();
    if (options.names) {
        const std::string names = names_text(bench->link, measurements_of(bench->link));
        return write_answer(names, outputs) ? exit_kept : exit_failed;
    }
    const auto text = text_of_readings(options);
    if (!text) return text.error();
    const auto of_file = readings_of_file(options, *text, bench->link);
    if (!of_file) return of_file.error();
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    if (!*plan) plan = new_plan(options, wiring, stop);
    if (!plan) return plan.error();
    const NodeHoles holes = *plan ? node_holes_of(bench->link, wiring, **plan) : NodeHoles{};
    const Say say = [&](const std::string& words) { return write_answer(words, outputs); };
    Prompted so_far{.readings = *of_file};
    const auto known = while_simulating(options, *bench, wiring, *plan, engine, [&] {
        const InterruptibleInput input;
        so_far = prompt_for_isolation(bench->link, holes, std::move(so_far), std::cin, say);
    });
    if (!known) return known.error();
    BenchAnswer answer{.link = bench->link,
                       .dictionary = known->dictionary,
                       .sheet = known->sheet,
                       .bands = known->bands,
                       .verdict = {},
                       .holes = holes,
                       .temperature = bench->options.temperature.value_or(bench_temperature),
                       .light = bench->link.surroundings.light,
                       .age = bench->options.age,
                       .built = {}};
    const Taken taken = take_readings(options, std::move(so_far), answer, engine, say);
    if (!taken.readings.empty()) {
        answer.verdict = bench_verdict(bench->link, known->dictionary, known->bands, taken.readings,
                                       taken.session);
    }
    auto built = words_of_built(options, *bench, answer, taken.readings, engine);
    if (!built) return built.error();
    answer.built = std::move(*built);
    // What was read at the bench comes first: it cannot be made again.
    const bool recorded = add_record(options, answer);
    if (!write_answer(options.json ? bench_json(answer) : bench_text(answer, wants_colour()),
                      outputs)) {
        return exit_failed;
    }
    const auto files = files_of(options, answer, taken.readings);
    if (const auto failed = write_files(files, outputs, stop)) return *failed;
    return recorded ? status_of(answer.verdict) : exit_failed;
}

}  // namespace gapwright
