#include "app/bench_prompt.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <istream>
#include <ostream>

#include "app/terminal.hpp"
#include "bench/reading_value.hpp"

namespace gapwright {
namespace {

constexpr const char* help =
    "Type what the meter shows, with its unit: 36 mV, 10.2 kΩ, over range.\n"
    "  skip   what cannot be measured; another measurement is asked for\n"
    "  back   takes the last reading back\n"
    "  end    ends the session; what was read is kept\n";

class Prompt {
  public:
    Prompt(BenchAnswer answer, const PromptOptions& options, std::istream& in, std::ostream& out)
        : answer_(std::move(answer)),
          options_(options),
          session_(options.session),
          readings_(options.readings),
          in_(in),
          out_(out) {}

    std::vector<TakenReading> run() {
        out_ << "\nA guided session: each reading is the one expected to tell most for its "
                "trouble.\n"
             << help;
        while (true) {
            answer_.verdict =
                bench_verdict(answer_.link, answer_.dictionary, answer_.bands, readings_, session_);
            if (options_.judged) options_.judged(*answer_.verdict);
            if (readings_.size() > told_) out_ << session_text(answer_, wants_colour());
            told_ = readings_.size();
            if (!answer_.verdict->next) break;
            out_ << "\n" << readings_.size() + 1 << ". " << asking_text(answer_);
            if (!ask(answer_.verdict->next->measurement)) break;
        }
        return readings_;
    }

  private:
    // False where nothing more comes.
    bool ask(std::size_t measurement) {
        const Measurement& m = answer_.dictionary.measurements[measurement];
        std::string line;
        while (true) {
            out_ << "> " << std::flush;
            if (!std::getline(in_, line)) {
                out_ << "\n";
                return false;
            }
            const auto first = line.find_first_not_of(" \t\r");
            if (first == std::string::npos) continue;
            line = line.substr(first, line.find_last_not_of(" \t\r") - first + 1);
            if (line == "end") return false;
            if (line == "help" || line == "?") {
                out_ << help;
                continue;
            }
            if (line == "skip") {
                session_.not_measurable.push_back(measurement);
                return true;
            }
            if (line == "back") {
                if (!readings_.empty()) readings_.pop_back();
                return true;
            }
            const auto value = parse_reading_value(line, m);
            if (value) {
                readings_.push_back({measurement, *value});
                return true;
            }
            out_ << "  " << value.error().message;
            if (!value.error().remedy.empty()) out_ << "; " << value.error().remedy;
            out_ << "\n";
        }
    }

    BenchAnswer answer_;
    const PromptOptions& options_;
    SessionOptions session_;
    std::vector<TakenReading> readings_;
    std::size_t told_ = 0;  // of the readings, those that something was said about
    std::istream& in_;
    std::ostream& out_;
};

}  // namespace

std::vector<TakenReading> prompt_for_readings(BenchAnswer answer, const PromptOptions& options,
                                              std::istream& in, std::ostream& out) {
    return Prompt(std::move(answer), options, in, out).run();
}

}  // namespace gapwright
