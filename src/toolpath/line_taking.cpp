// What each finishing line takes, in the order of cutting. A line takes what stands above the surface that the bit sweeps
// along it, and no other line has taken before: a narrow crescent where its neighbour went just before, a whole slot
// where it breaks into a channel. Only the second kind has to be opened in passes beforehand.
#include <algorithm>
#include <cmath>

#include "burin/base/clones.hpp"
#include "lines.hpp"

namespace burin {
namespace {

constexpr float untouched = 1e6F;
constexpr int band = 256;  // columns worked on at a time

/// least[x] = min(least[x], tips[x + shift] + rise).
BURIN_CLONES void lower_row(float* __restrict least, const float* __restrict tips, float rise, int count) {
    for (int x = 0; x < count; ++x) {
        const float v = tips[x] + rise;
        least[x] = v < least[x] ? v : least[x];
    }
}

/// Takes the stock down to `least`; says the most taken in one cell and adds what is taken to `sums`.
BURIN_CLONES float take_row(float* __restrict stock, const float* __restrict least, float* __restrict taken, float* __restrict sums,
                            int count) {
    float most = 0;
    for (int x = 0; x < count; ++x) {
        const float t = stock[x] - least[x], by = t > 0 ? t : 0;
        taken[x] = by;
        sums[x] += by;
        stock[x] -= by;
        most = by > most ? by : most;
    }
    return most;
}

struct Band {
    const Bit& bit;
    const HeightMap& tips;
    const TakeLimits& limits;
    int reach, first, last, left, width;  // own columns [first, last); worked columns from `left`
    std::vector<float> stock, row, padded, least, taken, sums;
    int rows_of_bit;

    Band(const Bit& b, const HeightMap& t, const HeightMap& s, const TakeLimits& l, int first_column)
        : bit(b),
          tips(t),
          limits(l),
          reach(static_cast<int>(std::ceil(b.radius() / t.cell()))),
          first(first_column),
          last(std::min(t.width(), first_column + band)),
          left(std::max(0, first - 2 * reach - 2)),
          width(std::min(t.width(), last + 2 * reach + 2) - left),
          rows_of_bit(2 * reach + 2) {
        const auto w = static_cast<std::size_t>(width);
        stock.resize(w * static_cast<std::size_t>(t.height()));
        for (int j = 0; j < t.height(); ++j) std::copy_n(s.row(j) + left, width, stock.data() + static_cast<std::ptrdiff_t>(j) * width);
        padded.resize(w + 2 * static_cast<std::size_t>(reach));
        least.resize(w);
        taken.resize(w * static_cast<std::size_t>(rows_of_bit));
        sums.resize(w);
    }

    /// The surface swept by the line over grid row j.
    void sweep(double away, float deepest) {
        std::fill(least.begin(), least.end(), untouched);
        for (int dx = -reach; dx <= reach; ++dx) {
            const double r = std::hypot(dx * tips.cell(), away);
            if (r >= bit.radius() - 1e-6) continue;
            const auto rise = static_cast<float>(bit.rise(r));
            if (deepest + rise < 0) lower_row(least.data(), padded.data() + reach + dx, rise, width);
        }
    }
    void run(double y, LinesTaken& out) {
        tip_row(tips, y, row);
        std::fill(padded.begin(), padded.end(), untouched);
        const int from = std::max(0, left - reach), to = std::min(tips.width(), left + width + reach);
        float deepest = 0;
        for (int x = from; x < to; ++x)
            deepest = std::min(deepest, padded[static_cast<std::size_t>(x - left + reach)] = row[static_cast<std::size_t>(x)]);
        if (deepest >= 0) return;
        const double cell = tips.cell(), at = (y - tips.origin().y) / cell - 0.5;
        const int low = std::max(0, static_cast<int>(std::ceil(at - reach))),
                  high = std::min(tips.height() - 1, static_cast<int>(std::floor(at + reach)));
        std::fill(sums.begin(), sums.end(), 0.F);
        float most = 0;
        for (int j = low; j <= high; ++j) {
            sweep((j - at) * cell, deepest);
            most = std::max(most, take_row(stock.data() + static_cast<std::ptrdiff_t>(j) * width, least.data(), taken_row(j - low),
                                           sums.data(), width));
        }
        if (static_cast<double>(most) > limits.most) mark_heights(low, high, out);
        mark_sections(low, high, most, out);
    }
    float* taken_row(int k) { return taken.data() + static_cast<std::ptrdiff_t>(k) * width; }

