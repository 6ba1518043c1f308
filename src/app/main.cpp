// The program: reads the command line and hands over to one file per command.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <sstream>
#include <stop_token>
#include <vector>

#include "app/analogue_command.hpp"
#include "app/bench_command.hpp"
#include "app/bench_history_command.hpp"
#include "app/build_command.hpp"
#include "app/card_command.hpp"
#include "app/check_command.hpp"
#include "app/design_command.hpp"
#include "app/exit_status.hpp"
#include "app/open_command.hpp"
#include "app/output_options.hpp"
#include "app/prove_file.hpp"
#include "app/report_command.hpp"
#include "app/terminal.hpp"
#include "app/wave_command.hpp"
#include "design/design.hpp"
#include "report/json/file_schema.hpp"
#include "source/diagnostics.hpp"

namespace {

using namespace gapwright;

constexpr const char* about =
    "Gapwright proves optically isolated links: one circuit controls another across a gap that "
    "only\n"
    "light crosses.";

constexpr const char* check_example =
    "Example:\n"
    "  gapwright check bell-hammer.link.toml --samples 100000\n"
    "\n"
    "Exit status: 0 every promise and rating is kept (thin ones with a warning), 1 one is broken "
    "or\n"
    "unknown, 2 the input is bad, 3 the computation failed.";

constexpr const char* design_example =
    "In a link file, value = \"choose\" for a resistor is found; a file with a [need] in place of\n"
    "paths gets its whole circuit.\n"
    "\n"
    "Example:\n"
    "  gapwright design needs/bell-hammer.link.toml -o bell-hammer.link.toml\n"
    "\n"
    "Exit status: 0 the first answer keeps everything (thin with a warning), 1 nothing on offer "
    "does,\n"
    "2 the input is bad, 3 the computation failed or was stopped.";

constexpr const char* report_example =
    "Example:\n"
    "  gapwright report bell-hammer.link.toml -o bell-hammer.html --png pictures\n"
    "\n"
    "Exit status: as of check.";

constexpr const char* wave_example =
    "Without --change, --signal or --disturbed: the first change that a promise speaks of.\n"
    "\n"
    "Examples:\n"
    "  gapwright wave bell-hammer.link.toml --change \"on > off\" --svg pictures\n"
    "  gapwright wave chime-bus.link.toml --signal\n"
    "  gapwright wave chime-bus.link.toml --sweep R4 --png pictures\n"
    "  gapwright wave level-meter.link.toml --analogue\n"
    "  gapwright wave bell-hammer.link.toml --samples 1000\n"
    "\n"
    "Exit status: 0 followed, 2 the input is bad, 3 the computation failed or was stopped.";

constexpr const char* build_example =
    "Writes, for each board, one HTML file to build from, its pictures, the plan and the nodes as "
    "tables.\n"
    "A plan that you have changed is read back with --plan: it is refused where it is not the "
    "link, "
    "or\n"
    "where it bridges the gap.\n"
    "\n"
    "Examples:\n"
    "  gapwright build bell-hammer.link.toml -o sheet\n"
    "  gapwright build bell-hammer.link.toml -o sheet --board strip --drawer drawer.csv\n"
    "  gapwright build bell-hammer.link.toml --plan sheet/strip-plan.csv -o changed\n"
    "\n"
    "Exit status: as of check; 1 also where isolation on a board is not kept.";

constexpr const char* bench_example =
    "Without readings: the test sheet, the few measurements that tell most of a built link.\n"
    "With readings: each against what good links read, which faults would explain them, and what "
    "to\n"
    "measure next. Readings are a CSV file, state,measure,value, for example on,voltage at coil,36 "
    "mV.\n"
    "\n"
    "Examples:\n"
    "  gapwright bench bell-hammer.link.toml -o sheet.html --form readings.csv\n"
    "  gapwright bench bell-hammer.link.toml --readings readings.csv\n"
    "  gapwright bench bell-hammer.link.toml --names\n"
    "  gapwright bench bell-hammer.link.toml --history --points measured\n"
    "  gapwright bench bell-hammer.link.toml --enter --board strip --who \"the night shift\"\n"
    "\n"
    "Exit status: 0 the sheet is made, or nothing wrong was read; 1 a reading is wrong or a fault "
    "is\n"
    "found; 2 the input is bad; 3 the computation failed or was stopped.";

constexpr const char* open_example =
    "Serves the page of a folder of link files, cards and a drawer, to this computer only, and "
    "opens\n"
    "the browser. Every change is saved into the files at once and can be undone. Ctrl-C ends it.\n"
    "\n"
    "Examples:\n"
    "  gapwright open clock\n"
    "  gapwright open clock --no-browser\n"
    "\n"
    "Exit status: 0 it ran, 2 the folder or port is not to be had.";

void add_prove_options(CLI::App& command, ProveOptions& options) {
    command.add_option("LINK", options.file, "the link file, NAME.link.toml")->required();
    command.add_option("--samples", options.samples, "specimens to draw for the population")
        ->check(CLI::Range(std::uint64_t{1}, std::uint64_t{10000000}))
        ->capture_default_str();
    command
        .add_option("--timed-samples", options.timed_samples,
                    "of these, those that are followed in time where a promise asks for it")
        ->check(CLI::Range(std::uint64_t{1}, std::uint64_t{1000000}))
        ->capture_default_str();
    command.add_option("--seed", options.seed, "seed of the population")
        ->check(CLI::NonNegativeNumber)
        ->capture_default_str();
    command.add_option("--temperature", options.temperature,
                       "one temperature in place of the link's range, for example \"45 °C\"");
}

void add_build_options(CLI::App& command, BuildCommandOptions& options) {
    add_prove_options(command, options.prove);
    command.add_flag("--json", options.prove.json, "print one JSON document and nothing else");
    add_output_folder(command, "-o,--output", options.folder, "the folder to write into");
    auto* board = command.add_option("--board", options.boards,
                                     "solderless, strip or grid; more than once for several [all]");
    board->check(CLI::IsMember({"solderless", "strip", "grid"}));
    auto* size = command.add_option(
        "--size", options.size,
        "rows, or rows and holes of the board, for example 12x20 [as it comes out]");
    command.add_option("--drawer", options.drawer, "a drawer [that of the link's [choose]]")
        ->check(CLI::ExistingFile);
    auto* plan =
        command.add_option("--plan", options.plan, "a plan that was changed, NAME-plan.csv");
    plan->excludes(board)->excludes(size);
    command
        .add_option("--starts", options.starts,
                    "starts of the search for places; more find shorter wires")
        ->check(CLI::Range(1, 100000))
        ->capture_default_str();
    add_output_folder(command, "--png", options.png, "write pictures as PNG into a folder, too");
    add_output_folder(command, "--pdf", options.pdf, "likewise as PDF");
    add_replace(command, options.replace);
}

void add_bench_options(CLI::App& command, BenchCommandOptions& options) {
    command.add_option("LINK", options.file, "the link file, NAME.link.toml")->required();
    auto* json =
        command.add_flag("--json", options.json, "print one JSON document and nothing else");
    add_output_file(command, "-o,--output", options.output, "write the sheet as HTML, to print");
    add_output_file(command, "--form", options.form, "write an empty form for readings, as CSV");
    command.add_option("--lines", options.lines, "lines of the sheet, at most")
        ->check(CLI::Range(1, 100))
        ->capture_default_str();
    command.add_option("--readings", options.readings, "readings, as CSV");
    command.add_flag("--names", options.names, "list what can be measured, by every name it has");
    auto* enter = command.add_flag("--enter", options.enter,
                                   "ask for one reading after the other, the most telling first");
    enter->excludes(json);
    add_output_file(command, "--save", options.save, "write all readings as CSV")->needs(enter);
    add_replace(command, options.replace);
    auto* board = command.add_option(
        "--board", options.board,
        "solderless, strip or grid, as build plans it: holes to measure at, and faults of pins in "
        "neighbouring holes");
    board->check(CLI::IsMember({"solderless", "strip", "grid"}));
    command.add_option("--plan", options.plan, "the same from a plan, NAME-plan.csv")
        ->excludes(board);
    command.add_option("--temperature", options.temperature,
                       "at the bench, for example \"18 .. 25 °C\" [15 .. 30 °C]");
    command.add_option("--light", options.light,
                       "on an open gap, for example \"200 lx\" [the link's range]");
    command.add_option("--age", options.age,
                       "how long the link has been in service, for example \"5 years\" [new]");
    command.add_flag("--prove", options.prove,
                     "prove the link as measured: how long its promises hold");
    command.add_flag("--record", options.record,
                     "add to the record beside the link, NAME.bench (--enter always does)");
    command.add_option("--who", options.who, "for the record: who measured");
    command.add_option("--specimen", options.specimen,
                       "for the record: which of several, for example \"board 3\"");
    auto* history = command.add_flag(
        "--history", options.history,
        "tell of the sessions before: what changed, and how specimens lie beside one another");
    history->excludes(enter);
    add_output_folder(command, "--points", options.points,
                      "with --history: write points of parts into a folder, for card fit")
        ->needs(history);
    command.add_option("--seed", options.seed, "seed of the specimens")
        ->check(CLI::NonNegativeNumber)
        ->capture_default_str();
}

void add_design_options(CLI::App& command, DesignCommandOptions& options) {
    command.add_option("FILE", options.file, "a link file or a need, NAME.link.toml")->required();
    add_output_file(command, "-o,--output", options.output,
                    "write an answer as a complete link file, the first unless --take");
    command.add_option("--take", options.take, "the number of the answer that -o writes")
        ->check(CLI::Range(std::size_t{1}, DesignOptions{}.most_answers))
        ->capture_default_str();
    command.add_option("--samples", options.samples, "specimens to draw for each answer's proof")
        ->check(CLI::Range(std::uint64_t{1}, std::uint64_t{10000000}))
        ->capture_default_str();
    command.add_option("--seed", options.seed, "seed of the population")
        ->check(CLI::NonNegativeNumber)
        ->capture_default_str();
    command.add_flag("--json", options.json, "print one JSON document and nothing else");
    add_picture_folders(command, options.pictures,
                        "write the windows of values as SVG into a folder");
    add_replace(command, options.replace);
}

void add_wave_options(CLI::App& command, WaveCommandOptions& options) {
    command.add_option("LINK", options.file, "the link file, NAME.link.toml")->required();
    auto* change = command.add_option("--change", options.change,
                                      "two states of the link, for example \"off > on\"");
    auto* signal = command.add_flag("--signal", options.signal, "the train of pulses of [signal]");
    auto* disturbed = command.add_option("--disturbed", options.disturbed,
                                         "a state, in which all of [disturbance] happens");
    signal->excludes(change);
    disturbed->excludes(change)->excludes(signal);
    auto* sweep = command.add_option("--sweep", options.sweep,
                                     "a resistor: what its value does to the promises in time");
    sweep->excludes(change)->excludes(signal)->excludes(disturbed);
    auto* analogue = command.add_flag("--analogue", options.analogue,
                                      "gain, bandwidth and distortion of [analogue]");
    auto* until = command.add_option(
        "--until", options.until, "how long to follow it, for example \"20 µs\" [until it rests]");
    command.add_option("--temperature", options.temperature,
                       "for example \"45 °C\" [the middle of the link's range]");
    auto* samples = command.add_option("--samples", options.samples,
                                       "also the delays of so many specimens of the whole spread");
    samples->check(CLI::Range(std::uint64_t{1}, std::uint64_t{1000000}));
    command.add_option("--seed", options.seed, "seed of the population")
        ->check(CLI::NonNegativeNumber)
        ->capture_default_str();
    command.add_flag("--json", options.json, "print one JSON document and nothing else");
    auto* csv =
        add_output_file(command, "--csv", options.csv, "write the curves as a table of numbers");
    csv->excludes(sweep);
    add_picture_folders(command, options.pictures, "write pictures as SVG into a folder");
    add_replace(command, options.replace);
    for (auto* other : {change, signal, disturbed, sweep, until, samples, csv}) {
        analogue->excludes(other);
    }
    for (const char* name : {"--svg", "--png", "--pdf"}) {
        analogue->excludes(command.get_option(name));
    }
}

// What a mistyped command or option was most likely meant to be: "did you mean --samples?".
std::string suggestion(const CLI::App& app, int argc, char** argv) {
    std::vector<std::string> commands;
    std::vector<std::string> options;
    for (const auto* command : app.get_subcommands([](const CLI::App*) { return true; })) {
        commands.push_back(command->get_name());
        for (const auto* option : command->get_options()) {
            for (const auto& name : option->get_lnames()) options.push_back("--" + name);
        }
    }
    for (int k = 1; k < argc; ++k) {
        const std::string word = std::string(argv[k]).substr(0, std::string(argv[k]).find('='));
        const bool option = word.starts_with("--");
        if (!option && k > 1) continue;
        const auto& known = option ? options : commands;
        if (std::ranges::find(known, word) != known.end()) continue;
        const std::string nearest = nearest_name(word, known);
        if (!nearest.empty()) return fmt::format("gapwright: did you mean {}?\n", nearest);
    }
    return {};
}

int run(int argc, char** argv) {
    CLI::App app{about, "gapwright"};
    app.set_version_flag("--version", "gapwright " GAPWRIGHT_VERSION);
    app.add_flag_callback(
        "--schema", [] { throw CLI::CallForVersion(file_schema(), 0); },
        "Print what link files may hold as a JSON Schema, for editors");
    app.require_subcommand(1);
    app.footer(
        "Example:\n  gapwright check bell-hammer.link.toml\n\n"
        "gapwright COMMAND --help tells more of each command.");

    ProveOptions check;
    auto* check_command = app.add_subcommand("check", "operating points, promises, ratings, proof");
    add_prove_options(*check_command, check);
    check_command->add_flag("--nominal", check.nominal, "only the nominal point, no proof");
    check_command->add_flag("--json", check.json, "print one JSON document and nothing else");
    check_command->footer(check_example);

    DesignCommandOptions design;
    auto* design_command =
        app.add_subcommand("design", "finds the circuit and the values that are to be chosen");
    add_design_options(*design_command, design);
    design_command->footer(design_example);

    ReportOptions report;
    auto* report_command =
        app.add_subcommand("report", "one HTML file with everything, and pictures");
    add_prove_options(*report_command, report.prove);
    add_output_file(*report_command, "-o,--output", report.output, "the HTML file to write");
    add_picture_folders(*report_command, report.pictures,
                        "write every picture as SVG into a folder");
    add_replace(*report_command, report.replace);
    report_command->footer(report_example);

    BuildCommandOptions build;
    auto* build_command =
        app.add_subcommand("build", "the build sheet: parts to pull, board plan, isolation, steps");
    add_build_options(*build_command, build);
    build_command->footer(build_example);

    BenchCommandOptions bench;
    auto* bench_command = app.add_subcommand(
        "bench", "a built link: what to measure, what is right, and what a wrong reading means");
    add_bench_options(*bench_command, bench);
    bench_command->footer(bench_example);

    WaveCommandOptions wave;
    auto* wave_command =
        app.add_subcommand("wave", "the link in time: waveforms, delays, a signal, disturbances");
    add_wave_options(*wave_command, wave);
    wave_command->footer(wave_example);

    OpenOptions open;
    auto* open_command =
        app.add_subcommand("open", "the page: see a link, change it, build and measure it");
    open_command->add_option("FOLDER", open.folder, "the folder to work in")->capture_default_str();
    open_command->add_option("--port", open.port, "port of the page's address [the folder's own]");
    auto* browser = open_command->add_flag("--no-browser", open.no_browser,
                                           "print the address in place of opening a browser");
    open_command
        ->add_flag("--json", open.json, "print the address as one JSON document, open no browser")
        ->excludes(browser);
    open_command->footer(open_example);

    const CardCommand card_command(app);

    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        if (error.get_exit_code() != 0) {
            tell("{}\n", error.what());
            tell("Run with --help for more information.\n");
            tell_text(suggestion(app, argc, argv));
            return exit_bad_input;
        }
        std::ostringstream help;  // or the version
        app.exit(error, help, help);
        return write_out(help.str()) ? exit_kept : exit_failed;
    }
    if (card_command.parsed()) return card_command.run();
    const InterruptGuard interrupt;
    const std::stop_token stop = interrupt.token();
    if (check_command->parsed()) return run_check(check, stop);
    if (design_command->parsed()) return run_design(design, stop);
    if (build_command->parsed()) return run_build(build, stop);
    if (bench_command->parsed()) {
        return bench.history ? run_bench_history(bench, stop) : run_bench(bench, stop);
    }
    if (open_command->parsed()) return run_open(open, stop);
    if (wave_command->parsed()) {
        return wave.analogue ? run_analogue(wave, stop) : run_wave(wave, stop);
    }
    if (report.output.empty() && !report.pictures.any()) {
        tell("gapwright report: nothing to write; name a file, for example -o bell-hammer.html\n");
        return exit_bad_input;
    }
    return run_report(report, stop);
}

}  // namespace

int main(int argc, char** argv) {
    gapwright::prepare_standard_streams();
    try {
        return run(argc, argv);
    } catch (const std::exception& error) {
        gapwright::tell_text(std::string("gapwright: a defect of ours: ") + error.what() + "\n");
        return gapwright::exit_defect;
    }
}
