#include "reference/drawn_charts/verdict.hpp"

#include <sys/wait.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "reference/drawn_charts/points_table.hpp"

namespace gapwright::drawn_charts {
namespace {

// The truth as it lies in the plot, both axes from 0 to 1, with the length along it.
class Trail {
  public:
    Trail(const Subject& subject, const Curve& curve) {
        const double from = subject.x.share(curve.from);
        const double to = subject.x.share(curve.to);
        for (int i = 0; i <= 3000; ++i) {
            const double u = from + (to - from) * i / 3000;
            const Place at{u, subject.y.share(curve.y(subject.x.value(u)))};
            const double more =
                places_.empty() ? 0
                                : std::hypot(at[0] - places_.back()[0], at[1] - places_.back()[1]);
            along_.push_back(places_.empty() ? 0 : along_.back() + more);
            places_.push_back(at);
        }
    }
    struct Nearest {
        double distance = 0;
        double along = 0;  // a share of the whole length
    };
    Nearest nearest(Place at) const {
        std::size_t best = 0;
        double least = 1e300;
        for (std::size_t i = 0; i < places_.size(); ++i) {
            const double distance = std::hypot(at[0] - places_[i][0], at[1] - places_[i][1]);
            if (distance < least) {
                least = distance;
                best = i;
            }
        }
        return {least, along_[best] / along_.back()};
    }

  private:
    std::vector<Place> places_;
    std::vector<double> along_;
};

// Where the curve is at a height, for a voltage that was measured at a current.
double across(const Subject& subject, const Curve& curve, double y) {
    double low = subject.x.from - (subject.x.to - subject.x.from);
    double high = subject.x.to + (subject.x.to - subject.x.from);
    for (int i = 0; i < 80; ++i) {
        const double middle = 0.5 * (low + high);
        (curve.y(middle) < y ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

// How far off by the stated deviation.
double deviations(const Subject& subject, const Curve& curve, double x, double y, double stated) {
    const double measured = subject.measures_x ? x : y;
    const double truth = subject.measures_x ? across(subject, curve, y) : curve.y(x);
    return std::abs(measured - truth) / std::max(stated * std::abs(measured), 1e-300);
}

// "temperature = 85 °C" as the table must have it.
bool measured_as_told(const PointsTable& table, std::size_t row, const std::string& told) {
    if (told.empty()) return true;
    const auto equals = told.find(" = ");
    char* rest = nullptr;
    const double number = std::strtod(told.c_str() + equals + 3, &rest);
    const double due = number * unit_size(rest + 1);
    return std::abs(table.at(row, told.substr(0, equals)) - due) <= 1e-6 * std::abs(due);
}

// The points of one `--curve` against the truth of a curve.
Judged against(const Subject& subject, const PointsTable& table, std::size_t option,
               std::size_t which) {
    const Curve& curve = subject.curves[which];
    const Trail trail(subject, curve);
    Judged one;
    double first = 1;
    double last = 0;
    for (std::size_t row = 0; row < table.rows(); ++row) {
        if (table.at(row, "curve") != static_cast<double>(option + 1)) continue;
        const double x = table.at(row, subject.x.quantity) / unit_size(subject.x.unit);
        const double y = table.at(row, subject.y.quantity) / unit_size(subject.y.unit);
        const auto nearest = trail.nearest({subject.x.share(x), subject.y.share(y)});
        const bool told = measured_as_told(table, row, subject.curves[option].measured_at);
        const double error = std::isfinite(nearest.distance) && told ? nearest.distance : 1;
        one.worst = std::max(one.worst, error);
        first = std::min(first, nearest.along);
        last = std::max(last, nearest.along);
        const double stated =
            std::hypot(table.at(row, "uncertainty"), table.at(row, "shared_uncertainty"));
        const double off = deviations(subject, curve, x, y, stated);
        ++one.points;
        one.covered += off <= 1.96 ? 1 : 0;
        one.squares += std::isfinite(off) ? off * off : 100;
    }
    one.extent = std::max(0.0, last - first);
    return one;
}

std::string text_of(const std::filesystem::path& path) {
    std::ifstream stream(path, std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

// Whether a list of the program's JSON has anything in it.
bool is_filled(const std::string& json, const std::string& member) {
    auto at = json.find("\"" + member + "\": [");
    if (at == std::string::npos) return false;
    at = json.find_first_not_of(" \n\r\t", at + member.size() + 5);
    return at != std::string::npos && json[at] != ']';
}

}  // namespace

std::vector<Judged> judged(const Chart& chart, const std::string& points, bool cautioned) {
    const PointsTable table(points);
    const Trap trap = chart.recipe.trap;
    std::vector<Judged> all;
    for (std::size_t j = 0; j < chart.subject.curves.size(); ++j) {
        Judged one = against(chart.subject, table, j, j);
        const bool lost = chart.lost == static_cast<int>(j);
        one.due = !lost && (trap == Trap::none || trap == Trap::one_lost);
        // A sample or text over which a curve runs may yield that curve, if nothing else.
        for (std::size_t k = 0; !one.due && !lost && k < chart.subject.curves.size(); ++k) {
            one.worst = std::min(one.worst, against(chart.subject, table, j, k).worst);
        }
        if (one.points > 0) {
            const bool right = !lost && one.worst <= right_within;
            one.reading = right ? (one.extent >= half_of_it ? Reading::right : Reading::part)
                                : (cautioned ? Reading::cautioned : Reading::silent);
        }
        all.push_back(one);
    }
    return all;
}

Answer ask_program(const Chart& chart, const std::filesystem::path& folder,
                   const std::vector<bool>& further) {
    const auto points = folder / (chart.file + ".csv");
    std::filesystem::remove(points);
    Answer answer;
    answer.command = command(chart, further) + " -o " + points.filename().string();
    const std::string line = "cd '" + folder.string() + "' && '" GAPWRIGHT_PROGRAM "' " +
                             answer.command + " --json </dev/null >out.json 2>err.txt";
    const int status = std::system(line.c_str());
    answer.exit_status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    const std::string json = text_of(folder / "out.json");
    answer.said = text_of(folder / "err.txt");
    answer.cautioned = is_filled(json, "cautions");
    const std::string key = "wrong by ";
    for (auto at = json.find(key); at != std::string::npos; at = json.find(key, at + 1)) {
        const double share = std::strtod(json.c_str() + at + key.size(), nullptr) / 100;
        answer.wrong_by = std::max(answer.wrong_by, share);
    }
    answer.curves = judged(chart, text_of(points), answer.cautioned);
    return answer;
}

}  // namespace gapwright::drawn_charts
