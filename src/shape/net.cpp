/// Multigrid for a net of conductors over the cells: the five-point equation Σ c (u − u_neighbour) + ground u = source,
/// on figures of any outline and with conductors that differ by large factors.
///
/// Cells are joined two by two into coarser ones. What flows between two coarse cells goes, per row, through half the
/// inner conductor of the one, the conductor between them and half the inner one of the other, so these are joined in
/// series, and both rows in parallel: thin barriers (weak conductors) stay barriers on every level. Where the inner
/// conductor is missing (the edge of a figure) only the rest of the row counts.
/// Relaxation is red-black Gauss-Seidel, residuals are summed over the joined cells, corrections interpolated with
/// weights 2:1:1 to the nearest coarse cells, less across barriers.
/// One such cycle is the preconditioner of conjugate gradients, whose new direction is made conjugate to the last one
/// outright (flexible form, Notay 2000), since the cycle is not quite symmetric: weak closed outlines, at which plain
/// cycles overshoot, then cost a few cycles more and nothing else.
/// Trottenberg, Oosterlee, Schüller, Multigrid (2001), ch. 2 (cycles), 5.7 (cell-centred coarsening), 7.7 (jumping
/// coefficients). Cost: one cycle is about ten sweeps over the cells; a smooth net gains a digit per cycle.
#include <algorithm>
#include <cmath>
#include <vector>

#include "burin/base/clones.hpp"
#include "burin/shape/poisson.hpp"

#if defined(__clang__)
#define BURIN_INDEPENDENT _Pragma("clang loop vectorize(assume_safety)")
#else
#define BURIN_INDEPENDENT _Pragma("GCC ivdep")
#endif

