#include "app/bench_command.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <iostream>
#include <memory>
#include <optional>
#include <stop_token>
#include <utility>
#include <vector>

#include "app/bench_prompt.hpp"
#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "bench/bench_record.hpp"
#include "bench/bench_verdict.hpp"
#include "bench/built_link.hpp"
#include "bench/fault_dictionary.hpp"
#include "bench/measurement.hpp"
#include "bench/misplaced.hpp"
#include "bench/reading_band.hpp"
#include "bench/readings_file.hpp"
#include "bench/test_sheet.hpp"
#include "bench/verdict_record.hpp"
#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/plan_board.hpp"
#include "board/plan_table.hpp"
#include "board/read_back.hpp"
#include "board/wiring.hpp"
#include "build/plan_file.hpp"
#include "build/wiring_of_link.hpp"
#include "device/constants.hpp"
#include "fit/link_cards.hpp"
#include "folder/output_file.hpp"
#include "link/link.hpp"
#include "proof/prove.hpp"
#include "report/bench_report.hpp"
#include "report/built_words.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

class BenchRun {
  public:
    BenchRun(const BenchCommandOptions& options, const std::stop_token& stop)
        : options_(options),
          outputs_{
              .files = {{"-o", options.output}, {"--form", options.form}, {"--save", options.save}},
              .folders = {},
              .replace = options.replace,
              .json = options.json} {
        engine_.stop = stop;
    }

    ExitStatus run() {
        if (const auto bad = read()) return *bad;
        if (const auto bad = read_readings_file()) return *bad;
        if (const auto refusal = refuse_outputs(outputs_)) return *refusal;
        if (const auto failed = simulate()) return *failed;
        if (const auto bad = take_readings()) return *bad;
        if (const auto failed = learn()) return *failed;
        return write();
    }

  private:
    bool json() const { return options_.json; }

    std::optional<ExitStatus> read() {
        const bool measured = options_.enter || !options_.readings.empty();
        if (!measured && (options_.prove || options_.record || !options_.who.empty())) {
            Diagnostic problem;
            problem.cause = Cause::missing_key;
            problem.message = "--prove, --record and --who are about readings";
            problem.remedy = "give some with --readings FILE, or with --enter";
            return refuse(only(problem), json());
        }
        auto link = read_checked_link_file(options_.file);
        if (!link) return refuse(link.error(), json());
        link_ = std::move(*link);
        dictionary_options_.seed = options_.seed;
        if (!options_.temperature.empty()) {
            const auto range = typed("--temperature", options_.temperature, Dimension::temperature);
            if (!range) return refuse(range.error(), json());
            if (range->lowest < coldest_temperature || range->highest > hottest_temperature) {
                return refuse(only(refused("--temperature", options_.temperature,
                                           {.cause = Cause::out_of_range,
                                            .begin = 0,
                                            .end = options_.temperature.size(),
                                            .message = "the models hold from −55 to 125 °C",
                                            .remedy = ""})),
                              json());
            }
            dictionary_options_.temperature = *range;
        }
        stated_light_ = link_.surroundings.light;
        if (!options_.light.empty()) {
            const auto light = typed("--light", options_.light, Dimension::illuminance);
            if (!light) return refuse(light.error(), json());
            link_.surroundings.light = *light;
        }
        if (!options_.age.empty()) {
            const auto age = typed("--age", options_.age, Dimension::time);
            if (!age) return refuse(age.error(), json());
            dictionary_options_.age = age->highest;
        }
        return options_.plan.empty() ? std::nullopt : read_plan();
    }

    // An option's text as a range.
    static Expected<Spread> typed(const char* option, const std::string& text,
                                  Dimension dimension) {
        const auto parsed = parse_spread(text, dimension);
        if (parsed) return *parsed;
        return std::unexpected(only(refused(option, text, parsed.error())));
    }

