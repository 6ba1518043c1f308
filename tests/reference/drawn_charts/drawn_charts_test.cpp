// Charts drawn by this check alone, whose truth it knows, in the styles people have them, read by
// the program as the documentation tells a person to: right, or refused, or with a caution, and
// with uncertainties that hold.
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <iostream>

#include "reference/drawn_charts/tally.hpp"

namespace gapwright::drawn_charts {
namespace {

// The aim; the share of curves own choice, nine in ten of the intervals that state 95 % likewise.
constexpr double least_share_read = 0.90;
constexpr double least_coverage = 0.90;

// A subset is a sample of the whole: it may miss the aim by two deviations of a share of so many.
double sampled(double aim, int curves, bool all) {
    return all ? aim : aim - 2 * std::sqrt(aim * (1 - aim) / std::max(curves, 1));
}

// Where the pictures and points go: kept in the folder that GAPWRIGHT_KEEP_CHARTS names.
class ChartFolder {
  public:
    ChartFolder() {
        if (const char* kept = std::getenv("GAPWRIGHT_KEEP_CHARTS")) {
            path_ = kept;
            std::filesystem::create_directories(path_);
            return;
        }
        std::string pattern =
            (std::filesystem::temp_directory_path() / "drawn-charts-XXXXXX").string();
        path_ = ::mkdtemp(pattern.data());
        passing_ = true;
    }
    ~ChartFolder() {
        std::error_code ignored;
        if (passing_) std::filesystem::remove_all(path_, ignored);
    }
    ChartFolder(const ChartFolder&) = delete;
    ChartFolder& operator=(const ChartFolder&) = delete;
    const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
    bool passing_ = false;
};

double seconds_used(int who) {
    rusage usage{};
    getrusage(who, &usage);
    return static_cast<double>(usage.ru_utime.tv_sec + usage.ru_stime.tv_sec) +
           1e-6 * static_cast<double>(usage.ru_utime.tv_usec + usage.ru_stime.tv_usec);
}

// The middle curve of a family, seen wholly, as the program would write it; moved up by some share
// of full scale.
std::string points_moved_by(const Chart& chart, double share) {
    const Axis& y = chart.subject.y;
    const Curve& curve = chart.subject.curves[0];
    std::string text =
        "collector_emitter_voltage (V),collector_current (mA),uncertainty (%),"
        "shared_uncertainty (%),curve\n";
    for (int i = 1; i <= 20; ++i) {
        const double x = curve.from + (curve.to - curve.from) * i / 20;
        text += std::to_string(x) + "," + std::to_string(y.value(y.share(curve.y(x)) + share)) +
                ",0.1,0.1,1\n";
    }
    return text;
}

TEST(DrawnChartsVerdict, TellsRightFromWrong) {
    Dice dice("verdict", 1);
    Chart chart;
    chart.subject = make_subject(Kind::collector, 1, 1, dice);
    const auto right = judged(chart, points_moved_by(chart, 0), false).at(0);
    EXPECT_EQ(right.reading, Reading::right);
    EXPECT_EQ(right.covered, right.points);
    const auto wrong = judged(chart, points_moved_by(chart, 0.03), false).at(0);
    EXPECT_EQ(wrong.reading, Reading::silent);
    EXPECT_LT(wrong.covered, 2);
    EXPECT_EQ(judged(chart, points_moved_by(chart, 0.03), true).at(0).reading, Reading::cautioned);
    EXPECT_EQ(judged(chart, "", false).at(0).reading, Reading::refused);
    chart.lost = 0;
    const auto followed = judged(chart, points_moved_by(chart, 0.03), false).at(0);
    EXPECT_FALSE(followed.due);
    EXPECT_EQ(followed.reading, Reading::silent);
}

TEST(DrawnCharts, AreReadRightOrNotAtAll) {
    const bool all = std::getenv("GAPWRIGHT_ALL_CASES") != nullptr;
    const ChartFolder folder;
    std::vector<Tally> tallies;
    Tally whole;
    whole.name = "all";
    std::string told;
    for (const Style& style : styles()) {
        const char* only = std::getenv("GAPWRIGHT_CHART_STYLE");
        if (only != nullptr && style.name != only) continue;
        Tally tally;
        tally.name = style.name;
        for (int number = 0; number < (all ? style.charts : style.in_subset); ++number) {
            const Chart chart = make_chart(style, number, folder.path());
            const Answer answer =
                ask_program(chart, folder.path(), std::vector<bool>(chart.seeds.size(), false));
            tally.add(chart, answer);
            told += remarks(chart, answer);
            const std::vector<bool> again = wanting(answer);
            if (!all || std::find(again.begin(), again.end(), true) == again.end()) continue;
            const Answer second = ask_program(chart, folder.path(), again);
            tally.add_second(answer, second);
            const std::string remark = remarks(chart, second);
            if (!remark.empty()) told += "  with further places:\n" + remark;
        }
        whole.add(tally);
        tallies.push_back(tally);
    }
    tallies.push_back(whole);
    std::cout << told << table(tallies) << "read: " << 100 * whole.share_read()
              << " %, with further places "
              << 100.0 * (whole.readable_right + whole.second) / std::max(whole.readable, 1)
              << " %; cautions that said too little: " << whole.understated << "\n"
              << "processor time: " << seconds_used(RUSAGE_SELF) << " s drawing, "
              << seconds_used(RUSAGE_CHILDREN) << " s reading\n";
    EXPECT_EQ(whole.silent, 0) << "curves were read wrong without a caution";
    EXPECT_EQ(whole.followed, 0) << "what is no curve was followed";
    EXPECT_EQ(whole.missing, 0) << "photos with two marks an axis got no caution";
    EXPECT_EQ(whole.understated, 0) << "a caution said far less than readings were wrong by";
    EXPECT_EQ(whole.lost_others, 0) << "good curves were not written because of one that is lost";
    EXPECT_GE(whole.share_read(), sampled(least_share_read, whole.readable, all));
    EXPECT_GE(whole.coverage(), sampled(least_coverage, whole.readable, all));
}

}  // namespace
}  // namespace gapwright::drawn_charts
