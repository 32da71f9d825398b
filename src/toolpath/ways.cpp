// Contour-parallel or raster clearing, chosen for each piece by the time it takes.
//
// The loops are lines of equal distance to the region's edge: from any point between two of them the way straight to the
// edge meets the outer one within a stepover, so that, unlike with offset polygons, no corner is left standing between
// sharp bends as long as the stepover stays below the bit's radius. Raster lines run where the edge is at least 0.45
// stepovers away: what is nearer to it is within reach of the loop along the edge, all else within half a stepover of a line.
#include "ways.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <opencv2/imgproc.hpp>

namespace burin {
namespace {

constexpr double acceleration = 100;  ///< mm/s²: a small desktop machine (common practice, no source); for choosing only
constexpr double lift = 2.5;          ///< s: up, across and down again

/// Feed time, and at every corner the time to slow down and speed up again by what the turn asks.
double time_of(const std::vector<Point>& points, bool closed, double feed) {
    const double speed = feed / 60;
    double time = length_of(points, closed) / speed;
    for (std::size_t k = 1; k + 1 < points.size(); ++k) {
        const double ax = points[k].x - points[k - 1].x, ay = points[k].y - points[k - 1].y, bx = points[k + 1].x - points[k].x,
                     by = points[k + 1].y - points[k].y, la = std::hypot(ax, ay), lb = std::hypot(bx, by);
        if (la > 0 && lb > 0) time += speed / acceleration * (1 - (ax * bx + ay * by) / (la * lb)) / 2;
    }
    return time;
}

struct Stretch {
    int row, first, last;  // columns
    int piece;
    bool joined = false;
};

/// The runs of cells of every `step`-th row whose edge is at least `least` away.
std::vector<Stretch> stretches_of(const HeightMap& inside, const cv::Mat& pieces, int step, float least) {
    std::vector<Stretch> found;
    for (int j = step / 2; j < inside.height(); j += step)
        for (int i = 0; i < inside.width(); ++i) {
            if (inside(i, j) < least) continue;
            if (!found.empty() && found.back().row == j && found.back().last == i - 1)
                found.back().last = i;
            else
                found.push_back({j, i, i, pieces.at<int>(j, i)});
        }
    return found;
}

/// Zigzags: from the end of one stretch to the nearer end of one on the next row while the way between is clear.
std::vector<Contour> chains_of(const Grid<std::uint8_t>& region, const HeightMap& inside, std::vector<Stretch>& stretches, int step,
                               std::vector<int>& piece_of) {
    std::vector<Contour> chains;
    const auto first_of_row = [&](int row) {
        return static_cast<std::size_t>(
            std::lower_bound(stretches.begin(), stretches.end(), row, [](const Stretch& s, int r) { return s.row < r; }) -
            stretches.begin());
    };
    for (std::size_t k = 0; k < stretches.size(); ++k) {
        if (stretches[k].joined) continue;
        Contour chain;
        chain.closed = false;
        bool rightwards = true;
        for (std::size_t at = k; at < stretches.size();) {
            Stretch& s = stretches[at];
            s.joined = true;
            chain.points.push_back(inside.centre(rightwards ? s.first : s.last, s.row));
            chain.points.push_back(inside.centre(rightwards ? s.last : s.first, s.row));
            const std::size_t from = at;
            at = stretches.size();
            for (std::size_t n = first_of_row(stretches[from].row + step);
                 n < stretches.size() && stretches[n].row == stretches[from].row + step; ++n) {
                const Stretch& next = stretches[n];
                if (next.joined || next.first > stretches[from].last || next.last < stretches[from].first) continue;
                if (!way_is_clear(region, chain.points.back(), inside.centre(rightwards ? next.last : next.first, next.row))) continue;
                at = n;
                break;
            }
            rightwards = !rightwards;
        }
        chains.push_back(std::move(chain));
        piece_of.push_back(stretches[k].piece);
    }
    return chains;
}

}  // namespace

bool way_is_clear(const Grid<std::uint8_t>& region, const Point& a, const Point& b) {
    const double length = distance(a, b), cell = region.cell();
    const int steps = static_cast<int>(length / (cell / 2)) + 1;
    for (int k = 0; k <= steps; ++k) {
        const double t = static_cast<double>(k) / steps;
        const int i = static_cast<int>(std::floor((a.x + (b.x - a.x) * t - region.origin().x) / cell));
        const int j = static_cast<int>(std::floor((a.y + (b.y - a.y) * t - region.origin().y) / cell));
        if (!region.holds(i, j) || !region(i, j)) return false;
    }
    return true;
}

std::vector<Contour> ways_over(const Grid<std::uint8_t>& region, const HeightMap& inside, const WayOrder& order) {
    const double cell = region.cell(), edge = 0.9 * cell;
    const float deepest = *std::max_element(inside.values().begin(), inside.values().end());
    std::vector<float> values;
    for (double v = edge; v <= static_cast<double>(deepest); v += order.stepover) values.push_back(static_cast<float>(v));
    std::vector<Contour> loops = contours_at(inside, values, nullptr);
    for (Contour& loop : loops) loop.points = thinned(loop.points, true, order.tolerance);
    const int step = static_cast<int>(order.stepover / cell);
    if (values.size() < 3 || step < 2) return loops;  // too narrow for lines to be worth a thought

    cv::Mat pieces;
    const int count = cv::connectedComponents(
        cv::Mat(region.height(), region.width(), CV_8U, const_cast<std::uint8_t*>(region.values().data())), pieces, 8, CV_32S);
    const auto piece_at = [&](const Point& p) {
        const int i = static_cast<int>(std::floor((p.x - region.origin().x) / cell)),
                  j = static_cast<int>(std::floor((p.y - region.origin().y) / cell));
        return region.holds(i, j) ? pieces.at<int>(j, i) : 0;
    };
    std::vector<Stretch> stretches = stretches_of(inside, pieces, step, static_cast<float>(std::max(edge, 0.45 * order.stepover)));
    std::vector<int> chain_piece;
    std::vector<Contour> chains = chains_of(region, inside, stretches, step, chain_piece);
    std::vector<double> by_loops(static_cast<std::size_t>(count), 0), by_lines(static_cast<std::size_t>(count), 0);
    std::vector<int> loop_piece;
    for (const Contour& loop : loops) {
        const int piece = piece_at(loop.points.front());
        loop_piece.push_back(piece);
        if (loop.ring > 0)
            by_loops[static_cast<std::size_t>(piece)] += time_of(loop.points, true, order.feed) + order.stepover / order.feed * 60;
    }
    for (std::size_t k = 0; k < chains.size(); ++k)
        by_lines[static_cast<std::size_t>(chain_piece[k])] += time_of(chains[k].points, false, order.feed) + lift;
    std::vector<Contour> ways;
    const auto lines_win = [&](int piece) { return by_lines[static_cast<std::size_t>(piece)] < by_loops[static_cast<std::size_t>(piece)]; };
    for (std::size_t k = 0; k < loops.size(); ++k)
        if (loops[k].ring == 0 || !lines_win(loop_piece[k])) ways.push_back(std::move(loops[k]));
    for (std::size_t k = 0; k < chains.size(); ++k)
        if (lines_win(chain_piece[k])) ways.push_back(std::move(chains[k]));
    return ways;
}

}  // namespace burin