    static Diagnostic refused(const char* option, const std::string& text, const TextError& e) {
        Diagnostic problem;
        problem.cause = e.cause;
        problem.place = {std::make_shared<const SourceText>(option, text), e.begin, e.end};
        problem.message = e.message;
        problem.remedy = e.remedy;
        return problem;
    }

    std::optional<ExitStatus> read_plan() {
        const auto text = read_file(options_.plan);
        if (!text) return refuse(text.error(), json());
        const auto table = read_plan_csv(*text);
        if (!table) return refuse(table.error(), json());
        const Wiring wiring = wiring_of(link_);
        const auto faults = read_back(*table, wiring);
        if (!faults.empty()) {
            Diagnostic problem;
            problem.cause = Cause::contradiction;
            problem.place = {*text, 0, 0};
            problem.message = "this plan is not the link's: " + faults.front().text;
            problem.remedy = "gapwright build LINK --plan tells all of it";
            return refuse(only(problem), json());
        }
        plan_ = plan_of(*table, wiring);
        return std::nullopt;
    }

    std::optional<ExitStatus> simulate() {
        const Wiring wiring = wiring_of(link_);
        if (!options_.board.empty()) {
            PlanOptions plan{.kind = *board_kind_named(options_.board), .seed = options_.seed};
            plan.stop = [this] { return engine_.stop.stop_requested(); };
            auto planned = plan_board(wiring, plan);
            if (!planned) return fail(planned.error().message, json());
            plan_ = std::move(*planned);
        }
        ProgressLine line;
        dictionary_options_.engine = engine_;
        dictionary_options_.engine.progress = [&](std::size_t done) {
            line.show(fmt::format("{} faults simulated; Ctrl-C stops", done));
        };
        auto dictionary = fault_dictionary(link_, dictionary_options_);
        if (!dictionary) return refuse(dictionary.error(), json());
        dictionary_ = std::move(*dictionary);
        if (plan_) {
            add_faults(link_, misplaced_faults(link_, wiring, *plan_), dictionary_options_.engine,
                       dictionary_);
            holes_ = node_holes_of(link_, wiring, *plan_);
        }
        if (engine_.stop.stop_requested()) return fail("stopped", json());
        sheet_ =
            test_sheet(link_, dictionary_, {.most_lines = options_.lines, .seed = options_.seed});
        bands_ = reading_bands(dictionary_, options_.seed);
        session_.engine = engine_;
        return std::nullopt;
    }

    BenchAnswer answer() const {
        return {.link = link_,
                .dictionary = dictionary_,
                .sheet = sheet_,
                .bands = bands_,
                .verdict = verdict_,
                .holes = holes_,
                .temperature = dictionary_options_.temperature.value_or(bench_temperature),
                .light = link_.surroundings.light,
                .age = dictionary_options_.age,
                .built = built_};
    }

    std::optional<ExitStatus> read_readings_file() {
        if (options_.readings.empty()) return std::nullopt;
        auto text = read_file(options_.readings);
        if (!text) return refuse(text.error(), json());
        readings_text_ = std::move(*text);
        return std::nullopt;
    }

    std::optional<ExitStatus> take_readings() {
        if (readings_text_) {
            const auto read = read_readings(readings_text_, dictionary_.measurements);
            if (!read) return refuse(read.error(), json());
            for (const Reading& r : *read) readings_.push_back({r.measurement, r.value});
        }
        if (options_.enter) {
            const InterruptibleInput input;
            PromptOptions prompt{.session = session_, .readings = readings_};
            auto result = prompt_for_readings(
                answer(), prompt, std::cin,
                [&](const std::string& text) { return write_answer(text, outputs_); });
            readings_ = std::move(result.readings);
            session_.not_measurable = std::move(result.not_measurable);
        }
        if (!options_.readings.empty() && readings_.empty()) {
            tell("gapwright: warning: {} holds no readings\n", options_.readings);
        }
        if (!readings_.empty()) {
            verdict_ = bench_verdict(link_, dictionary_, bands_, readings_, session_);
        }
        return std::nullopt;
    }

