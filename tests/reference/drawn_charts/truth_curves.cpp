#include "reference/drawn_charts/truth_curves.hpp"

#include <array>
#include <cmath>
#include <utility>

namespace gapwright::drawn_charts {

namespace {

// Bends from an exponential into a straight line.
double bend(double x) {
    return x > 30 ? x : std::log1p(std::exp(x));
}

std::string stated(const char* quantity, double value, const char* unit, std::string& label) {
    std::array<char, 32> text{};
    std::snprintf(text.data(), text.size(), "%g %s", value, unit);
    label = text.data();
    return std::string(quantity) + " = " + label;
}

// The domain in which the curve lies in the plot, 0.995 of it at most.
void keep_inside(Curve& curve, const Axis& x, const Axis& y, double first, double last) {
    const auto inside = [&](double share) {
        const double v = y.share(curve.y(x.value(share)));
        return v >= 0 && v <= 0.985;
    };
    double low = first;
    double high = last;
    while (low < high && !inside(low)) low += 0.001;
    double end = low;
    while (end < high && inside(end + 0.001)) end += 0.001;
    curve.from = x.value(low);
    curve.to = x.value(end);
}

constexpr std::array temperatures{25.0, 85.0, -40.0, 55.0, 0.0, 100.0};
constexpr std::array currents{2.0, 5.0, 10.0, 15.0, 20.0, 30.0};
constexpr std::array voltages{5.0, 0.4, 1.0, 2.0, 10.0, 0.7};

Subject forward(bool decades, int curves, double apart, Dice& dice) {
    const bool red = dice.below(2) == 1;
    const double base = red ? 1.4 : 0.8;
    Subject all{.x = {"forward_voltage", "V", base, base + (decades ? 0.7 : 0.8), 0.1},
                .y = {"forward_current", "mA", 0, 50, 10},
                .measures_x = true,
                .at = {},
                .curves = {}};
    if (decades) all.y = {"forward_current", "mA", 0.1, 100, 0, true};
    const double width = dice.between(0.03, 0.045);
    const double knee = base + (decades ? 0.42 : 0.32) - 0.04 * (curves - 1) * apart;
    const double slope = dice.between(decades ? 9 : 8, decades ? 11 : 9);
    for (int j = 0; j < curves; ++j) {
        const double at = knee + 0.10 * apart * j;
        Curve one{.y = [=](double v) { return slope * std::pow(bend((v - at) / width), 1.08); },
                  .from = 0,
                  .to = 0,
                  .measured_at = {},
                  .label = {}};
        if (curves > 1) {
            one.measured_at = stated("temperature", 110 - 30 * j, "°C", one.label);
        }
        keep_inside(one, all.x, all.y, 0.005, 1);
        all.curves.push_back(std::move(one));
    }
    return all;
}

Subject transfer(bool decades, bool crossing, int curves, double apart, Dice& dice) {
    Subject all{.x = {"forward_current", "mA", 0.1, 100, 0, true},
                .y = {"ctr", "%", 0, 200, 25},
                .at = curves > 1 ? "" : "collector_emitter_voltage = 5 V",
                .curves = {}};
    if (dice.below(2) == 1) all.x.from = 1;
    if (decades) all.y = {"ctr", "%", 1, 1000, 0, true};
    const double top = dice.between(140, 175);
    const double middle = dice.between(7, 9);
    const double rise = dice.between(0.42, 0.48);
    const double fall = dice.between(0.5, 0.6);
    for (int j = 0; j < curves; ++j) {
        const double size = decades ? top * std::pow(10, -0.35 * apart * j)
                                    : top - (crossing ? 12 : 30 * apart) * j;
        const double at = crossing ? 1.5 * std::pow(4.5, j) : middle;
        Curve one{.y =
                      [=](double i) {
                          return 2 * size / (std::pow(at / i, rise) + std::pow(i / at, fall));
                      },
                  .from = 0,
                  .to = 0,
                  .measured_at = {},
                  .label = {}};
        if (curves > 1) {
            one.measured_at = stated("collector_emitter_voltage", voltages[j], "V", one.label);
        }
        keep_inside(one, all.x, all.y, dice.between(0, 0.08), dice.between(0.88, 1));
        all.curves.push_back(std::move(one));
    }
    return all;
}

Subject collector(int curves, double apart, Dice& dice) {
    const double span = std::array{5.0, 10.0, 20.0}[dice.below(3)];
    Subject all{.x = {"collector_emitter_voltage", "V", 0, span, span / 5},
                .y = {"collector_current", "mA", 0, 40, 5},
                .at = curves > 1 ? "" : "forward_current = 10 mA",
                .curves = {}};
    const double least = curves > 1 ? dice.between(2, 5) : dice.between(15, 28);
    const double gap = (curves > 1 ? 28.0 / curves : 0) * (apart < 1 ? 0.2 + apart * 0.5 : 1);
    const double knee = dice.between(0.03, 0.06) * span;
    const double tilt = dice.between(0.05, 0.16) / span;
    for (int j = 0; j < curves; ++j) {
        const double size = least + gap * j;
        Curve one{.y =
                      [=](double v) {
                          const double p = std::pow(v / knee, 2.2);
                          return size * std::pow(p / (1 + p), 1 / 2.2) * (1 + tilt * v);
                      },
                  .from = 0,
                  .to = 0,
                  .measured_at = {},
                  .label = {}};
        if (curves > 1) one.measured_at = stated("forward_current", currents[j], "mA", one.label);
        keep_inside(one, all.x, all.y, 0, dice.below(3) == 0 ? 0.95 : 1);
        all.curves.push_back(std::move(one));
    }
    return all;
}

Subject over_temperature(int curves, double apart, Dice& dice) {
    Subject all{.x = {"temperature", "°C", -40, 100, 20},
                .y = {"relative_ctr", "%", 0, 160, 20},
                .at = curves > 1 ? "" : "forward_current = 5 mA",
                .curves = {}};
    const double hump = dice.between(0.08, 0.14);
    for (int j = 0; j < curves; ++j) {
        const double fall = dice.between(0.38, 0.42) - 0.2 * apart * j;
        Curve one{.y =
                      [=](double t) {
                          const double u = (t - 25) / 75;
                          return 100 * std::exp(-fall * u - hump * u * u);
                      },
                  .from = 0,
                  .to = 0,
                  .measured_at = {},
                  .label = {}};
        if (curves > 1) one.measured_at = stated("forward_current", currents[j], "mA", one.label);
        keep_inside(one, all.x, all.y, dice.between(0, 0.1), dice.between(0.9, 1));
        all.curves.push_back(std::move(one));
    }
    return all;
}

Subject resistor(int curves, double apart, Dice& dice) {
    Subject all{.x = {"illuminance", "lx", 1, 1000, 0, true},
                .y = {"resistance", "kΩ", 0.1, 1000, 0, true},
                .at = {},
                .curves = {}};
    const double first = dice.between(1.6, 1.9);
    const double gamma = dice.between(0.65, 0.8);
    const double sag = dice.between(-0.03, 0.06);
    for (int j = 0; j < curves; ++j) {
        const double size = first - 0.4 * apart * j;
        Curve one{.y =
                      [=](double lux) {
                          const double u = std::log10(lux / 10);
                          return std::pow(10, size - gamma * u - sag * u * u);
                      },
                  .from = 0,
                  .to = 0,
                  .measured_at = {},
                  .label = {}};
        if (curves > 1) {
            one.measured_at = stated("temperature", temperatures[j], "°C", one.label);
        }
        keep_inside(one, all.x, all.y, 0, 1);
        all.curves.push_back(std::move(one));
    }
    return all;
}

Subject dark(int curves, double apart, Dice& dice) {
    Subject all{.x = {"temperature", "°C", 0, 100, 20},
                .y = {"dark_current", "nA", 0.1, 10000, 0, true},
                .at = curves > 1 ? "" : "collector_emitter_voltage = 10 V",
                .curves = {}};
    const double rise = dice.between(0.034, 0.038);
    for (int j = 0; j < curves; ++j) {
        const double size = dice.between(-0.1, 0.1) - 0.35 * apart * (j - 1);
        Curve one{.y =
                      [=](double t) {
                          return std::pow(10,
                                          size + rise * (t - 10) - 0.00003 * (t - 10) * (t - 10));
                      },
                  .from = 0,
                  .to = 0,
                  .measured_at = {},
                  .label = {}};
        if (curves > 1) {
            one.measured_at = stated("collector_emitter_voltage", voltages[j], "V", one.label);
        }
        keep_inside(one, all.x, all.y, 0.02, 1);
        all.curves.push_back(std::move(one));
    }
    return all;
}

}  // namespace

Subject make_subject(Kind kind, int curves, double apart, Dice& dice) {
    switch (kind) {
        case Kind::forward:
            return forward(false, curves, apart, dice);
        case Kind::forward_decades:
            return forward(true, curves, apart, dice);
        case Kind::transfer:
            return transfer(false, false, curves, apart, dice);
        case Kind::transfer_decades:
            return transfer(true, false, curves, apart, dice);
        case Kind::transfer_crossing:
            return transfer(false, true, curves, apart, dice);
        case Kind::collector:
            return collector(curves, apart, dice);
        case Kind::temperature:
            return over_temperature(curves, apart, dice);
        case Kind::resistor:
            return resistor(curves, apart, dice);
        case Kind::dark:
            return dark(curves, apart, dice);
    }
    return {};
}

}  // namespace gapwright::drawn_charts
