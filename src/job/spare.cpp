/// Cuts that give way to others. Lines are clipped segment by segment, heights row by row. Cost: corners of the kept region times the
/// segments that come near it.
#include "spare.hpp"

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"

namespace burin {
namespace {

Region rectangle(const Box& box) { return Region({{box.lo, {box.hi.x, box.lo.y}, box.hi, {box.lo.x, box.hi.y}}}); }

/// A bar along a segment, longer by half its width at both ends.
Loop bar(const Point3& a, const Point3& b, double half) {
    const double length = std::hypot(b.x - a.x, b.y - a.y);
    const Point along = length > 0 ? Point{(b.x - a.x) / length * half, (b.y - a.y) / length * half} : Point{half, 0};
    const Point across{-along.y, along.x};
    return {{a.x - along.x - across.x, a.y - along.y - across.y},
            {b.x + along.x - across.x, b.y + along.y - across.y},
            {b.x + along.x + across.x, b.y + along.y + across.y},
            {a.x - along.x + across.x, a.y - along.y + across.y}};
}

Region groove_cover(const FigureDesign& design, const Bit& bit) {
    std::vector<Loop> bars;
    for (const Groove& groove : design.grooves) {
        const auto& tip = groove.tip;
        const std::size_t count = tip.size() - (groove.closed || tip.size() == 1 ? 0 : 1);
        for (std::size_t k = 0; k < count; ++k) {
            const Point3 &a = tip[k], &b = tip[(k + 1) % tip.size()];
            bars.push_back(bar(a, b, bit.width_at(std::max(-a.z, -b.z)) / 2));
        }
    }
    return Region(bars, FillRule::nonzero);
}

/// Where the segment a–b crosses the lines of a region, as shares of its length, with both ends.
std::vector<double> crossings(const Point3& a, const Point3& b, const std::vector<Loop>& loops) {
    std::vector<double> at{0, 1};
    const double dx = b.x - a.x, dy = b.y - a.y;
    for (const Loop& loop : loops)
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point &p = loop[k], &q = loop[(k + 1) % loop.size()];
            const double ex = q.x - p.x, ey = q.y - p.y, det = dx * ey - dy * ex;
            if (det == 0) continue;
            const double t = ((p.x - a.x) * ey - (p.y - a.y) * ex) / det, s = ((p.x - a.x) * dy - (p.y - a.y) * dx) / det;
            if (t > 0 && t < 1 && s >= 0 && s <= 1) at.push_back(t);
        }
    std::sort(at.begin(), at.end());
    return at;
}

Point3 between(const Point3& a, const Point3& b, double t) { return {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t, a.z + (b.z - a.z) * t}; }

/// The pieces of a line outside the region.
std::vector<Groove> clipped(const Groove& groove, const Region& kept, const std::vector<Loop>& loops) {
    std::vector<Groove> pieces;
    std::vector<Point3> piece;
    const auto finish = [&] {
        if (piece.size() > 1) pieces.push_back({std::move(piece), false});
        piece.clear();
    };
    const auto& tip = groove.tip;
    const std::size_t count = tip.size() - (groove.closed ? 0 : 1);
    bool whole = true;
    for (std::size_t k = 0; k < count; ++k) {
        const Point3 &a = tip[k], &b = tip[(k + 1) % tip.size()];
        const std::vector<double> at = crossings(a, b, loops);
        for (std::size_t n = 0; n + 1 < at.size(); ++n) {
            const Point3 middle = between(a, b, (at[n] + at[n + 1]) / 2);
            if (kept.holds({middle.x, middle.y})) {
                finish();
                whole = false;
                continue;
            }
            if (piece.empty()) piece.push_back(between(a, b, at[n]));
            piece.push_back(between(a, b, at[n + 1]));
        }
    }
    if (whole) return {groove};
    // A closed line's last piece goes on where its first began.
    const bool joins = groove.closed && !pieces.empty() && !piece.empty() && distance(piece.back(), pieces.front().tip.front()) < 1e-9;
    if (joins) {
        piece.insert(piece.end(), pieces.front().tip.begin() + 1, pieces.front().tip.end());
        pieces.front().tip = std::move(piece);
        piece.clear();
    }
    finish();
    return pieces;
}

[[nodiscard]] Error nothing_left() { return {Fault::refused, "What lies on it spares all of it: nothing is left to be cut."}; }

void spare_figure(DesignedFigure& cut, const Region& kept) {
    FigureDesign& design = cut.design;
    if (design.band > 0)
        throw Error(Fault::refused,
                    "A line that is cut beside cannot be interrupted, and something with spare = true lies on it. Move one of "
                    "the two, or take spare away.");
    if (design.grooves.empty()) {
        design.traced = without(design.traced, kept);
        design.may = without(design.may, kept);
        if (design.may.empty()) throw nothing_left();
        return;
    }
    const std::vector<Loop> loops = kept.loops();
    std::vector<Groove> left;
    for (const Groove& groove : design.grooves)
        for (Groove& piece : clipped(groove, kept, loops)) left.push_back(std::move(piece));
    if (left.empty()) throw nothing_left();
    design.grooves = std::move(left);
}

/// Cells whose centre lies in the region become stock top.
void spare_heights(HeightMap& heights, const Region& kept) {
    const std::vector<Loop> loops = kept.loops();
    std::vector<double> crossed;
    for (int j = 0; j < heights.height(); ++j) {
        const double y = heights.centre(0, j).y;
        crossed.clear();
        for (const Loop& loop : loops)
            for (std::size_t k = 0; k < loop.size(); ++k) {
                const Point &p = loop[k], &q = loop[(k + 1) % loop.size()];
                if ((p.y <= y) != (q.y <= y)) crossed.push_back(p.x + (q.x - p.x) * (y - p.y) / (q.y - p.y));
            }
        std::sort(crossed.begin(), crossed.end());
        for (std::size_t k = 0; k + 1 < crossed.size(); k += 2) {
            const auto column = [&](double x) {
                return std::clamp(static_cast<int>(std::ceil((x - heights.origin().x) / heights.cell() - 0.5)), 0, heights.width());
            };
            std::fill(heights.row(j) + column(crossed[k]), heights.row(j) + column(crossed[k + 1]), 0.0F);
        }
    }
}

}  // namespace

Region cover_of(const DesignedCut& cut) {
    if (const auto* relief = std::get_if<DesignedRelief>(&cut)) return rectangle(relief->box);
    const auto& figure = std::get<DesignedFigure>(cut);
    if (figure.design.band > 0) return {};
    if (!figure.design.grooves.empty()) return groove_cover(figure.design, figure.figure.job.bits.back().bit);
    return figure.design.may;
}

void spare(DesignedCut& cut, const Region& kept) {
    if (auto* relief = std::get_if<DesignedRelief>(&cut)) {
        spare_heights(relief->design, kept);
        const auto values = relief->design.values();
        if (std::all_of(values.begin(), values.end(), [](float z) { return z >= 0; })) throw nothing_left();
    } else {
        spare_figure(std::get<DesignedFigure>(cut), kept);
    }
}

}  // namespace burin
