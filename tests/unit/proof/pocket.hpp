#pragma once
// A small finishing job that keeps every promise: a pocket with a sloping floor and upright walls, cut by a 1 mm ball.
#include <cmath>

#include "jobs.hpp"

namespace burin::test {

struct Pocket {
    static constexpr double cell = 0.1, feed = 800, plunge = 200;
    HeightMap design{200, 120, cell, {0, 0}, 0.0F};
    Bit bit = Bit::parse("ball:1.0");
    Text text;
    std::vector<std::vector<std::uint32_t>> lines;  ///< of text, by row and column of the pocket's cells
    std::uint32_t plunge_line = 0;

    Pocket() {
        for (int j = 30; j < 90; ++j)
            for (int i = 40; i < 160; ++i) design(i, j) = static_cast<float>(-0.3 - 0.005 * (i - 40));
        double feed_now = 0;
        Point3 at{0, 0, 3};
        text.add(fmt::format("G0 X{:.3f} Y{:.3f}", design.centre(40, 30).x, design.centre(40, 30).y));
        for (int j = 30; j < 90; ++j) {
            lines.emplace_back(120, 0U);
            for (int n = 0; n < 120; ++n) {
                const int i = (j % 2 == 0) ? 40 + n : 159 - n;
                const Point c = design.centre(i, j);
                const Point3 to{c.x, c.y, std::ceil(tip(i, j) * 1000) / 1000};
                const double down = at.z - to.z, way = distance(at, to);
                double f = n == 0 && j == 30 ? plunge : feed;
                if (down > 0) f = std::min(f, std::floor(plunge * way / down));
                std::string line = text.last() < Text::first_move ? "G1 " : "";
                if (j == 30 && n == 0) line = "G1 ";
                line += fmt::format("X{:.3f} Y{:.3f} Z{:.3f}", to.x, to.y, to.z);
                if (f != feed_now) line += fmt::format(" F{:.0f}", f);
                feed_now = f;
                text.add(line);
                lines.back()[static_cast<std::size_t>(i - 40)] = text.last();
                at = to;
            }
        }
        plunge_line = lines[0][0];
        text.end();
    }

    /// Lowest tip over a cell, by looking at every cell under the bit.
    [[nodiscard]] double tip(int i, int j) const {
        double highest = -1e9;
        for (int b = -5; b <= 5; ++b)
            for (int a = -5; a <= 5; ++a) {
                const double r = cell * std::sqrt(a * a + b * b);
                if (r < 0.5 - 1e-6) highest = std::max(highest, static_cast<double>(design(i + a, j + b)) - bit.rise(r));
            }
        return highest;
    }

    /// The job of a text; the text must outlive it.
    [[nodiscard]] ProofTask task(const std::string& all) const {
        ProofTask t;
        t.design = &design;
        t.machine = workshop_machine();
        t.stock = make_stock(Outline::rectangle, 20, 12, 6, Anchor::lower_left);
        t.scallop = 0.0025;
        t.programs.push_back({"1-cut.nc", all, bit, feed, plunge, 1.3, 3, {}});
        return t;
    }
};

}  // namespace burin::test