    // The link as measured, where it was asked for and nothing is wrong with it.
    std::optional<ExitStatus> learn() {
        if (!options_.prove || !verdict_) return std::nullopt;
        if (verdict_->verdict != LinkVerdict::good) {
            built_ = {"The link as measured is proven only where no fault was found."};
            return std::nullopt;
        }
        auto built = built_link(link_, dictionary_, readings_, engine_);
        if (!built) {
            built_ = {"The readings do not narrow what is known of this link's parts."};
            return std::nullopt;
        }
        ProgressLine line;
        line.show("proving the link as measured; Ctrl-C stops");
        ProofOptions options{.samples = 4000, .timed_samples = 40, .seed = options_.seed};
        options.engine = engine_;
        built->link.surroundings.light = stated_light_;
        const auto proof = prove_built(*built, options);
        if (!proof) return fail(proof.error().message, json());
        built_ = built_words(*built, *proof);
        return std::nullopt;
    }

    ExitStatus write() const {
        const BenchAnswer all = answer();
        // What was read at the bench comes first: it cannot be made again.
        const bool recorded = add_record();
        if (!write_answer(json() ? bench_json(all) : bench_text(all, wants_colour()), outputs_)) {
            return exit_failed;
        }
        if (const auto failed = write_files(files_of(all), outputs_, engine_.stop)) return *failed;
        if (!recorded) return exit_failed;
        if (!verdict_) return exit_kept;
        const bool wrong = std::ranges::any_of(verdict_->readings, [](const JudgedReading& r) {
            return r.judgement == Judgement::wrong;
        });
        const bool faulty = verdict_->verdict == LinkVerdict::faulty ||
                            verdict_->verdict == LinkVerdict::unexplained;
        return wrong || faulty ? exit_broken : exit_kept;
    }

    std::vector<OutputFile> files_of(const BenchAnswer& all) const {
        std::vector<OutputFile> files;
        if (!options_.output.empty()) add_file(files, options_.output, bench_html(all));
        if (!options_.form.empty()) {
            std::vector<Measurement> wanted;
            for (const auto& line : sheet_.lines) {
                wanted.push_back(dictionary_.measurements[line.measurement]);
            }
            add_file(files, options_.form, readings_form(wanted));
        }
        std::vector<Reading> readings;
        for (const auto& r : readings_) readings.push_back({r.measurement, r.value, {}});
        add_file(files, options_.save, readings_csv(dictionary_.measurements, readings));
        return files;
    }

    // A session at the terminal is always recorded; what comes from a file where that is asked for.
    bool add_record() const {
        if (!verdict_ || readings_.empty() || !(options_.record || options_.enter)) return true;
        BenchRecord record = record_of(link_, dictionary_, *verdict_);
        record.link = std::filesystem::path(options_.file).filename().string();
        record.who = options_.who;
        record.built = built_;
        const auto written = append_record(options_.file, record);
        tell("gapwright: {}{}\n", written ? "recorded in " : "",
             written ? *written : written.error());
        return written.has_value();
    }

    const BenchCommandOptions& options_;
    Outputs outputs_;
    std::shared_ptr<const SourceText> readings_text_;
    Link link_;  // with the light of the bench
    Spread stated_light_;
    std::optional<Plan> plan_;
    EngineOptions engine_;
    DictionaryOptions dictionary_options_;
    FaultDictionary dictionary_;
    TestSheet sheet_;
    std::vector<ReadingBand> bands_;
    NodeHoles holes_;
    SessionOptions session_;
    std::vector<TakenReading> readings_;
    std::optional<BenchVerdict> verdict_;
    std::vector<std::string> built_;
};

}  // namespace

ExitStatus run_bench(const BenchCommandOptions& options, const std::stop_token& stop) {
    return BenchRun(options, stop).run();
}

}  // namespace gapwright
