#include "app/command_table.hpp"

#include <fmt/format.h>

#include <fstream>

namespace gapwright::testing_support {
namespace {

const std::vector<OutputOption> pictures = {{.option = "--svg", .folder = true},
                                            {.option = "--png", .folder = true},
                                            {.option = "--pdf", .folder = true}};

std::vector<OutputOption> and_pictures(std::vector<OutputOption> files) {
    files.insert(files.end(), pictures.begin(), pictures.end());
    return files;
}

constexpr const char* axes =
    " --x forward_voltage --x-mark '0.9 V at 105,498' --x-mark '1.5 V at 697,506'"
    " --y forward_current --y-log --y-mark '0.1 mA at 105,498' --y-mark '100 mA at 111,74'"
    " --curve 339,261";

void write(const std::filesystem::path& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

std::string plain_link(const ForeignText& foreign) {
    return fmt::format(R"(title = "Plain{0}"
about = "Quick to work out{0}"
[surroundings]
working_voltage = "24 V"
[input]
supply = "9 V"
paths = ["supply > S1{1} > R1 > U1{1} > return"]
[output]
supply = "5 V ± 5 %"
paths = ["supply > R2{1} > signal{1}", "signal{1} > U1{1} > return", "signal{1} > L1 > return"]
[parts]
"S1{1}" = {{ kind = "contact" }}
R1 = {{ kind = "resistor", value = "1 kΩ ± 5 %", power = "0.25 W" }}
"U1{1}" = {{ card = "mine" }}
"R2{1}" = {{ kind = "resistor", value = "10 kΩ ± 5 %" }}
L1 = {{ card = "logic-input-5v", voltage = "7 V" }}
[states]
"on{1}" = {{ "S1{1}" = "closed" }}
"off{1}" = {{ "S1{1}" = "open" }}
[choose]
drawer = "drawer.csv"
[[promise]]
state = "on{1}"
voltage = "signal{1}"
at_most = "0.8 V"
[[promise]]
change = ["on{1}", "off{1}"]
voltage = "signal{1}"
reaches = "3 V"
within = "1 ms"
)",
                       foreign.title, foreign.name);
}

// With few parts, so that its faults are soon simulated and R2, where it is to be chosen, is found.
std::string small_link(const ForeignText& foreign, const std::string& r2) {
    return fmt::format(R"(title = "Small{0}"
[input]
supply = "9 V"
paths = ["supply > R1 > U1{1} > return"]
[output]
supply = "5 V"
paths = ["supply > R2{1} > signal{1}", "signal{1} > U1{1} > return"]
[parts]
R1 = {{ kind = "resistor", value = "1 kΩ ± 5 %" }}
"U1{1}" = {{ card = "mine" }}
"R2{1}" = {{ kind = "resistor", value = "{2}" }}
[states]
"on{1}" = {{}}
[choose]
drawer = "drawer.csv"
[[promise]]
state = "on{1}"
voltage = "signal{1}"
at_most = "0.8 V"
)",
                       foreign.title, foreign.name, r2);
}

}  // namespace

const std::vector<WritingCommand>& writing_commands() {
    static const std::vector<WritingCommand> commands = {
        {.command = "report",
         .arguments = "report plain.link.toml --samples 20 --timed-samples 2",
         .outputs = and_pictures({{.option = "-o"}}),
         .inputs = {"plain.link.toml", "mine.card.toml"}},
        {.command = "design",
         .arguments = "design open.link.toml --samples 20",
         .outputs = and_pictures({{.option = "-o"}}),
         .inputs = {"open.link.toml", "drawer.csv", "mine.card.toml"}},
        {.command = "wave",
         .arguments = "wave plain.link.toml",
         .outputs = and_pictures({{.option = "--csv"}}),
         .inputs = {"plain.link.toml", "mine.card.toml"}},
        {.command = "build",
         .arguments =
             "build plain.link.toml --board grid --starts 1 --samples 20 --timed-samples 2 "
             "--drawer drawer.csv",
         .outputs = {{.option = "-o", .folder = true},
                     {.option = "--png", .folder = true},
                     {.option = "--pdf", .folder = true}}},
        {.command = "bench",
         .arguments = "bench small.link.toml --readings readings.csv",
         .outputs = {{.option = "-o"}, {.option = "--form"}},
         .inputs = {"small.link.toml", "mine.card.toml", "readings.csv"}},
        {.command = "bench",
         .arguments = "bench small.link.toml --enter < typed.txt",
         .outputs = {{.option = "--save"}},
         .inputs = {"small.link.toml", "mine.card.toml"}},
        {.command = "bench",
         .arguments = "bench small.link.toml --history",
         .outputs = {{.option = "--points", .folder = true}},
         .inputs = {"small.link.toml", "mine.card.toml"}},
        {.command = "card show", .arguments = "card show mine.card.toml", .outputs = pictures},
        {.command = "card compare",
         .arguments = "card compare mine.card.toml four-pin-coupler-c",
         .outputs = pictures},
        {.command = "card fit",
         .arguments = "card fit points.csv --based-on lamp.card.toml",
         .outputs = and_pictures({{.option = "-o", .name = "new.card.toml"}}),
         .inputs = {"points.csv", "lamp.card.toml"}},
        {.command = "card trace",
         .arguments = std::string("card trace chart.png") + axes,
         .outputs = {{.option = "-o"}, {.option = "--overlay"}},
         .inputs = {"chart.png"}},
        {.command = "card sweep",
         .arguments = "card sweep lamp.card.toml --supply tcp:127.0.0.1:9 --commands commands.toml",
         .outputs = {{.option = "-o"}},
         .inputs = {"lamp.card.toml", "commands.toml"},
         .runs = false},
        {.command = "card sweep",
         .arguments = "card sweep lamp.card.toml --supply demo --points 3",
         .outputs = {{.option = "-o"}},
         .inputs = {"lamp.card.toml"}},
    };
    return commands;
}

