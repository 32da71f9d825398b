// Connected copper, distances and necks, cell by cell. Nothing here is shared with what plans a board.
#include "copper.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace burin::proving {
namespace {

std::int32_t place(const Cells& grid, int i, int j) { return static_cast<std::int32_t>(j) * grid.width() + i; }

/// Calls see(place) for the cells beside one, at its corners too where that is asked.
template <class See>
void around(const Cells& grid, std::int32_t n, bool corners, const See& see) {
    const int i = n % grid.width(), j = n / grid.width();
    for (int dj = -1; dj <= 1; ++dj)
        for (int di = -1; di <= 1; ++di) {
            if ((di == 0 && dj == 0) || (!corners && di != 0 && dj != 0) || !grid.holds(i + di, j + dj)) continue;
            see(place(grid, i + di, j + dj));
        }
}

/// The nearest column with a parabola below all others, for every cell of a row: `up` squared distance within the column.
void envelope(const std::vector<double>& up, std::vector<std::int32_t>& best) {
    const int n = static_cast<int>(up.size());
    std::vector<int> at;
    std::vector<double> from;
    constexpr double never = 1e17;
    for (int q = 0; q < n; ++q) {
        if (up[static_cast<std::size_t>(q)] >= never) continue;
        const auto height = [&](int k) { return up[static_cast<std::size_t>(k)] + static_cast<double>(k) * k; };
        double s = -1e18;
        while (!at.empty()) {
            s = (height(q) - height(at.back())) / (2.0 * (q - at.back()));
            if (s > from.back()) break;
            at.pop_back(), from.pop_back();
        }
        from.push_back(at.empty() ? -1e18 : s);
        at.push_back(q);
    }
    std::size_t k = 0;
    for (int i = 0; i < n; ++i) {
        while (k + 1 < at.size() && from[k + 1] <= i) ++k;
        best[static_cast<std::size_t>(i)] = at.empty() ? -1 : at[k];
    }
}

}  // namespace

