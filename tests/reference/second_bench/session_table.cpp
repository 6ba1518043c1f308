#include "reference/second_bench/session_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace gapwright::reference {
namespace {

std::string reading_words(const FaultDictionary& dictionary, const TakenReading& reading) {
    const Measurement& m = dictionary.measurements[reading.measurement];
    return fmt::format("{} {} = {:.4g}", m.state, m.measure, reading.value);
}

std::string nodes_words(const Link& link, Side side, const std::vector<Node>& nodes) {
    std::vector<std::string> words;
    for (const Node node : nodes) words.push_back(node_word(link, side, node));
    return fmt::format("{}", fmt::join(words, "|"));
}

std::string line(const Link& link, const FaultDictionary& dictionary, const SecondFault* fault,
                 const SecondSession& session, Outcome outcome) {
    std::string text =
        fmt::format("{} [{}] {} → {}:", link.title, outcome_word(outcome),
                    fault ? fault->words : "good", link_verdict_word(session.end.verdict));
    for (std::size_t k = 0; k < std::min<std::size_t>(4, session.end.suspects.size()); ++k) {
        const auto& suspect = session.end.suspects[k];
        text += fmt::format(" {}{} ({:.3f}{});", suspect.text.empty() ? "no fault" : "",
                            suspect.text, suspect.share, suspect.alike ? ", alike" : "");
    }
    if (const auto& across = session.end.isolation.across) {
        text += fmt::format(" across {:.3g} Ω from {} to {};", across->resistance,
                            nodes_words(link, Side::input, across->input),
                            nodes_words(link, Side::output, across->output));
    }
    if (session.powered_while_bridged) text += " POWERED WHILE BRIDGED;";
    if (session.endless) text += " ENDLESS;";
    text += " |";
    for (const auto& reading : session.readings) {
        text += " " + reading_words(dictionary, reading) + ";";
    }
    return text;
}

bool is_miss(Outcome outcome) {
    return outcome != Outcome::found && outcome != Outcome::real_tie &&
           outcome != Outcome::harmless && outcome != Outcome::cleared;
}

class LinkSessions {
  public:
    LinkSessions(const SessionPlan& plan, const std::string& path, SessionTable& table,
                 void (*say)(const std::string&))
        : plan_(plan), table_(table), say_(say) {
        auto read = read_link_file(path);
        if (!read) throw std::runtime_error(to_text(read.error()));
        link_ = std::move(*read);
        auto made = fault_dictionary(link_, {});
        if (!made) throw std::runtime_error(to_text(made.error()));
        dictionary_ = std::move(*made);
        bands_ = reading_bands(dictionary_, 1);
        counts_.link = link_.title;
    }

    SessionCounts counted() {
        Dice dice(plan_.seed);
        const SessionJudge judge(link_, plan_.junction_test);
        for (std::size_t k = 0; k < plan_.faulty; ++k) {
            const auto faults = second_faults(link_, dice);
            const SecondFault& fault = drawn_fault(faults, dice);
            run(judge, &fault, dice.seed());
        }
        for (std::size_t k = 0; k < plan_.good; ++k) run(judge, nullptr, dice.seed());
        return counts_;
    }

  private:
    void run(const SessionJudge& judge, const SecondFault* fault, std::uint64_t seed) {
        SecondBench bench(link_, seed, fault, plan_.junction_test);
        SecondSession session;
        try {
            session = run_session(link_, dictionary_, bands_, bench, {});
        } catch (const std::exception& problem) {
            throw std::runtime_error(fmt::format("{}: {}: {}", link_.title,
                                                 fault ? fault->words : "good", problem.what()));
        }
        const Outcome outcome = judge.judge(session, fault);
        ++(fault ? counts_.faulty : counts_.good);
        ++counts_.of[static_cast<std::size_t>(outcome)];
        counts_.powered_while_bridged += session.powered_while_bridged;
        counts_.endless += session.endless;
        const bool strange = !session.end.suspects.empty() &&
                             !Naming::understands(session.end.suspects.front().text);
        counts_.not_understood += strange;
        if (fault) counts_.readings += session.readings.size();
        if (fault && group_of(fault->kind) == FaultGroup::across) {
            ++counts_.across;
            counts_.across_found += outcome == Outcome::found;
        }
        const bool accuses = session.end.verdict == LinkVerdict::faulty;
        if ((accuses || session.end.verdict == LinkVerdict::good) &&
            !session.end.suspects.empty()) {
            counts_.calibration.add(session.end.suspects.front().share, !is_miss(outcome));
        }
        if (is_miss(outcome) || strange || plan_.tell_each || session.powered_while_bridged) {
            table_.lines.push_back(line(link_, dictionary_, fault, session, outcome));
            if (say_) say_(table_.lines.back());
        }
    }

