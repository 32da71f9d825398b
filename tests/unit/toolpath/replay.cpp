#include "replay.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace burin::test {
namespace {

constexpr double step = 0.025;  // mm between places of the tip

class Cutter {
public:
    Cutter(const Bit& bit, const Rules& rules, HeightMap& stock, Seen& seen)
        : bit_(bit), rules_(rules), stock_(stock), seen_(seen), before_(stock) {}

    void rapid(const Point3& from, const Point3& to) {
        if (std::abs(to.z - from.z) > 1e-9 && distance(flat(from), flat(to)) > 1e-9) ++seen_.slanted_rapids;
        along(from, to, [&](const Point3& p) {
            under(p, [&](const float& height, double bottom) {
                seen_.rapid_in_stock = std::max(seen_.rapid_in_stock, static_cast<double>(height) - bottom);
            });
        });
        run_.clear();
    }
    void feed(const Point3& from, const Point3& to, double feed) {
        const double length = distance(from, to), down = from.z - to.z;
        if (length < 1e-12) return;
        if (down > 0 && feed * down / length > rules_.plunge + 1e-6) ++seen_.fast_descents;
        const bool upright = distance(flat(from), flat(to)) < 1e-9;
        if (upright) run_.clear();
        const double so_far = seen_.removed;
        along(from, to, [&](const Point3& p) {
            double taken = 0;
            under(p, [&](float& height, double bottom) {
                const double by = static_cast<double>(height) - bottom;
                if (by <= 0) return;
                taken += by;
                height = static_cast<float>(bottom);
            });
            taken *= stock_.cell() * stock_.cell();
            seen_.removed += taken;
            seen_.lowest = std::min(seen_.lowest, p.z);
            if (!upright) window(p, taken);
        });
        if (seen_.removed > so_far) heights(from, to, upright);
    }

private:
    struct Piece {
        Point3 at;
        double length, volume;
    };

    template <class Act>
    void along(const Point3& from, const Point3& to, const Act& act) {
        const int steps = std::max(1, static_cast<int>(std::ceil(distance(from, to) / step)));
        for (int k = 0; k <= steps; ++k) {
            const double t = static_cast<double>(k) / steps;
            act({from.x + (to.x - from.x) * t, from.y + (to.y - from.y) * t, from.z + (to.z - from.z) * t});
        }
    }
    /// Calls act(height of the stock, height of the bit) for every cell under the bit that is higher than the tip.
    template <class Act>
    void under(const Point3& p, const Act& act) {
        if (p.z >= 0) return;
        // Farther out the bit is above the stock top.
        const double cell = stock_.cell(), radius = std::min(bit_.radius(), bit_.width_at(-p.z) / 2);
        const auto clip = [](double v, int n) { return std::clamp(static_cast<int>(v), 0, n); };
        const int i0 = clip((p.x - radius - stock_.origin().x) / cell, stock_.width()),
                  i1 = clip((p.x + radius - stock_.origin().x) / cell + 1, stock_.width()),
                  j0 = clip((p.y - radius - stock_.origin().y) / cell, stock_.height()),
                  j1 = clip((p.y + radius - stock_.origin().y) / cell + 1, stock_.height());
        for (int j = j0; j < j1; ++j)
            for (int i = i0; i < i1; ++i) {
                float& height = stock_(i, j);
                if (static_cast<double>(height) <= p.z) continue;
                const Point c = stock_.centre(i, j);
                const double r2 = (c.x - p.x) * (c.x - p.x) + (c.y - p.y) * (c.y - p.y);
                if (r2 < radius * radius) act(height, p.z + bit_.rise(std::sqrt(r2)));
            }
    }
    /// Half a diameter of way up to here.
    void window(const Point3& p, double volume) {
        run_.push_back({p, run_.empty() ? 0 : distance(run_.back().at, p), volume});
        double length = 0, sum = 0, low = 0;
        for (std::size_t k = run_.size(); k-- > 0 && length < bit_.radius();) {
            length += run_[k].length, sum += run_[k].volume;
            low = std::min(low, run_[k].at.z);
        }
        const double share = sum / std::max(length, bit_.radius()) / (rules_.most * bit_.width_at(-low));
        if (low < 0 && share > seen_.section) seen_.section = share, seen_.section_at = p;
        if (run_.size() > 4000) run_.erase(run_.begin(), run_.begin() + 2000);
    }
    /// What the move took, cell by cell, over discs a little wider than the strip.
    void heights(const Point3& from, const Point3& to, bool upright) {
        const double cell = stock_.cell(), around = bit_.radius() + cell;
        const auto column = [&](double x) { return std::clamp(static_cast<int>((x - stock_.origin().x) / cell), 0, stock_.width() - 1); };
        const auto row = [&](double y) { return std::clamp(static_cast<int>((y - stock_.origin().y) / cell), 0, stock_.height() - 1); };
        const int i0 = column(std::min(from.x, to.x) - around), i1 = column(std::max(from.x, to.x) + around),
                  j0 = row(std::min(from.y, to.y) - around), j1 = row(std::max(from.y, to.y) + around);
        const auto taken = [&](int i, int j) {
            return i < i0 || j < j0 || i > i1 || j > j1 ? 0.0 : static_cast<double>(before_(i, j) - stock_(i, j));
        };
        const double disc = rules_.strip / 2 + 0.75 * cell;
        const int n = static_cast<int>(disc / cell);
        for (int j = j0; j <= j1; ++j)
            for (int i = i0; i <= i1; ++i) {
                double least = taken(i, j);
                if (upright) seen_.peck = std::max(seen_.peck, least);
                if (least <= seen_.most_at_once) continue;
                for (int b = -n; b <= n; ++b)
                    for (int a = -n; a <= n; ++a)
                        if (std::hypot(a, b) * cell <= disc) least = std::min(least, taken(i + a, j + b));
                if (least > seen_.most_at_once) seen_.most_at_once = least, seen_.most_at = stock_.centre(i, j);
            }
        for (int j = j0; j <= j1; ++j) std::copy(stock_.row(j) + i0, stock_.row(j) + i1 + 1, before_.row(j) + i0);
    }