Cells figures_on(const Region& region, const HeightMap& like) {
    Cells cells = like.like<std::int32_t>(0);
    const Point origin = cells.origin();
    const double side = cells.cell();
    std::int32_t number = 0;
    std::vector<std::vector<double>> crossings(static_cast<std::size_t>(cells.height()));
    for (const Figure& figure : region.figures()) {
        ++number;
        const auto cross = [&](const Loop& loop) {
            for (std::size_t k = 0; k < loop.size(); ++k) {
                const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
                if (a.y == b.y) continue;
                const double low = std::min(a.y, b.y), high = std::max(a.y, b.y);
                const int first = std::max(0, static_cast<int>(std::ceil((low - origin.y) / side - 0.5)));
                for (int j = first; j < cells.height(); ++j) {
                    const double y = cells.centre(0, j).y;
                    if (y >= high) break;
                    if (y >= low) crossings[static_cast<std::size_t>(j)].push_back(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
                }
            }
        };
        cross(figure.outer);
        for (const Loop& hole : figure.holes) cross(hole);
        for (int j = 0; j < cells.height(); ++j) {
            std::vector<double>& xs = crossings[static_cast<std::size_t>(j)];
            std::sort(xs.begin(), xs.end());
            for (std::size_t k = 0; k + 1 < xs.size(); k += 2) {
                const int first = std::max(0, static_cast<int>(std::ceil((xs[k] - origin.x) / side - 0.5)));
                for (int i = first; i < cells.width() && cells.centre(i, j).x < xs[k + 1]; ++i) cells(i, j) = number;
            }
            xs.clear();
        }
    }
    return cells;
}

Cells pieces_of(const Cells& cells, bool corners, std::vector<std::size_t>& sizes) {
    Cells pieces = cells.like<std::int32_t>(0);
    sizes.assign(1, 0);
    std::vector<std::int32_t> open;
    const auto values = cells.values();
    const auto found = pieces.values();
    for (std::size_t n = 0; n < values.size(); ++n) {
        if (values[n] <= 0 || found[n] != 0) continue;
        const auto number = static_cast<std::int32_t>(sizes.size());
        sizes.push_back(0);
        open.assign(1, static_cast<std::int32_t>(n));
        found[n] = number;
        while (!open.empty()) {
            const std::int32_t at = open.back();
            open.pop_back();
            ++sizes.back();
            around(cells, at, corners, [&](std::int32_t next) {
                const auto k = static_cast<std::size_t>(next);
                if (values[k] != values[n] || found[k] != 0) return;
                found[k] = number;
                open.push_back(next);
            });
        }
    }
    return pieces;
}

Cells nearest_cells(const Cells& cells, const Crew& crew) {
    // First within the columns: the row of the nearest cell above 0.
    Cells rows = cells.like<std::int32_t>(-1);
    constexpr int grain = 64;
    over_rows(crew, cells.width(), grain, [&](int first, int last) {
        for (int i = first; i < last; ++i) {
            int seen = -1;
            for (int j = 0; j < cells.height(); ++j) {
                if (cells(i, j) > 0) seen = j;
                rows(i, j) = seen;
            }
            seen = -1;
            for (int j = cells.height() - 1; j >= 0; --j) {
                if (cells(i, j) > 0) seen = j;
                if (seen >= 0 && (rows(i, j) < 0 || seen - j < j - rows(i, j))) rows(i, j) = seen;
            }
        }
    });
    over_rows(crew, cells.height(), grain, [&](int first, int last) {
        std::vector<double> up(static_cast<std::size_t>(cells.width()));
        std::vector<std::int32_t> best(up.size()), row(up.size());
        for (int j = first; j < last; ++j) {
            for (int i = 0; i < cells.width(); ++i) {
                const double far = rows(i, j) - j;
                up[static_cast<std::size_t>(i)] = rows(i, j) < 0 ? 1e18 : far * far;
            }
            envelope(up, best);
            for (int i = 0; i < cells.width(); ++i) {
                const std::int32_t column = best[static_cast<std::size_t>(i)];
                row[static_cast<std::size_t>(i)] = column < 0 ? -1 : place(cells, column, rows(column, j));
            }
            std::copy(row.begin(), row.end(), rows.row(j));
        }
    });
    return rows;
}

double apart(const Cells& grid, std::int32_t a, std::int32_t b) {
    return std::hypot(a % grid.width() - b % grid.width(), a / grid.width() - b / grid.width());
}

std::optional<Point> middle_of_way(const Cells& grid, const std::function<bool(std::int32_t)>& from,
                                   const std::function<bool(std::int32_t)>& to, const std::function<bool(std::int32_t)>& over) {
    constexpr std::int32_t unseen = -1, begin = -2;
    std::vector<std::int32_t> came(grid.size(), unseen), open, next;
    for (std::size_t n = 0; n < came.size(); ++n)
        if (from(static_cast<std::int32_t>(n))) came[n] = begin, open.push_back(static_cast<std::int32_t>(n));
    while (!open.empty()) {
        next.clear();
        for (const std::int32_t at : open) {
            std::int32_t reached = -1;
            around(grid, at, false, [&](std::int32_t beside) {
                auto& way = came[static_cast<std::size_t>(beside)];
                if (reached >= 0 || way != unseen) return;
                const bool there = to(beside);
                if (!there && !over(beside)) return;
                way = at;
                next.push_back(beside);
                if (there) reached = beside;
            });
            if (reached < 0) continue;
            std::vector<std::int32_t> way{reached};
            while (came[static_cast<std::size_t>(way.back())] >= 0) way.push_back(came[static_cast<std::size_t>(way.back())]);
            const std::int32_t middle = way[way.size() / 2];
            return grid.centre(middle % grid.width(), middle / grid.width());
        }
        open.swap(next);
    }
    return std::nullopt;
}

std::optional<Neck> narrowest_neck(const Cells& pieces, const Crew& crew) {
    Cells bare = pieces.like<std::int32_t>(0);
    std::transform(pieces.values().begin(), pieces.values().end(), bare.values().begin(), [](std::int32_t v) { return v > 0 ? 0 : 1; });
    const Cells edge = nearest_cells(bare, crew);
    std::vector<std::pair<float, std::int32_t>> order;  // how wide, where
    for (std::size_t n = 0; n < pieces.size(); ++n) {
        const auto at = static_cast<std::int32_t>(n);
        if (pieces.values()[n] > 0 && edge.values()[n] >= 0)
            order.emplace_back(static_cast<float>(apart(pieces, at, edge.values()[n])), at);
    }
    std::sort(order.begin(), order.end(),
              [](const auto& a, const auto& b) { return a.first != b.first ? a.first > b.first : a.second < b.second; });
    std::vector<std::int32_t> parent(pieces.size(), -1);
    std::vector<float> peak(pieces.size(), 0);
    const auto root = [&](std::int32_t n) {
        while (parent[static_cast<std::size_t>(n)] != n) {
            auto& up = parent[static_cast<std::size_t>(n)];
            n = up = parent[static_cast<std::size_t>(up)];
        }
        return n;
    };
    std::optional<Neck> narrowest;
    for (const auto& [wide, at] : order) {
        crew.check();
        parent[static_cast<std::size_t>(at)] = at;
        peak[static_cast<std::size_t>(at)] = wide;
        const float here = wide;
        const std::int32_t centre = at;
        around(pieces, at, true, [&](std::int32_t beside) {
            if (parent[static_cast<std::size_t>(beside)] < 0) return;
            std::int32_t a = root(centre), b = root(beside);
            if (a == b) return;
            if (peak[static_cast<std::size_t>(a)] < peak[static_cast<std::size_t>(b)]) std::swap(a, b);
            // Cells make a straight edge's distance jump by one; a neck is narrower than that by far on both sides.
            const float more = std::max(2.0F, 0.2F * here);
            if (peak[static_cast<std::size_t>(b)] >= here + more) {
                // From the middle of a cell to the middle of the bare one beside it, on either side.
                const double width = (2 * static_cast<double>(here) - 1) * pieces.cell();
                if (!narrowest || width < narrowest->width)
                    narrowest = Neck{width, pieces.centre(centre % pieces.width(), centre / pieces.width())};
            }
            parent[static_cast<std::size_t>(b)] = a;
        });
    }
    return narrowest;
}

}  // namespace burin::proving