namespace burin {
namespace {

constexpr int band_rows = 64;
constexpr float nothing = 1e-30F;
constexpr double rounding = 1.5e-8;  ///< a quarter of float's: what of it a sum of four differences leaves on average

/// One level: the net with rows of zeros where there is no neighbour, so that no loop asks.
struct Level {
    const Net* net = nullptr;
    Net own;  ///< of a coarse level
    HeightMap source, u;
    [[nodiscard]] int width() const { return net->right.width(); }
    [[nodiscard]] int height() const { return net->right.height(); }
};

/// Rows around row j of a level; missing ones point at zeros.
struct Rows {
    const float *right, *up, *up_below, *ground, *u_below, *u_above, *source;
    float* u;
    const float* old;  ///< the same row as u, to the compiler another one
};
Rows rows_at(const Net& net, const HeightMap& source, HeightMap& u, int j, const float* zeros) {
    const int h = u.height();
    return {net.right.row(j),
            j + 1 < h ? net.up.row(j) : zeros,
            j > 0 ? net.up.row(j - 1) : zeros,
            net.ground.empty() ? zeros : net.ground.row(j),
            j > 0 ? u.row(j - 1) : zeros,
            j + 1 < h ? u.row(j + 1) : zeros,
            source.row(j),
            u.row(j),
            u.row(j)};
}

/// New u of the cells of one colour in a row: what its neighbours and the source give it.
float relaxed(const Rows& r, int i, float left, float right, float u_left, float u_right) {
    const float flow = r.source[i] + left * u_left + right * u_right + r.up_below[i] * r.u_below[i] + r.up[i] * r.u_above[i];
    return flow / (left + right + r.up_below[i] + r.up[i] + r.ground[i] + nothing);
}
BURIN_CLONES void relax_row(const Rows& r, int n, int colour) {
    float* u = r.u;
    const float* c = r.right;
    if (n == 1) {
        if (colour == 0) u[0] = relaxed(r, 0, 0, 0, 0, 0);
        return;
    }
    if (colour == 0) u[0] = relaxed(r, 0, 0, c[0], 0, u[1]);
    const float *source = r.source, *up_below = r.up_below, *up = r.up, *ground = r.ground, *u_below = r.u_below, *u_above = r.u_above,
                *old = r.old;
    // All cells are worked out and half of them kept: no branch, so it vectorises. Neighbours are of the other colour and
    // are written back as they were, so that reading them through `old`, the same row, is safe in any order.
    BURIN_INDEPENDENT
    for (int i = 1; i < n - 1; ++i) {
        const float flow = source[i] + c[i - 1] * old[i - 1] + c[i] * old[i + 1] + up_below[i] * u_below[i] + up[i] * u_above[i];
        const float fresh = flow / (c[i - 1] + c[i] + up_below[i] + up[i] + ground[i] + nothing);
        const float kept = old[i];
        u[i] = (i & 1) == colour ? fresh : kept;
    }
    if (((n - 1) & 1) == colour) u[n - 1] = relaxed(r, n - 1, c[n - 2], 0, u[n - 2], 0);
}

/// What is left over of the source in each cell of a row.
BURIN_CLONES void residual_row(const Rows& r, int n, float* out) {
    const float* u = r.u;
    const float* c = r.right;
    for (int i = 1; i < n - 1; ++i)
        out[i] = r.source[i] - c[i - 1] * (u[i] - u[i - 1]) - c[i] * (u[i] - u[i + 1]) - r.up_below[i] * (u[i] - r.u_below[i]) -
                 r.up[i] * (u[i] - r.u_above[i]) - r.ground[i] * u[i];
    for (const int i : {0, n - 1}) {
        const float left = i > 0 ? c[i - 1] * (u[i] - u[i - 1]) : 0, right = i < n - 1 ? c[i] * (u[i] - u[i + 1]) : 0;
        out[i] = r.source[i] - left - right - r.up_below[i] * (u[i] - r.u_below[i]) - r.up[i] * (u[i] - r.u_above[i]) - r.ground[i] * u[i];
    }
}

void relax(const Net& net, const HeightMap& source, HeightMap& u, bool black_first, const Crew& crew) {
    const std::vector<float> zeros(static_cast<std::size_t>(u.width()));
    for (const int pass : {0, 1}) {
        const int colour = black_first ? 1 - pass : pass;
        over_rows(crew, u.height(), band_rows, [&](int first, int last) {
            for (int j = first; j < last; ++j) relax_row(rows_at(net, source, u, j, zeros.data()), u.width(), (j + colour) & 1);
        });
    }
}

/// Sum over all cells of what `work` gives for row j, added in a fixed order.
template <class Work>
double sum_over_rows(const Crew& crew, int height, Work work) {
    const int bands = (height + band_rows - 1) / band_rows;
    std::vector<double> sums(static_cast<std::size_t>(bands));
    in_parallel(crew, bands, [&](int k) {
        double sum = 0;
        for (int j = k * band_rows; j < std::min((k + 1) * band_rows, height); ++j) sum += work(j);
        sums[static_cast<std::size_t>(k)] = sum;
    });
    double total = 0;
    for (const double s : sums) total += s;
    return total;
}

double dot(const float* a, const float* b, int n) {
    double sum[4] = {};
    int i = 0;
    for (; i + 4 <= n; i += 4)
        for (int k = 0; k < 4; ++k) sum[k] += static_cast<double>(a[i + k]) * b[i + k];
    for (; i < n; ++i) sum[0] += static_cast<double>(a[i]) * b[i];
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}
double dot(const HeightMap& a, const HeightMap& b, const Crew& crew) {
    return sum_over_rows(crew, a.height(), [&](int j) { return dot(a.row(j), b.row(j), a.width()); });
}

/// Two conductors of a row in series with the halves of the cells they join: ½/a + 1/c + ½/b, a and b only where they are.
float in_series(float a, float c, float b) {
    if (c <= 0) return 0;
    return 1 / (1 / c + (a > 0 ? 0.5F / a : 0) + (b > 0 ? 0.5F / b : 0));
}

Net coarser(const Net& net, const Crew& crew) {
    const int w = net.right.width(), h = net.right.height(), cw = (w + 1) / 2, ch = (h + 1) / 2;
    Net coarse{HeightMap(cw, ch, 1), HeightMap(cw, ch, 1), net.ground.empty() ? HeightMap() : HeightMap(cw, ch, 1)};
    const auto right = [&](int i, int j) { return i + 1 < w && j < h ? net.right(i, j) : 0.0F; };
    const auto up = [&](int i, int j) { return i < w && j + 1 < h ? net.up(i, j) : 0.0F; };
    over_rows(crew, ch, band_rows, [&](int first, int last) {
        for (int cj = first; cj < last; ++cj)
            for (int ci = 0; ci < cw; ++ci) {
                const int i = 2 * ci, j = 2 * cj;
                coarse.right(ci, cj) = in_series(right(i, j), right(i + 1, j), right(i + 2, j)) +
                                       in_series(right(i, j + 1), right(i + 1, j + 1), right(i + 2, j + 1));
                coarse.up(ci, cj) =
                    in_series(up(i, j), up(i, j + 1), up(i, j + 2)) + in_series(up(i + 1, j), up(i + 1, j + 1), up(i + 1, j + 2));
                if (net.ground.empty()) continue;
                float ground = 0;
                for (int y = j; y < std::min(j + 2, h); ++y)
                    for (int x = i; x < std::min(i + 2, w); ++x) ground += net.ground(x, y);
                coarse.ground(ci, cj) = ground;
            }
    });
    return coarse;
}

/// Residuals of the fine level, summed over the cells joined, become the source of the coarse one.
void restrict_residual(Level& fine, Level& coarse, const Crew& crew) {
    const int w = fine.width(), h = fine.height();
    const std::vector<float> zeros(static_cast<std::size_t>(w));
    over_rows(crew, coarse.height(), band_rows, [&](int first, int last) {
        std::vector<float> low(static_cast<std::size_t>(w) + 1), high(low.size());
        for (int cj = first; cj < last; ++cj) {
            residual_row(rows_at(*fine.net, fine.source, fine.u, 2 * cj, zeros.data()), w, low.data());
            if (2 * cj + 1 < h)
                residual_row(rows_at(*fine.net, fine.source, fine.u, 2 * cj + 1, zeros.data()), w, high.data());
            else
                std::fill(high.begin(), high.end(), 0.0F);
            float* to = coarse.source.row(cj);
            for (int ci = 0; ci < coarse.width(); ++ci) {
                const auto i = static_cast<std::size_t>(2 * ci);
                to[ci] = (low[i] + low[i + 1]) + (high[i] + high[i + 1]);
            }
        }
    });
}

/// How much of the neighbouring coarse cell's correction counts: less across a barrier.
float share(float outer, float inner) { return 0.25F * std::min(1.0F, 2 * outer / (outer + inner + nothing)); }

/// Adds to a row of u the coarse correction `here`, part of its neighbour's to the left or right, and part of `beside`,
/// the coarse row next to it. `outer` conducts towards that row, `inner` away from it.
BURIN_CLONES void correct_row(const float* here, const float* beside, const float* outer, const float* inner, const float* right,
                              const float* ground, int n, float* u) {
    for (int ci = 1; ci < n / 2 - 1; ++ci) {
        const int i = 2 * ci;
        const float own = here[ci], drop = beside[ci] - own;
        const float in = right[i], out_left = right[i - 1], out_right = right[i + 1];
        const float low = own + share(out_left, in) * (here[ci - 1] - own) + share(outer[i], inner[i]) * drop;
        const float high = own + share(out_right, in) * (here[ci + 1] - own) + share(outer[i + 1], inner[i + 1]) * drop;
        const float joined_low = in + out_left + outer[i] + inner[i] + ground[i];
        const float joined_high = in + out_right + outer[i + 1] + inner[i + 1] + ground[i + 1];
        u[i] += joined_low > 0 ? low : 0;
        u[i + 1] += joined_high > 0 ? high : 0;
    }
}

void add_correction(const Level& coarse, Level& fine, const Crew& crew) {
    const int w = fine.width(), h = fine.height(), cw = coarse.width();
    const Net& net = *fine.net;
    const std::vector<float> zeros(static_cast<std::size_t>(w));
    over_rows(crew, h, band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const int cj = j / 2, other = std::clamp(j % 2 ? cj + 1 : cj - 1, 0, coarse.height() - 1);
            const float *here = coarse.u.row(cj), *beside = coarse.u.row(other);
            const float* below = j > 0 ? net.up.row(j - 1) : zeros.data();
            const float* above = j + 1 < h ? net.up.row(j) : zeros.data();
            const float *outer = j % 2 ? above : below, *inner = j % 2 ? below : above;
            const float* c = net.right.row(j);
            const float* ground = net.ground.empty() ? zeros.data() : net.ground.row(j);
            float* u = fine.u.row(j);
            correct_row(here, beside, outer, inner, c, ground, w, u);
            for (int i = 0; i < w; ++i) {  // the ends, which have no neighbour on one side
                if (i == 2 && w / 2 > 2) i = 2 * (w / 2 - 1);
                const int ci = i / 2, next = std::clamp(i % 2 ? ci + 1 : ci - 1, 0, cw - 1);
                const float left = i > 0 ? c[i - 1] : 0, right = i + 1 < w ? c[i] : 0, own = here[ci];
                if (left + right + outer[i] + inner[i] + ground[i] <= 0) continue;
                const float across = i % 2 ? share(right, left) : share(left, right);
                u[i] += own + across * (here[next] - own) + share(outer[i], inner[i]) * (beside[ci] - own);
            }
        }
    });
}

