#include "app/card_command.hpp"

#include <CLI/CLI.hpp>
#include <vector>

#include "app/exit_status.hpp"
#include "app/output_options.hpp"
#include "app/terminal.hpp"

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
    "  gapwright card fit pair.csv --kind pair --emitter white-lamp-led --receiver ldr-5mm "
    "--distance \"8 mm\" -o lamp-pair.card.toml\n"
    "\n"
    "Exit status: 0 fitted, 2 the input is bad, 3 no fit was found or it was stopped.";

constexpr const char* trace_example =
    "Pixels count from the picture's top left corner; most viewers of pictures show them. Two "
    "marks\n"
    "on each axis say where two of its printed values are, so a crooked scan is read right; of a "
    "photo\n"
    "taken at an angle give the plot's four corners with both values. A curve is one place on it, "
    "or\n"
    "several where lines cross; what it was measured at may follow. Curves that cannot be followed "
    "are\n"
    "told with their reason, the others are written (exit status 3).\n"
    "\n"
    "Examples:\n"
    "  gapwright card trace chart.png --x forward_voltage --x-mark \"1 V at 92,512\" --x-mark "
    "\"1.5 "
    "V at\n"
    "    640,512\" --y forward_current --y-log --y-mark \"0.1 mA at 92,512\" --y-mark \"100 mA at "
    "92,80\"\n"
    "    --curve 310,220 -o points.csv --overlay look.png\n"
    "  gapwright card trace photo.jpg --x forward_voltage --y forward_current --mark \"1 V, 0 mA "
    "at "
    "92,512\"\n"
    "    --mark \"2 V, 0 mA at 640,530\" --mark \"1 V, 50 mA at 80,70\" --mark \"2 V, 50 mA at "
    "655,60\" --curve\n"
    "    310,220 -o points.csv\n"
    "  … --curve \"310,220; forward_current = 5 mA\" --curve \"310,120 400,100; forward_current = "
    "10 "
    "mA\"\n"
    "\n"
    "Exit status: 0 every curve was read, 2 the input is bad, 3 a curve could not be followed: "
    "then\n"
    "nothing is written.";

constexpr const char* sweep_example =
    "CARD is a card of the kind of part on the bench: nothing goes beyond its limits. The outputs "
    "are\n"
    "taken off at the end, on any error, on Ctrl-C and when a connection is lost; stay at the\n"
    "bench all the same. docs/instruments.md tells of wiring, addresses and commands.\n"
    "\n"
    "Examples:\n"
    "  gapwright card sweep red-led --supply tcp:192.0.2.7 --meter serial:/dev/ttyUSB0 --to \"20 "
    "mA\" -o points.csv\n"
    "  gapwright card sweep four-pin-coupler-b --supply tcp:192.0.2.7 --feed tcp:192.0.2.8\n"
    "    --meter tcp:192.0.2.9 --shunt \"100 Ω ± 1 %\" --to \"10 mA\" -o points.csv\n"
    "  gapwright card sweep four-pin-coupler-b --supply demo --specimen 3 --shunt \"100 Ω\" --feed "
    "demo\n"
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
    add_trace();
    add_sweep();
}

void CardCommand::add_shows() {
    auto* show = card_->add_subcommand("show", "a card's figures and curves");
    show->add_option("CARD", show_.card, "a card's name or file")->required();
    add_picture_folders(*show, show_.pictures, "write its curves as SVG into a folder");
    add_replace(*show, show_.replace);
    add_json(*show, show_.json);
    show->footer(show_example);

    auto* compare = card_->add_subcommand("compare", "two cards of a kind, side by side");
    compare->add_option("A", compare_.card, "a card's name or file")->required();
    compare->add_option("B", compare_.other, "another's")->required();
    add_picture_folders(*compare, compare_.pictures, "write its curves as SVG into a folder");
    add_replace(*compare, compare_.replace);
    add_json(*compare, compare_.json);
    compare->footer(compare_example);

    auto* check = card_->add_subcommand("check", "what cannot be right about a card");
    check->add_option("CARD", check_.card, "a card's name or file")->required();
    add_json(*check, check_.json);
    check->footer(check_example);
}

void CardCommand::add_fit() {
    auto* fit = card_->add_subcommand("fit", "a card from measured points");
    fit->add_option("POINTS", fit_.files,
                    "points as CSV, one file or more; or a card with [[points]]")
        ->required();
    auto* kind = fit->add_option(
        "--kind", fit_.kind,
        "led, diode, coupler, phototransistor or \"light-dependent resistor\": begin with its "
        "defaults; or pair");
    fit->add_option("--based-on", fit_.based_on,
                    "begin with this card; what no point tells stays as it says")
        ->excludes(kind);
    fit->add_option("--emitter", fit_.emitter, "of a pair: its emitter's card, or one like it");
    fit->add_option("--receiver", fit_.receiver, "of a pair: its receiver's card, or one like it");
    fit->add_option("--distance", fit_.distance, "of a pair: between its halves, \"8 mm\"");
    fit->add_option("--shroud", fit_.shroud,
                    "of a pair: the share of the ambient light that is kept out, \"97 %\"");
    add_output_file(*fit, "-o,--output", fit_.output, "the card to write, NAME.card.toml");
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
    add_replace(*fit, fit_.replace);
    add_picture_folders(*fit, fit_.pictures, "write its curves as SVG into a folder");
    add_json(*fit, fit_.json);
    fit->footer(fit_example);
}

