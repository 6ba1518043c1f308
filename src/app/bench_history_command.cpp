#include "app/bench_history_command.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <stop_token>
#include <string>
#include <vector>

#include "app/bench_command.hpp"
#include "app/bench_conditions.hpp"
#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "bench/faults/fault.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/measured_points.hpp"
#include "bench/sessions/record_reading.hpp"
#include "bench/sessions/session_history.hpp"
#include "card/points.hpp"
#include "folder/output_file.hpp"
#include "link/link.hpp"
#include "report/history_report.hpp"

namespace gapwright {
namespace {

std::vector<OutputFile> files_of(const std::string& folder, const Link& link,
                                 const std::vector<PartPoints>& parts) {
    std::vector<OutputFile> files;
    if (folder.empty()) return files;
    for (const auto& part : parts) {
        const std::string name = file_name(link.parts[part.part].name) + "-points.csv";
        files.push_back({.path = std::filesystem::path(folder) / name,
                         .text = points_csv(part.points),
                         .make_folder = true});
    }
    return files;
}

}  // namespace

ExitStatus run_bench_history(const BenchCommandOptions& options, const std::stop_token& stop) {
    const Outputs outputs{.folders = {{"--points", options.points}},
                          .replace = options.replace,
                          .json = options.json};
    const auto bench = bench_of(options);
    if (!bench) return bench.error();
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    DictionaryOptions how = bench->options;
    how.engine.stop = stop;
    // Good links alone: for the bands that readings are held against.
    const auto dictionary = fault_dictionary(bench->link, how, {Fault{}});
    if (!dictionary) return refuse(dictionary.error(), options.json);
    const auto past = past_sessions(options.file, dictionary->measurements);
    if (!past) return fail(past.error(), options.json);
    const auto history = history_of(past->sessions, dictionary->measurements, dictionary->meter,
                                    reading_bands(*dictionary, options.seed));
    const auto parts = points_of_sessions(bench->link, past->sessions, dictionary->measurements);
    const HistoryAnswer answer{.link = bench->link,
                               .measurements = dictionary->measurements,
                               .past = *past,
                               .history = history,
                               .parts = parts};
    const std::string text =
        options.json ? history_json(answer) : history_text(answer, wants_colour());
    if (!write_answer(text, outputs)) return exit_failed;
    const auto files = files_of(options.points, bench->link, parts);
    if (!options.points.empty() && files.empty()) {
        tell("gapwright: warning: no session holds a point of a part\n");
    }
    if (const auto failed = write_files(files, outputs, stop)) return *failed;
    return exit_kept;
}

}  // namespace gapwright