void cycle(std::vector<Level>& levels, std::size_t k, const Crew& crew) {
    Level& here = levels[k];
    if (k + 1 == levels.size()) {
        for (int sweep = 0; sweep < 40; ++sweep) relax(*here.net, here.source, here.u, sweep % 2 == 1, crew);
        return;
    }
    relax(*here.net, here.source, here.u, false, crew);
    relax(*here.net, here.source, here.u, false, crew);
    Level& coarse = levels[k + 1];
    restrict_residual(here, coarse, crew);
    std::fill(coarse.u.values().begin(), coarse.u.values().end(), 0.0F);
    cycle(levels, k + 1, crew);  // once: twice would double what overshoots at weak outlines
    add_correction(coarse, here, crew);
    relax(*here.net, here.source, here.u, true, crew);
    relax(*here.net, here.source, here.u, true, crew);
}

/// Works out, row by row, the flow that u drives through the net, and hands its negative to use(j, row); the sum of what
/// that returns. So no grid is needed to hold it.
template <class Use>
double with_flow(const Net& net, HeightMap& u, const Crew& crew, Use use) {
    const std::vector<float> zeros(static_cast<std::size_t>(u.width()));
    return sum_over_rows(crew, u.height(), [&](int j) {
        std::vector<float> flow(static_cast<std::size_t>(u.width()));
        Rows rows = rows_at(net, u, u, j, zeros.data());
        rows.source = zeros.data();
        residual_row(rows, u.width(), flow.data());
        return use(j, flow.data());
    });
}

