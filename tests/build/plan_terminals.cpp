#include "build/plan_terminals.hpp"

#include <algorithm>
#include <cstdlib>
#include <set>
#include <sstream>

namespace gapwright::testing_support {
namespace {

class TableReader {
  public:
    explicit TableReader(const std::string& csv) {
        std::istringstream lines(csv);
        for (std::string line; std::getline(lines, line);) {
            if (line.ends_with('\r')) line.pop_back();
            std::vector<std::string> cells;
            std::istringstream row(line);
            for (std::string cell; std::getline(row, cell, ',');) cells.push_back(cell);
            cells.resize(7);
            rows_.push_back(std::move(cells));
        }
    }

    PlanTerminals run() {
        for (const auto& row : rows_) {
            if (row[0] == "board") kind_ = row[1];
            if (row[0] == "cut") cuts_.insert(place_of(row[3]));
        }
        for (const auto& row : rows_) {
            if (row[0] == "wire") wire(row[3], row[4], row[2] == "insulated");
        }
        for (const auto& row : rows_) {
            if (row[0] != "part" && row[0] != "lead") continue;
            const std::string pin = row[1] + " " + row[2];
            take(row[3], pin);
            if (result_.place.contains(pin)) mistake(pin + " stands in two holes");
            result_.place[pin] = place_of(row[3]);
        }
        // When all is joined that will be.
        for (const auto& [pin, hole] : hole_of_) result_.conductor[pin] = root(metal(hole));
        return std::move(result_);
    }

  private:
    void mistake(const std::string& text) { result_.mistakes.push_back(text); }

    void take(const std::string& hole, const std::string& pin) {
        if (!taken_.insert(hole).second) mistake(hole + " is used twice");
        hole_of_[pin] = hole;
    }

    // A solderless board's rows of five: a to e, and f to j on the other side of the channel; rails
    // stand outside of them. Elsewhere letters count columns: A to Z, AA, AB …
    std::pair<int, int> place_of(const std::string& hole) const {
        int column = 0;
        std::size_t k = 0;
        if (hole[1] == '+' || hole[1] == '-') {
            column = hole[0] == 'L' ? (hole[1] == '+' ? -4 : -3) : (hole[1] == '-' ? 15 : 16);
            k = 2;
        } else if (kind_ == "solderless") {
            column = hole[0] - 'a' + (hole[0] > 'e' ? 2 : 0);  // the channel is three pitches wide
            k = 1;
        } else {
            for (; hole[k] >= 'A' && hole[k] <= 'Z'; ++k)
                column = 26 * column + (hole[k] - 'A' + 1);
            --column;
        }
        return {column, std::atoi(hole.c_str() + k) - 1};
    }

    static std::string at(std::pair<int, int> place) {
        return std::to_string(place.first) + "/" + std::to_string(place.second);
    }

    // What the board's own metal joins has the same name.
    std::string metal(const std::string& hole) const {
        const auto place = place_of(hole);
        if (kind_ == "solderless") {
            if (hole[1] == '+' || hole[1] == '-') return hole.substr(0, 2);
            return (hole[0] <= 'e' ? "left " : "right ") + std::to_string(place.second);
        }
        if (kind_ != "strip") return at(place);
        // A strip's piece is known by its first hole.
        int first = place.first;
        while (first > 0 && !cuts_.contains({first - 1, place.second})) --first;
        return at({first, place.second});
    }

    std::string root(std::string name) {
        while (joined_.contains(name)) name = joined_.at(name);
        return name;
    }
    void join(const std::string& a, const std::string& b) {
        const std::string from = root(a);
        const std::string to = root(b);
        if (from != to) joined_[from] = to;
    }

    void wire(const std::string& from, const std::string& to, bool insulated) {
        join(metal(from), metal(to));
        if (kind_ != "grid") {
            for (const auto& hole : {from, to}) {
                if (!taken_.insert(hole).second) mistake(hole + " is used twice");
            }
            return;
        }
        if (insulated) return;
        // Bare wire under a grid board touches every pin on its way.
        const auto a = place_of(from);
        const auto b = place_of(to);
        const int across = b.first - a.first;
        const int down = b.second - a.second;
        const int steps = std::max(std::abs(across), std::abs(down));
        if (across != 0 && down != 0) mistake("bare wire aslant from " + from + " to " + to);
        for (int k = 1; k < steps; ++k) {
            join(at(a), at({a.first + across * k / steps, a.second + down * k / steps}));
        }
    }

    std::vector<std::vector<std::string>> rows_;
    std::string kind_;
    std::set<std::pair<int, int>> cuts_;
    std::map<std::string, std::string> hole_of_;
    std::map<std::string, std::string> joined_;
    std::set<std::string> taken_;
    PlanTerminals result_;
};

}  // namespace

PlanTerminals plan_terminals(const std::string& csv) {
    return TableReader(csv).run();
}

}  // namespace gapwright::testing_support