std::vector<std::string> all_lines() {
    std::vector<std::string> lines = {
        "check plain.link.toml --samples 20 --timed-samples 2",
        "check plain.link.toml --nominal",
        "wave plain.link.toml --sweep R1",
        "wave plain.link.toml --samples 20",
        "bench small.link.toml",
        "card check mine.card.toml",
        "open no-such-folder",
    };
    for (const auto& command : writing_commands()) {
        const auto& output = command.outputs.front();
        lines.push_back(
            fmt::format("{} {} {} --replace", command.arguments, output.option, output.name));
    }
    return lines;
}

void make_scene(const std::filesystem::path& folder, const ForeignText& foreign) {
    write(folder / "plain.link.toml", plain_link(foreign));
    write(folder / "small.link.toml", small_link(foreign, "10 kΩ"));
    write(folder / "open.link.toml", small_link(foreign, "choose"));
    write(
        folder / "mine.card.toml",
        fmt::format("based_on = \"four-pin-coupler-b\"\nname = \"Mine{0}\"\nsource = \"bench{0}\"\n"
                    "note = \"{0}\"\n",
                    foreign.title));
    write(folder / "lamp.card.toml",
          fmt::format("based_on = \"red-led\"\nname = \"Lamp{0}\"\nsource = \"bench{0}\"\n",
                      foreign.title));
    write(folder / "commands.toml", "");
    write(folder / "drawer.csv", fmt::format("kind,value,tolerance,power,count,card,note\n"
                                             "resistor,1 kΩ,5 %,0.25 W,3,,\"left{0}\"\n"
                                             "resistor,10 kΩ,5 %,0.25 W,3,,\"right{0}\"\n"
                                             "resistor,much{0},5 %,0.25 W,3,,\n"
                                             "coupler,,,,1,mine,\"tin{0}\"\n",
                                             foreign.cell));
    write(
        folder / "readings.csv",
        fmt::format("state,measure,value,note\nunpowered,resistance across R1,99.2 kΩ,\"red{}\"\n",
                    foreign.cell));
    std::filesystem::create_directories(folder / "small.bench");
    write(folder / "small.bench/0001-2026-11-26.toml",
          fmt::format("title = \"Small{0}\"\nwho = \"shift{0}\"\nwhen = \"2026-11-26T18:05:00Z\"\n"
                      "verdict = \"good\"\n"
                      "[[reading]]\nstate = \"on{1}\"\nmeasure = \"current input.supply\"\n"
                      "value = \"7.8 mA\"\n"
                      "[[reading]]\nstate = \"on{1}\"\nmeasure = \"voltage across U1{1}.emitter\"\n"
                      "value = \"1.2 V\"\n",
                      foreign.title, foreign.name));
    write(folder / "typed.txt", fmt::format("much{0}\nOL\nend\n", foreign.cell));
    write(folder / "points.csv",
          fmt::format("forward_current (mA),forward_voltage (V),specimen,note\n"
                      "0.5,1.72,\"one{0}\",faint\n1,1.76,\"one{0}\",\n5,1.88,\"two{0}\",\n"
                      "20,2.02,\"two{0}\",\"bright{0}\"\nfew{0},2.1,,\n",
                      foreign.cell));
    std::filesystem::copy_file(PROJECT_FOLDER "/examples/clock-tower/charts/vane-emitter.png",
                               folder / "chart.png");
}

}  // namespace gapwright::testing_support