void add_scaled(HeightMap& to, const HeightMap& what, double factor, double keep, const Crew& crew) {
    const auto f = static_cast<float>(factor), k = static_cast<float>(keep);
    over_rows(crew, to.height(), band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            float* a = to.row(j);
            const float* b = what.row(j);
            for (int i = 0; i < to.width(); ++i) a[i] = k * a[i] + f * b[i];
        }
    });
}

std::vector<Level> levels_of(const Net& net, HeightMap source, const Crew& crew) {
    std::vector<Level> levels(1);
    levels.reserve(32);
    levels[0].net = &net;
    levels[0].u = source.like(0.0F);
    levels[0].source = std::move(source);
    while (levels.back().width() > 3 || levels.back().height() > 3) {
        Level coarse;
        coarse.own = coarser(*levels.back().net, crew);
        coarse.source = HeightMap(coarse.own.right.width(), coarse.own.right.height(), 1);
        coarse.u = coarse.source;
        levels.push_back(std::move(coarse));
        levels.back().net = &levels.back().own;
    }
    return levels;
}

void take_off_mean(HeightMap& u, const Crew& crew) {
    const double sum = sum_over_rows(crew, u.height(), [&](int j) {
        double row_sum = 0;
        for (int i = 0; i < u.width(); ++i) row_sum += u(i, j);
        return row_sum;
    });
    const auto mean = static_cast<float>(sum / static_cast<double>(u.size()));
    for (float& v : u.values()) v -= mean;
}

}  // namespace

double solve_net(const Net& net, HeightMap source, HeightMap& u, double tolerance, int cycles, const Crew& crew) {
    const double whole = std::sqrt(dot(source, source, crew));
    if (!(whole > 0)) {
        std::fill(u.values().begin(), u.values().end(), 0.0F);
        return 0;
    }
    std::vector<Level> levels = levels_of(net, std::move(source), crew);
    HeightMap& residual = levels[0].source;
    HeightMap& correction = levels[0].u;
    const auto take_flow = [&](HeightMap& of, double factor) {
        const auto f = static_cast<float>(factor);
        with_flow(net, of, crew, [&](int j, const float* flow) {
            float* r = residual.row(j);
            for (int i = 0; i < residual.width(); ++i) r[i] += f * flow[i];
            return 0.0;
        });
    };
    take_flow(u, 1);
    HeightMap direction = u.like(0.0F);
    double left = std::sqrt(dot(residual, residual, crew)) / whole, energy = 0;
    for (int k = 0; k < cycles && left > tolerance; ++k) {
        crew.check();
        std::fill(correction.values().begin(), correction.values().end(), 0.0F);
        cycle(levels, 0, crew);
        double keep = 0;
        if (energy > 0) {
            const double common =
                with_flow(net, direction, crew, [&](int j, const float* flow) { return -dot(flow, correction.row(j), u.width()); });
            keep = -common / energy;
        }
        add_scaled(direction, correction, 1, keep, crew);
        energy = with_flow(net, direction, crew, [&](int j, const float* flow) { return -dot(flow, direction.row(j), u.width()); });
        if (!(energy > 0)) break;
        const double step = dot(direction, residual, crew) / energy;
        add_scaled(u, direction, step, 1, crew);
        take_flow(direction, step);
        left = std::sqrt(dot(residual, residual, crew)) / whole;
        if (left < rounding * 4 * std::sqrt(dot(u, u, crew)) / whole) break;  // float can say no more
    }
    bool grounded = false;
    for (const float g : net.ground.values()) grounded = grounded || g > 0;
    if (!grounded) take_off_mean(u, crew);
    return left;
}

}  // namespace burin