void CardCommand::add_trace() {
    auto* trace = card_->add_subcommand("trace", "points from the picture of a data sheet's chart");
    trace->add_option("IMAGE", trace_.image, "PNG or JPEG")->required();
    const auto axis = [&](const std::string& name, std::string& quantity,
                          std::vector<std::string>& marks, bool& logarithmic) {
        trace
            ->add_option("--" + name, quantity,
                         "what runs along the " + name + " axis, as points name it")
            ->required();
        trace->add_option("--" + name + "-mark", marks,
                          "a value printed on it and its pixels, \"1.2 V at 310,520\"; twice or "
                          "more, far apart");
        trace->add_flag("--" + name + "-log", logarithmic, "the axis is logarithmic");
    };
    axis("x", trace_.x, trace_.x_marks, trace_.x_log);
    axis("y", trace_.y, trace_.y_marks, trace_.y_log);
    trace->add_option(
        "--mark", trace_.marks,
        "the values of both axes at a place, \"1 V, 10 mA at 310,520\"; four and more, "
        "as the plot's corners, read a picture that was taken at an angle");
    trace
        ->add_option("--mark-error", trace_.mark_error,
                     "pixels that a mark may be off, a standard uncertainty all points share")
        ->check(CLI::Range(0.0, 100.0))
        ->capture_default_str();
    trace->add_flag("--as-marked", trace_.as_marked,
                    "leave marks where they were put [they move to the tick or line beside them]");
    trace
        ->add_option("--curve", trace_.curves,
                     "a place on a curve in pixels, \"310,220\"; several places, and what it was "
                     "measured at: \"310,220 400,100; temperature = 85 °C\"; more than once")
        ->required();
    trace->add_option("--at", trace_.at, "what all curves were measured at; more than once");
    trace->add_option("--points", trace_.points, "points of each curve, evenly along it")
        ->check(CLI::Range(2, 1000))
        ->capture_default_str();
    add_output_file(*trace, "-o,--output", trace_.output, "write the points as CSV, for card fit");
    add_output_file(*trace, "--overlay", trace_.overlay,
                    "write the picture with what was read on it, .svg or .png");
    add_replace(*trace, trace_.replace);
    add_json(*trace, trace_.json);
    trace->footer(trace_example);
}

void CardCommand::add_sweep() {
    auto* sweep = card_->add_subcommand(
        "sweep", "a part's points, from bench supplies and a meter that speak SCPI");
    sweep->add_option("CARD", sweep_.card, "a card whose limits hold, by name or file")->required();
    sweep
        ->add_option("--supply", sweep_.supply,
                     "tcp:HOST[:PORT], serial:/dev/…[:BAUD] or usbtmc:/dev/…; demo: a simulated "
                     "bench, to try it without instruments")
        ->required();
    sweep->add_option("--meter", sweep_.meter,
                      "likewise, across the part [the supply measures the voltage]");
    sweep->add_option(
        "--feed", sweep_.feed,
        "likewise, a second supply that feeds a coupler's collector, or the receiver");
    sweep->add_option("--feed-voltage", sweep_.feed_voltage, "of the second supply [5 V]");
    sweep->add_option(
        "--shunt", sweep_.shunt,
        "the meter is across this resistor, \"100 Ω ± 1 %\", in series with the part: "
        "with the fed one where there is a second supply");
    sweep->add_flag("--ammeter", sweep_.ammeter, "the meter is in series there");
    sweep->add_option("--emitter", sweep_.emitter,
                      "the card of the emitter that lights a phototransistor or light-dependent "
                      "resistor: it is what --supply drives");
    sweep->add_option("--distance", sweep_.distance, "from that emitter to the receiver");
    sweep->add_flag("--reverse", sweep_.reverse, "a zener diode in breakdown");
    sweep->add_option("--answer-time", sweep_.answer_time,
                      "how long to wait for one answer of an instrument [2 s]");
    sweep->add_option("--commands", sweep_.commands, "instruments that speak otherwise, as TOML");
    sweep->add_option("--from", sweep_.from,
                      "smallest current [a hundredth of the largest, or what the supply can hold]");
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
    add_output_file(*sweep, "-o,--output", sweep_.output, "write the points as CSV, for card fit");
    sweep->add_option("--specimen", sweep_.specimen, "which part this is, for the points");
    add_replace(*sweep, sweep_.replace);
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
    const InterruptGuard interrupt;
    if (card_->got_subcommand("trace")) return run_card_trace(trace_, interrupt.token());
    if (card_->got_subcommand("sweep")) return run_card_sweep(sweep_, interrupt.token());
    return run_card_fit(fit_, interrupt.token());
}

}  // namespace gapwright