    const SessionPlan& plan_;
    SessionTable& table_;
    void (*say_)(const std::string&);
    Link link_;
    FaultDictionary dictionary_;
    std::vector<ReadingBand> bands_;
    SessionCounts counts_;
};

std::string row(const SessionCounts& c) {
    const auto n = [&](Outcome outcome) { return c.count(outcome); };
    const double mean = c.share(c.readings, c.faulty);
    return fmt::format(
        "{:16} {:5} {:5} {:4} {:4} {:5} {:5} {:5} {:5} {:5} {:5} | {:4}/{:<4} {:4} | {:6.1f} "
        "{:6.1f} | {:4} {:5} {:5} {:5} {:5} | {:5.1f}\n",
        c.link, c.faulty, n(Outcome::found), n(Outcome::real_tie), n(Outcome::half),
        n(Outcome::wrong), n(Outcome::unexplained), n(Outcome::undecided_near),
        n(Outcome::undecided_far), n(Outcome::harmless), n(Outcome::good_on_bad), c.across_found,
        c.across, c.powered_while_bridged, 100 * c.found_or_tie(), 100 * c.wrong(), c.good,
        n(Outcome::cleared), n(Outcome::false_alarm), n(Outcome::unexplained_good),
        n(Outcome::undecided_good), mean);
}

}  // namespace

void Calibration::add(double share, bool right) {
    std::size_t k = 0;
    while (k + 1 < ends.size() && share >= ends[k]) ++k;
    ++bins[k].told;
    bins[k].right += right;
    bins[k].shares += share;
}

SessionCounts& SessionCounts::operator+=(const SessionCounts& more) {
    faulty += more.faulty;
    good += more.good;
    for (std::size_t k = 0; k < outcomes; ++k) of[k] += more.of[k];
    across += more.across;
    across_found += more.across_found;
    powered_while_bridged += more.powered_while_bridged;
    endless += more.endless;
    not_understood += more.not_understood;
    readings += more.readings;
    for (std::size_t k = 0; k < calibration.bins.size(); ++k) {
        calibration.bins[k].told += more.calibration.bins[k].told;
        calibration.bins[k].right += more.calibration.bins[k].right;
        calibration.bins[k].shares += more.calibration.bins[k].shares;
    }
    return *this;
}

SessionTable run_sessions(const SessionPlan& plan, void (*say)(const std::string&)) {
    SessionTable table;
    for (const auto& path : plan.links) {
        table.links.push_back(LinkSessions(plan, path, table, say).counted());
        table.all += table.links.back();
    }
    table.all.link = "all";
    return table;
}

std::string table_text(const SessionTable& table) {
    std::string text =
        "link             fault found  tie half wrong unexp und3 und-  harml good! | across    "
        "live | right%  wrong% | good clear alarm unexp undec | readings\n";
    for (const auto& counts : table.links) text += row(counts);
    text += row(table.all);
    text += "\nfirst suspect's share, verdicts faulty and good\n";
    const char* names[] = {"below 0.5", "0.5 … 0.9", "0.9 … 0.99", "above 0.99"};
    for (std::size_t k = 0; k < table.all.calibration.bins.size(); ++k) {
        const auto& bin = table.all.calibration.bins[k];
        const double told = std::max<double>(1, static_cast<double>(bin.told));
        text += fmt::format("  {:10}  {:4} told, mean share {:.3f}, right {:.3f}\n", names[k],
                            bin.told, bin.shares / told, static_cast<double>(bin.right) / told);
    }
    text += fmt::format("sessions without an end: {}; first suspects not understood: {}\n",
                        table.all.endless, table.all.not_understood);
    return text;
}

std::vector<std::string> bench_links(const std::string& project_folder) {
    std::vector<std::string> paths;
    for (const char* name : {"bell-hammer", "chime-bus", "lamp-watch", "night-silence",
                             "pendulum-beat", "winder-motor"}) {
        paths.push_back(fmt::format("{}/examples/clock-tower/{}.link.toml", project_folder, name));
    }
    paths.push_back(project_folder + "/examples/first.link.toml");
    for (const char* name : {"well-valve", "belfry-lamp", "generator-watch"}) {
        paths.push_back(
            fmt::format("{}/tests/reference/second_bench/{}.link.toml", project_folder, name));
    }
    return paths;
}

}  // namespace gapwright::reference