    const Bit& bit_;
    const Rules& rules_;
    HeightMap& stock_;
    Seen& seen_;
    HeightMap before_;
    std::vector<Piece> run_;  // since the last rapid or upright move
};

}  // namespace

Seen replay(const Bit& bit, const Track& track, const Rules& rules, HeightMap& stock) {
    Seen seen;
    Cutter cutter(bit, rules, stock, seen);
    Point3 at = track.start;
    for (const Move& move : track.moves) {
        if (move.kind == MoveKind::rapid)
            cutter.rapid(at, move.to);
        else
            cutter.feed(at, move.to, static_cast<double>(move.feed));
        at = move.to;
    }
    return seen;
}

HeightMap halved(const HeightMap& map) {
    HeightMap fine(2 * map.width(), 2 * map.height(), map.cell() / 2, map.origin());
    for (int j = 0; j < fine.height(); ++j)
        for (int i = 0; i < fine.width(); ++i) fine(i, j) = map(i / 2, j / 2);
    return fine;
}

double gouge(const HeightMap& surface, const HeightMap& design) {
    double most = 0;
    for (int j = 0; j < surface.height(); ++j)
        for (int i = 0; i < surface.width(); ++i) {
            float lowest = design(i / 2, j / 2);
            for (int b = -1; b <= 1; ++b)
                for (int a = -1; a <= 1; ++a)
                    if (design.holds(i / 2 + a, j / 2 + b)) lowest = std::min(lowest, design(i / 2 + a, j / 2 + b));
            most = std::max(most, static_cast<double>(lowest - surface(i, j)));
        }
    return most;
}

Standing standing(const HeightMap& surface, const HeightMap& reach) {
    Standing most;
    const auto at = [&](int i, int j) {
        return static_cast<double>(reach(std::clamp(i, 0, reach.width() - 1), std::clamp(j, 0, reach.height() - 1)));
    };
    const auto slope2 = [&](int i, int j) {
        const double gx = (at(i + 1, j) - at(i - 1, j)) / (2 * reach.cell()), gy = (at(i, j + 1) - at(i, j - 1)) / (2 * reach.cell());
        return gx * gx + gy * gy;
    };
    for (int j = 0; j < reach.height(); ++j)
        for (int i = 0; i < reach.width(); ++i) {
            double lowest = 1e9;
            for (int b = 2 * j - 2; b < 2 * j + 4; ++b)
                for (int a = 2 * i - 2; a < 2 * i + 4; ++a)
                    if (surface.holds(a, b)) lowest = std::min(lowest, static_cast<double>(surface(a, b)));
            double steepest = 0;
            for (int b = j - 1; b <= j + 1; ++b)
                for (int a = i - 1; a <= i + 1; ++a) steepest = std::max(steepest, slope2(a, b));
            const double height = (lowest - at(i, j)) / std::sqrt(1 + steepest);
            if (height > most.height) most = {height, reach.centre(i, j)};
        }
    return most;
}

}  // namespace burin::test
