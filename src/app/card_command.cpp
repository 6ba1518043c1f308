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
    : card_(app.add_subcommand("card", "makes, shows and compares cards: from points, from a "
                                       "chart's picture, from instruments")) {
    card_->require_subcommand(1);
    card_->footer(card_example);
    add_shows();
    add_fit();
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

bool CardCommand::parsed() const {
    return card_->parsed();
}

ExitStatus CardCommand::run() const {
    if (card_->got_subcommand("show")) return run_card_show(show_);
    if (card_->got_subcommand("compare")) return run_card_compare(compare_);
    if (card_->got_subcommand("check")) return run_card_check(check_);
    return run_card_fit(fit_);
}

}  // namespace gapwright
