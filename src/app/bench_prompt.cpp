#include "app/bench_prompt.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <istream>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "app/terminal.hpp"
#include "bench/bench_verdict.hpp"
#include "bench/measurement.hpp"
#include "bench/reading_value.hpp"
#include "bench/suspicion.hpp"
#include "card/key.hpp"
#include "report/bench_report.hpp"
#include "source/display.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

constexpr const char* help =
    "Type what the meter shows, with its unit: 36 mV, 10.2 kΩ, over range.\n"
    "  skip   what cannot be measured; another measurement is asked for\n"
    "  back   takes the last reading back\n"
    "  end    ends the session; what was read is kept\n";

class Prompt {
  public:
    Prompt(BenchAnswer answer, const PromptOptions& options, std::istream& in, const Say& say)
        : answer_(std::move(answer)),
          session_(options.session),
          readings_(options.readings),
          in_(in),
          say_(say) {}

    PromptResult run() {
        bool more =
            say_(cautions_text(answer_, wants_colour()) +
                 "\nA guided session: each reading is the one expected to tell most for its "
                 "trouble.\n" +
                 help);
        while (more) {
            judge_readings();
            const auto next = next_measurement();
            if (!next) {
                const bool decided = answer_.verdict->verdict != LinkVerdict::undecided;
                say_(decided ? "\nThat is enough.\n\n"
                             : "\nNothing that is left to measure tells much more.\n\n");
                break;
            }
            more = ask_for(*next);
        }
        return {readings_, session_.not_measurable};
    }

  private:
    void judge_readings() {
        answer_.verdict =
            bench_verdict(answer_.link, answer_.dictionary, answer_.bands, readings_, session_);
        if (readings_.size() > told_) say_(session_text(answer_, wants_colour()));
        told_ = readings_.size();
    }

    // Whether the sides are apart, before anything is switched on; then what tells most.
    std::optional<std::size_t> next_measurement() const {
        const auto& all = answer_.dictionary.measurements;
        const auto first = std::ranges::find(all, MeasurementKind::isolation, &Measurement::kind);
        const auto m = static_cast<std::size_t>(first - all.begin());
        const bool taken =
            std::ranges::find(readings_, m, &TakenReading::measurement) != readings_.end();
        const auto& skipped = session_.not_measurable;
        const bool passed_over = std::ranges::find(skipped, m) != skipped.end();
        if (first != all.end() && !taken && !passed_over) return m;
        const auto& next = answer_.verdict->next;
        return next ? std::optional(next->measurement) : std::nullopt;
    }

    bool ask_for(std::size_t measurement) {
        say_(fmt::format("\n{}. {}", readings_.size() + 1, asking_text(answer_, measurement)));
        return ask(measurement);
    }

    // False where nothing more comes.
    bool ask(std::size_t measurement) {
        const Measurement& m = answer_.dictionary.measurements[measurement];
        std::string line;
        while (true) {
            if (!say_("> ")) return false;
            if (!std::getline(in_, line)) {
                say_("\n");
                return false;
            }
            const auto first = line.find_first_not_of(" \t\r");
            if (first == std::string::npos) continue;
            line = printable(line.substr(first, line.find_last_not_of(" \t\r") - first + 1));
            if (line == "end") return false;
            if (line == "help" || line == "?") {
                say_(help);
                continue;
            }
            if (line == "skip") {
                session_.not_measurable.push_back(measurement);
                return true;
            }
            if (line == "back") {
                if (readings_.empty()) {
                    say_("  nothing was read yet\n");
                    continue;
                }
                readings_.pop_back();
                return true;
            }
            // A plain 36 may be volts or millivolts: the display says which.
            const bool plain = line.find_first_not_of("+-−0123456789.,eE") == std::string::npos;
            const auto value = parse_reading_value(line, m);
            if (value && plain && *value != 0) {
                say_(fmt::format("  with its unit, please: {0} {1}, or {0} m{1}?\n", line,
                                 unit_of(m)));
                continue;
            }
            if (value) {
                if (beyond_supplies(m, *value)) {
                    say_(
                        "  That is more than its supply gives: if that is what the meter "
                        "shows, good; look at its range.\n");
                }
                readings_.push_back({measurement, *value});
                return true;
            }
            const std::string& remedy = value.error().remedy;
            say_(fmt::format("  {}{}{}\n", value.error().message, remedy.empty() ? "" : "; ",
                             remedy));
        }
    }

    static std::string_view unit_of(const Measurement& m) { return dimension_unit(m.dimension()); }

    bool beyond_supplies(const Measurement& m, double value) const {
        const auto& supply = answer_.link.side(m.side).supply;
        constexpr double far = 1.2;
        return m.kind == MeasurementKind::voltage && supply &&
               std::abs(value) > far * supply->find(Key::voltage)->spread.highest;
    }

    BenchAnswer answer_;
    SessionOptions session_;
    std::vector<TakenReading> readings_;
    std::size_t told_ = 0;  // of the readings, those that something was said about
    std::istream& in_;
    const Say& say_;
};

}  // namespace

PromptResult prompt_for_readings(BenchAnswer answer, const PromptOptions& options, std::istream& in,
                                 const Say& say) {
    return Prompt(std::move(answer), options, in, say).run();
}

}  // namespace gapwright