    void mark_heights(int low, int high, LinesTaken& out) {
        const double cell = tips.cell();
        const int n = static_cast<int>(limits.strip / 2 / cell + 1e-6);
        const auto most = static_cast<float>(limits.most);
        for (int j = low; j <= high; ++j)
            for (int x = std::max(0, first - left); x < last - left; ++x) {
                bool wide = taken_row(j - low)[x] > most;
                for (int b = -n; wide && b <= n; ++b)
                    for (int a = -n; wide && a <= n; ++a) {
                        if (std::hypot(a, b) * cell > limits.strip / 2 + 1e-6) continue;
                        const int u = x + a, v = j + b;
                        wide = u >= 0 && u < width && v >= low && v <= high && taken_row(v - low)[u] > most;
                    }
                if (wide) out.too_much(left + x, j) = 1;
            }
    }
    /// Sections over half a bit diameter of way. Where the way ends at a wall, what lies before the bit there is taken on
    /// that way too.
    void mark_sections(int low, int high, float most, LinesTaken& out) {
        if (static_cast<double>(most) <= limits.strip) return;  // small takes add up to no section worth a look
        const double cell = tips.cell();
        const int way = std::max(1, static_cast<int>(std::lround(bit.radius() / cell)));
        const auto tip = [&](int x) { return padded[static_cast<std::size_t>(x + reach)]; };
        const auto wall = static_cast<float>(5 * cell);
        for (int x = std::max(0, first - left); x < last - left; ++x) {
            int from = x - way / 2, to = from + way;
            if (tip(x + 1) > tip(x) + wall) from = x - way + 1, to = x + reach;
            if (tip(x - 1) > tip(x) + wall) to = std::max(to, x + way - 1), from = std::min(from, x - reach);
            double area = 0;
            float deepest = 0;
            for (int u = std::max(0, from); u <= std::min(width - 1, to); ++u) {
                area += static_cast<double>(sums[static_cast<std::size_t>(u)]) * cell;
                deepest = std::min(deepest, tip(u));
            }
            if (area / way <= limits.most * bit.width_at(static_cast<double>(-deepest))) continue;
            for (int j = low; j <= high; ++j)
                for (int u = std::max(0, from); u <= std::min(width - 1, to); ++u)
                    if (u >= first - left && u<last - left&& static_cast<double>(taken_row(j - low)[u])> limits.strip)
                        out.too_much(left + u, j) = 1;
        }
    }
};

}  // namespace

namespace {

/// A slot one cell wide cannot be entered along the line but straight down: it is left to lines across, or to levels.
void fill_slots(double cell, std::vector<float>& row) {
    const auto wall = static_cast<float>(5 * cell);
    for (std::size_t x = 1; x + 1 < row.size(); ++x)
        if (const float brim = std::min(row[x - 1], row[x + 1]); brim > row[x] + wall) row[x] = brim;
}

}  // namespace

void tip_row(const HeightMap& tips, double y, std::vector<float>& row) {
    const double at = std::clamp((y - tips.origin().y) / tips.cell() - 0.5, 0.0, tips.height() - 1.0);
    const int j = std::min(static_cast<int>(at), tips.height() - 1), above = std::min(j + 1, tips.height() - 1);
    const auto t = static_cast<float>(at - j);
    row.resize(static_cast<std::size_t>(tips.width()));
    const float *a = tips.row(j), *b = tips.row(above);
    if (t < 1e-4F) {
        std::copy_n(a, tips.width(), row.begin());
        return fill_slots(tips.cell(), row);
    }
    const auto gentle = static_cast<float>(tips.cell() / 2);
    for (int x = 0; x < tips.width(); ++x) {
        const float rise = b[x] - a[x], away = rise > 0 ? t : 1 - t;  // share of the way from the lower to the higher row
        const float z = a[x] + rise * t;
        row[static_cast<std::size_t>(x)] = away > 0.5F && std::abs(rise) > gentle ? std::max(z, std::max(a[x], b[x]) - 0.015F) : z;
    }
    fill_slots(tips.cell(), row);
}

LinesTaken run_lines(const Bit& bit, const HeightMap& tips, const HeightMap& stock, const std::vector<double>& lines,
                     const TakeLimits& limits, const Crew& crew) {
    LinesTaken out{stock, tips.like(std::uint8_t{0}), 0};
    in_parallel(crew, (tips.width() + band - 1) / band, [&](int k) {
        Band b(bit, tips, stock, limits, k * band);
        for (const double y : lines) b.run(y, out);
        for (int j = 0; j < tips.height(); ++j)
            std::copy_n(b.stock.data() + static_cast<std::ptrdiff_t>(j) * b.width + (b.first - b.left), b.last - b.first,
                        out.stock.row(j) + b.first);
    });
    for (const auto v : out.too_much.values()) out.count += v;
    return out;
}

}  // namespace burin
