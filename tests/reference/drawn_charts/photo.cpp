#include "reference/drawn_charts/photo.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace gapwright::drawn_charts {
namespace {

constexpr double degree = std::numbers::pi / 180;
constexpr std::array<float, 3> table{92, 74, 60};

// Each pixel from the page by the projection, from the four places around it where that is finer.
Picture projected(const Picture& page, const Projection& projection, int width, int height,
                  const std::array<float, 3>& beside) {
    Picture taken(width, height);
    const Projection back = projection.inverse();
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            float* pixel = taken.at(x, y);
            std::fill(pixel, pixel + 3, 0.0F);
            for (int part = 0; part < 4; ++part) {
                const Place from = back({x + (part % 2) * 0.5 - 0.25, y + (part / 2) * 0.5 - 0.25});
                const bool on = from[0] > -0.5 && from[1] > -0.5 && from[0] < page.width - 0.5 &&
                                from[1] < page.height - 0.5;
                for (int c = 0; c < 3; ++c) {
                    pixel[c] += (on ? page.between(from[0], from[1], c) : beside[c]) / 4;
                }
            }
        }
    }
    return taken;
}

// The paper's and the phone's: spots about 4 px wide, of 4 levels.
Picture grain(int width, int height, Dice& dice) {
    Picture texture(width, height);
    for (float& value : texture.values) value = static_cast<float>(dice.normal(24));
    blur(texture, 1.7);
    return texture;
}

}  // namespace

Place Projection::operator()(Place page) const {
    const double w = m_[6] * page[0] + m_[7] * page[1] + m_[8];
    return {(m_[0] * page[0] + m_[1] * page[1] + m_[2]) / w,
            (m_[3] * page[0] + m_[4] * page[1] + m_[5]) / w};
}

Projection Projection::inverse() const {
    const auto& m = m_;
    return Projection(
        {m[4] * m[8] - m[5] * m[7], m[2] * m[7] - m[1] * m[8], m[1] * m[5] - m[2] * m[4],
         m[5] * m[6] - m[3] * m[8], m[0] * m[8] - m[2] * m[6], m[2] * m[3] - m[0] * m[5],
         m[3] * m[7] - m[4] * m[6], m[1] * m[6] - m[0] * m[7], m[0] * m[4] - m[1] * m[3]});
}

Projection Projection::then(double scale, Place moved) const {
    auto m = m_;
    for (int column = 0; column < 3; ++column) {
        for (int row = 0; row < 2; ++row) {
            m[3 * row + column] = scale * m[3 * row + column] + moved[row] * m[6 + column];
        }
    }
    return Projection(m);
}

Taken scanned(const Picture& page, bool coarse, Dice& dice) {
    const double turn = dice.between(0.2, 1.2) * (dice.below(2) == 0 ? 1 : -1) * degree;
    const double c = std::cos(turn);
    const double s = std::sin(turn);
    const double x = page.width / 2.0;
    const double y = page.height / 2.0;
    const Projection projection({c, -s, x - c * x + s * y, s, c, y - s * x - c * y, 0, 0, 1});
    Picture taken = projected(page, projection, page.width, page.height, {255, 255, 255});
    blur(taken, dice.between(0.5, 0.9));
    const double paper = dice.between(225, 248);
    const double ink = dice.between(25, 70);
    const double noise = dice.between(4, 9);
    for (int row = 0; row < taken.height; ++row) {
        for (int column = 0; column < taken.width; ++column) {
            float* pixel = taken.at(column, row);
            const double light = (0.299 * pixel[0] + 0.587 * pixel[1] + 0.114 * pixel[2]) / 255;
            double value = ink + (paper - ink) * light + dice.normal(noise);
            if (coarse) value = value < 0.5 * (paper + ink) + 25 ? 0 : 255;
            std::fill(pixel, pixel + 3, static_cast<float>(value));
        }
    }
    return {std::move(taken), projection, 35 + dice.below(40), true};
}

Taken photographed(const Picture& page, double tilt, int width, bool rough, Dice& dice) {
    const double about = dice.between(0, 2 * std::numbers::pi);
    const double roll = dice.normal(1.5) * degree;
    const double distance = dice.between(1.3, 2.0) * page.width;
    // Rodrigues' rotation about an axis that lies in the page, then about the line of sight.
    const double kx = std::cos(about);
    const double ky = std::sin(about);
    const double c = std::cos(tilt * degree);
    const double s = std::sin(tilt * degree);
    const double r[3][2] = {{c + kx * kx * (1 - c), kx * ky * (1 - c)},
                            {kx * ky * (1 - c), c + ky * ky * (1 - c)},
                            {-ky * s, kx * s}};
    std::array<double, 9> m{};
    for (int column = 0; column < 2; ++column) {
        m[column] = std::cos(roll) * r[0][column] - std::sin(roll) * r[1][column];
        m[3 + column] = std::sin(roll) * r[0][column] + std::cos(roll) * r[1][column];
        m[6 + column] = r[2][column] / distance;
    }
    for (int row = 0; row < 3; ++row) {
        m[3 * row + 2] = -m[3 * row] * page.width / 2 - m[3 * row + 1] * page.height / 2;
    }
    m[8] += 1;
    Projection projection(m);
    Place low{1e9, 1e9};
    Place high{-1e9, -1e9};
    for (int corner = 0; corner < 4; ++corner) {
        const Place at =
            projection({corner % 2 == 0 ? 0.0 : page.width, corner / 2 == 0 ? 0.0 : page.height});
        for (int i = 0; i < 2; ++i) {
            low[i] = std::min(low[i], at[i]);
            high[i] = std::max(high[i], at[i]);
        }
    }
    const double scale = 0.985 * width / (high[0] - low[0]);
    const int height = static_cast<int>((high[1] - low[1]) * scale / 0.985);
    projection =
        projection.then(scale, {0.0075 * width - scale * low[0], 0.0075 * height - scale * low[1]});
    Picture taken = projected(page, projection, width, height, table);
    blur(taken, rough ? dice.between(1.3, 2) : dice.between(0.6, 1.3));
    const Picture texture = rough ? grain(width, height, dice) : Picture();
    // Uneven light from one side, in half of the photos a soft shadow, a lamp's colour, noise.
    const double side = dice.between(0, 2 * std::numbers::pi);
    const double uneven = dice.between(0.1, 0.4);
    const double shadow = !rough && dice.below(2) == 0 ? 0 : dice.between(0.15, 0.35);
    const double edge = rough ? 0.004 : 0.02;
    const double shadow_at = dice.between(-0.3, 0.3);
    const double bright = dice.between(0.82, 0.97);
    const double noise = rough ? dice.between(5, 9) : dice.between(2.5, 6);
    const std::array tint{1.0, dice.between(0.95, 1), dice.between(0.82, 0.97)};
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const double u = double(x) / width - 0.5;
            const double v = double(y) / height - 0.5;
            const double across = u * std::cos(side) + v * std::sin(side);
            const double along = v * std::cos(side) - u * std::sin(side);
            const double light = bright * (1 - uneven * (0.5 + across) - 0.2 * (u * u + v * v)) *
                                 (1 - shadow / (1 + std::exp((along - shadow_at) / edge)));
            float* pixel = taken.at(x, y);
            const float spot = rough ? texture.at(x, y)[0] : 0;
            for (int c2 = 0; c2 < 3; ++c2) {
                pixel[c2] = static_cast<float>((12 + 0.93 * pixel[c2]) * light * tint[c2] + spot +
                                               dice.normal(noise));
            }
        }
    }
    return {std::move(taken), projection, 72 + dice.below(20), false};
}

}  // namespace gapwright::drawn_charts
