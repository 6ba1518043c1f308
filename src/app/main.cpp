// The program: reads the command line and hands over to one file per command.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <exception>

#include "app/check_command.hpp"

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
    "Exit status: 0 every promise and rating is kept (thin ones with a warning), 1 one is broken,\n"
    "2 the input is bad, 3 the computation failed.";

int run(int argc, char** argv) {
    CLI::App app{about, "gapwright"};
    app.set_version_flag("--version", "gapwright 0.1.0");
    app.require_subcommand(1);
    app.footer(
        "Example:\n  gapwright check bell-hammer.link.toml\n\n"
        "gapwright COMMAND --help tells more of each command.");

    CheckOptions check;
    auto* command = app.add_subcommand("check", "operating points, promises, ratings, proof");
    command->add_option("LINK", check.file, "the link file, NAME.link.toml")->required();
    command->add_flag("--nominal", check.nominal, "only the nominal point, no proof");
    command->add_option("--samples", check.samples, "specimens to draw for the population")
        ->check(CLI::Range(std::uint64_t{1}, std::uint64_t{10000000}))
        ->capture_default_str();
    command->add_option("--seed", check.seed, "seed of the population")
        ->check(CLI::NonNegativeNumber)
        ->capture_default_str();
    command->add_option("--temperature", check.temperature,
                        "one temperature in place of the link's range, for example \"45 °C\"");
    command->add_flag("--json", check.json, "print one JSON document and nothing else");
    command->footer(check_example);

    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        const int status = app.exit(error);
        return status == 0 ? exit_kept : exit_bad_input;
    }
    return run_check(check);
}

}  // namespace

int main(int argc, char** argv) {
    try {
        return run(argc, argv);
    } catch (const std::exception& error) {
        fmt::print(stderr, "gapwright: a defect of ours: {}\n", error.what());
        return gapwright::exit_defect;
    }
}
