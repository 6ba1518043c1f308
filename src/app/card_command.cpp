#include "app/card_command.hpp"

#include <CLI/CLI.hpp>

namespace gapwright {
namespace {

constexpr const char* card_example =
    "Examples:\n"
    "  gapwright card show infrared-led\n"
    "  gapwright card fit points.csv --kind led -o my-led.card.toml\n"
    "\n"
    "gapwright card COMMAND --help tells more of each.";

constexpr const char* fit_example =
    "Points are a CSV file whose header names quantities, with their unit in brackets:\n"
    "  forward_current (mA),forward_voltage (V)\n"
    "Others: ctr, collector_current, collector_emitter_voltage, dark_current, irradiance,\n"
    "illuminance, resistance, rise_time, fall_time, load_resistance, supply_voltage, temperature;\n"
    "specimen where several parts were measured, uncertainty as a share of the measured value.\n"
    "\n"
    "Examples:\n"
    "  gapwright card fit points.csv --kind led -o my-led.card.toml\n"
    "  gapwright card fit ctr.csv --based-on four-pin-coupler-b --at \"collector_emitter_voltage = "
    "5 V\"\n"
    "  gapwright card fit points.csv --kind led --limits \"forward = 1.8 .. 2.3 V\"\n"
    "\n"
    "Exit status: 0 fitted, 2 the input is bad, 3 no fit was found or it was stopped.";

constexpr const char* sweep_example =
    "CARD is a card of the kind of part on the bench: nothing goes beyond its limits. The output "
    "is\n"
    "taken off at the end, on any error, on Ctrl-C and when the connection is lost; stay at the\n"
    "bench all the same. docs/instruments.md tells of wiring, addresses and commands.\n"
    "\n"
    "Example:\n"
    "  gapwright card sweep red-led --supply tcp:192.0.2.7 --meter serial:/dev/ttyUSB0 --to \"20 "
    "mA\" -o points.csv\n"
    "\n"
    "Exit status: 0 complete, 2 the input is bad or the plan refused, 3 it failed or was stopped.";

constexpr const char* show_example =
    "CARD is a card's name as links use it, or its file.\n"
    "\n"
    "Example:\n"
    "  gapwright card show four-pin-coupler-b --png pictures";

constexpr const char* compare_example =
    "Example:\n"
    "  gapwright card compare four-pin-coupler-a four-pin-coupler-b --png pictures";

constexpr const char* check_example =
    "Example:\n"
    "  gapwright card check my-led.card.toml\n"
    "\n"
    "Exit status: 0 nothing that cannot be, 1 something that cannot be, 2 the card is bad.";

void add_pictures(CLI::App& command, PictureFolders& pictures) {
    command.add_option("--svg", pictures.svg, "write its curves as SVG into a folder");
    command.add_option("--png", pictures.png, "likewise as PNG");
    command.add_option("--pdf", pictures.pdf, "likewise as PDF");
}

void add_json(CLI::App& command, bool& json) {
    command.add_flag("--json", json, "print one JSON document and nothing else");
}

}  // namespace

CardCommand::CardCommand(CLI::App& app)
    : card_(app.add_subcommand("card",
                               "makes, shows and compares cards: from points, from a "
                               "chart's picture, from instruments")) {
    card_->require_subcommand(1);
    card_->footer(card_example);
    add_shows();
    add_fit();
    add_sweep();
}

void CardCommand::add_shows() {
    auto* show = card_->add_subcommand("show", "a card's figures and curves");
    show->add_option("CARD", show_.card, "a card's name or file")->required();
    add_pictures(*show, show_.pictures);
    add_json(*show, show_.json);
    show->footer(show_example);

    auto* compare = card_->add_subcommand("compare", "two cards of a kind, side by side");
    compare->add_option("A", compare_.card, "a card's name or file")->required();
    compare->add_option("B", compare_.other, "another's")->required();
    add_pictures(*compare, compare_.pictures);
    add_json(*compare, compare_.json);
    compare->footer(compare_example);

    auto* check = card_->add_subcommand("check", "what cannot be right about a card");
    check->add_option("CARD", check_.card, "a card's name or file")->required();
    add_json(*check, check_.json);
    check->footer(check_example);
}

void CardCommand::add_fit() {
    auto* fit = card_->add_subcommand("fit", "a card from measured points");
    fit->add_option("POINTS", fit_.file, "points as CSV, or a card with [[points]]")->required();
    auto* kind = fit->add_option(
        "--kind", fit_.kind,
        "led, diode, coupler, phototransistor or \"light-dependent resistor\": begin with its "
        "defaults");
    fit->add_option("--based-on", fit_.based_on,
                    "begin with this card; what no point tells stays as it says")
        ->excludes(kind);
    fit->add_option("-o,--output", fit_.output, "the card to write, NAME.card.toml");
    fit->add_option("--name", fit_.name, "the card's name for people");
    fit->add_option("--source", fit_.source, "where the points come from");
    fit->add_option("--limits", fit_.limits,
                    "limits that a data sheet states, \"forward = 1.8 .. 2.3 V\"; more than once");
    fit->add_option("--at", fit_.at,
                    "what all points were measured at, \"collector_emitter_voltage = 5 V\"; more "
                    "than once");
    fit->add_option("--seed", fit_.seed, "seed of further starts")
        ->check(CLI::NonNegativeNumber)
        ->capture_default_str();
    add_pictures(*fit, fit_.pictures);
    add_json(*fit, fit_.json);
    fit->footer(fit_example);
}

void CardCommand::add_sweep() {
    auto* sweep = card_->add_subcommand(
        "sweep", "forward voltages of a part, from a bench supply and a meter that speak SCPI");
    sweep->add_option("CARD", sweep_.card, "a card whose limits hold, by name or file")->required();
    sweep
        ->add_option("--supply", sweep_.supply,
                     "tcp:HOST[:PORT], serial:/dev/…[:BAUD] or usbtmc:/dev/…")
        ->required();
    sweep->add_option("--meter", sweep_.meter, "likewise [the supply measures the voltage]");
    sweep->add_option("--commands", sweep_.commands, "instruments that speak otherwise, as TOML");
    sweep->add_option("--from", sweep_.from, "smallest current [a hundredth of the largest]");
    sweep->add_option("--to", sweep_.to, "largest current [half of what the card allows]");
    sweep->add_option("--points", sweep_.points, "currents, evenly apart by ratio")
        ->check(CLI::Range(1, 1000))
        ->capture_default_str();
    sweep->add_option("--voltage-limit", sweep_.voltage_limit,
                      "of the supply [what the card's highest forward voltage needs, and a quarter "
                      "more]");
    sweep->add_option("--settle", sweep_.settle, "after each step, before a reading [200 ms]");
    sweep->add_option("--rest", sweep_.rest,
                      "with the output off between points, for the part to cool [none]");
    sweep->add_option("-o,--output", sweep_.output, "write the points as CSV, for card fit");
    sweep->add_option("--specimen", sweep_.specimen, "which part this is, for the points");
    add_json(*sweep, sweep_.json);
    sweep->footer(sweep_example);
}

bool CardCommand::parsed() const {
    return card_->parsed();
}

ExitStatus CardCommand::run() const {
    if (card_->got_subcommand("show")) return run_card_show(show_);
    if (card_->got_subcommand("compare")) return run_card_compare(compare_);
    if (card_->got_subcommand("check")) return run_card_check(check_);
    if (card_->got_subcommand("sweep")) return run_card_sweep(sweep_);
    return run_card_fit(fit_);
}

}  // namespace gapwright
