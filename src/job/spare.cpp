/// Cuts that give way to others. Lines are clipped segment by segment, heights row by row. Cost: corners of the kept region times the
/// segments that come near it.
#include "spare.hpp"

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/shape/line_parts.hpp"

namespace burin {
namespace {

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

/// The pieces of a line outside the region.
std::vector<Groove> clipped(const Groove& groove, const Region& kept) {
    ValuedLine line;
    line.line.closed = groove.closed;
    for (const Point3& p : groove.tip) {
        line.line.points.push_back(flat(p));
        line.values.push_back(p.z);
    }
    std::vector<Groove> pieces;
    for (const ValuedLine& part : line_parts(line, kept, false)) {
        Groove& piece = pieces.emplace_back();
        piece.closed = part.line.closed;
        for (std::size_t k = 0; k < part.values.size(); ++k)
            piece.tip.push_back({part.line.points[k].x, part.line.points[k].y, part.values[k]});
    }
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
    std::vector<Groove> left;
    for (const Groove& groove : design.grooves)
        for (Groove& piece : clipped(groove, kept)) left.push_back(std::move(piece));
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
    if (std::holds_alternative<DesignedFace>(cut)) return {};
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
