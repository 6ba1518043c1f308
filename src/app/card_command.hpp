// `gapwright card …`: makes, shows and compares cards; one command beneath it a file.
#pragma once

#include <cstdint>
#include <stop_token>
#include <string>
#include <vector>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"

namespace CLI {
class App;
}

namespace gapwright {

struct CardFitOptionsOfCommand {
    std::vector<std::string> files;  // points, *.csv, or one card with [[points]]
    std::string kind;                // "led"
    std::string based_on;            // a card's name or file
    std::string emitter;             // of a pair: cards of its halves
    std::string receiver;
    std::string distance;  // between them
    std::string shroud;    // share of the ambient light kept out
    std::string output;    // NAME.card.toml
    std::string name;
    std::string source;
    std::vector<std::string> limits;  // "forward = 1.8 .. 2.3 V"
    std::vector<std::string> at;      // "collector_emitter_voltage = 5 V", for all points
    std::uint64_t seed = 1;
    bool replace = false;  // files that are there
    bool json = false;
    PictureFolders pictures;
};

struct CardShowOptions {
    std::string card;
    std::string other;  // of compare
    bool json = false;
    bool replace = false;  // files that are there
    PictureFolders pictures;
};

struct CardTraceOptions {
    std::string image;  // PNG or JPEG
    std::string x;      // quantities along the axes, as points name them
    std::string y;
    std::vector<std::string> x_marks;  // "1.2 V at 310,520"
    std::vector<std::string> y_marks;
    std::vector<std::string> marks;  // of both, "1 V, 10 mA at 310,520"
    double mark_error = 0.7;         // px, standard, of each mark
    bool as_marked = false;          // marks stay where they were put
    bool x_log = false;
    bool y_log = false;
    std::vector<std::string> curves;  // "310,220 400,120; temperature = 85 °C"
    std::vector<std::string> at;      // what all curves were measured at
    int points = 25;                  // of each curve
    std::string output;               // the CSV file of points
    std::string overlay;              // the picture with what was read, SVG or PNG
    bool replace = false;             // files that are there
    bool json = false;
};

struct CardSweepOptions {
    std::string card;          // whose limits hold
    std::string supply;        // addresses; "demo": a bench that is only simulated
    std::string feed;          // of a second supply
    std::string meter;         // empty: the supply measures
    std::string shunt;         // that the meter is across, "100 Ω ± 1 %"
    bool ammeter = false;      // the meter is in series
    std::string feed_voltage;  // of the second supply
    std::string emitter;       // a card, of what lights a receiver
    std::string distance;      // from it to the receiver
    bool reverse = false;      // a zener diode in breakdown
    std::string answer_time;   // for one answer
    std::string commands;      // a table of commands, TOML
    std::string from;          // currents, as quantities; empty: a hundredth of `to`
    std::string to;            // empty: half of what the card allows
    int points = 15;
    std::string voltage_limit;  // empty: what the card's model needs, and a quarter more
    std::string settle;         // time before a reading
    std::string rest;           // time with the output off between points
    std::string output;         // the CSV file of points
    bool replace = false;       // files that are there
    std::string specimen;
    bool json = false;
};

// The command and its options, and, once the line is parsed, what to run.
class CardCommand {
  public:
    explicit CardCommand(CLI::App& app);

    bool parsed() const;
    ExitStatus run() const;

  private:
    void add_fit();
    void add_shows();
    void add_trace();
    void add_sweep();

    CLI::App* card_;
    CardFitOptionsOfCommand fit_;
    CardShowOptions show_;
    CardShowOptions compare_;
    CardShowOptions check_;
    CardTraceOptions trace_;
    CardSweepOptions sweep_;
};

ExitStatus run_card_fit(const CardFitOptionsOfCommand& options, const std::stop_token& stop);
// The same for a pair measured as it stands.
ExitStatus run_pair_fit(const CardFitOptionsOfCommand& options, const std::stop_token& stop);
ExitStatus run_card_trace(const CardTraceOptions& options, const std::stop_token& stop);
ExitStatus run_card_sweep(const CardSweepOptions& options, const std::stop_token& stop);
ExitStatus run_card_show(const CardShowOptions& options);
ExitStatus run_card_compare(const CardShowOptions& options);
ExitStatus run_card_check(const CardShowOptions& options);

}  // namespace gapwright
