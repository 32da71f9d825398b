#pragma once
// What is left held against a figure; inside the room only.
#include <functional>
#include <optional>
#include <vector>

#include "burin/proof/proof.hpp"
#include "removal.hpp"
#include "segments.hpp"
#include "way.hpp"

namespace burin::proving {

constexpr double line_slack = 0.03;       ///< sideways against the traced line, mm
constexpr double depth_slack = 0.02;      ///< up and down, mm
constexpr double vee_floor_slack = 0.02;  ///< what a floor cleared by a vee may keep besides

/// The worst of its kind, and whether that is more than may be.
struct Seen {
    double value = 0;
    Point3 place;
    bool broken = false;
    std::optional<Culprit> by;  ///< when broken: the first piece that did it, or the one that came nearest
};

struct FigureSeen {
    Seen over, short_of;   ///< sideways at the stock top, mm
    Seen below, standing;  ///< up and down, mm
    double standing_rms = 0;
    double may_stand = depth_slack;
};

/// Everything a kind of figure needs to be looked at.
struct FigureCase {
    const FigureDesign& figure;
    const ProofTask& task;
    const std::vector<Way>& ways;
    const HeightMap& surface;
    const Crew& crew;
};

/// A floor with upright walls.
[[nodiscard]] FigureSeen against_walls(const FigureCase& c);
/// A floor, if any, with walls as steep as a vee.
[[nodiscard]] FigureSeen against_vee_walls(const FigureCase& c);
/// Lines followed by the tip.
[[nodiscard]] FigureSeen against_grooves(const FigureCase& c);

/// Cells of a figure's model of the stock.
[[nodiscard]] double figure_cell(const ProofTask& task);

/// The worst of many places, kept in bands that are then joined in their order.
struct Peak {
    double value = 0;
    Point3 place;
    void take(double v, const Point& p, double z) {
        if (v > value) value = v, place = {p.x, p.y, z};
    }
    void take(const Peak& other) {
        if (other.value > value) *this = other;
    }
};

/// Cells of a map that lie in a box grown by `margin`: columns and rows, ends excluded.
struct CellBox {
    int i0 = 0, i1 = 0, j0 = 0, j1 = 0;
    [[nodiscard]] bool empty() const { return i1 <= i0 || j1 <= j0; }
};
[[nodiscard]] CellBox cells_in(const HeightMap& map, const Box& box, double margin);
/// A grid over those cells, at the same centres.
[[nodiscard]] HeightMap part_of(const HeightMap& map, const CellBox& cells);

/// Half the bit's width at the stock top when its tip runs at z.
[[nodiscard]] inline double half_width(const Bit& bit, double z) { return bit.width_at(std::max(0.0, -z)) / 2; }

/// The cutting piece whose bit comes nearest to a place (lowest, then first of equals).
[[nodiscard]] std::optional<Culprit> nearest_to(const Point& place, const std::vector<Way>& ways);
/// The earlier of two in running order.
[[nodiscard]] std::optional<Culprit> earlier(const std::optional<Culprit>& a, const std::optional<Culprit>& b);

/// Calls see(piece, a, b) for the cutting pieces of the legs first … last − 1.
template <class See>
void over_cuts(const Way& way, std::size_t first, std::size_t last, const See& see) {
    for (std::size_t leg = first; leg < last; ++leg) {
        if (way.kinds[leg] != LegKind::cut && way.kinds[leg] != LegKind::vertical) continue;
        const std::uint32_t count = way.first_piece[leg + 1] - way.first_piece[leg];
        Point3 from = way.start_of(leg, 0);
        for (std::uint32_t n = 0; n < count; ++n) {
            const Point3 to = way.end_of(leg, n);
            see(way.first_piece[leg] + n, from, to);
            from = to;
        }
    }
}

/// The part of a piece that runs below a height; false: there is none.
bool clip_below(Point3& a, Point3& b, double z);

/// Calls see(a, b, half width at a, at b) for parts of a piece over which the bit's half width at the stock top changes evenly, to a
/// thousandth of a millimetre: a ball's does not. Straight up and down it is one place, as wide as the lower end.
template <class See>
void over_even_widths(const Bit& bit, const Point3& a, const Point3& b, const See& see, int depth = 0) {
    if (flat(a) == flat(b)) {  // straight down or up: what its lower end covers
        const Point3& low = a.z < b.z ? a : b;
        see(low, low, half_width(bit, low.z), half_width(bit, low.z));
        return;
    }
    const Point3 m{(a.x + b.x) / 2, (a.y + b.y) / 2, (a.z + b.z) / 2};
    const double ea = half_width(bit, a.z), eb = half_width(bit, b.z);
    if (depth < 10 && std::fabs(half_width(bit, m.z) - (ea + eb) / 2) > 0.001) {
        over_even_widths(bit, a, m, see, depth + 1);
        over_even_widths(bit, m, b, see, depth + 1);
    } else {
        see(a, b, ea, eb);
    }
}

/// Points along the lines of a region, some hundredths of a millimetre apart.
[[nodiscard]] std::vector<Point> points_along(const std::vector<Loop>& loops);

/// make(figure) for every figure of a region, on all threads: the loops of what it gives, in the figures' order.
[[nodiscard]] std::vector<Loop> figure_by_figure(const Region& region, const Crew& crew, const std::function<Region(const Region&)>& make);

/// How far at worst the points stay outside what the bits cover at the stock top with their tips below a height, and the piece that
/// comes nearest; `fit` is added.
[[nodiscard]] Seen short_of_edge(const FigureCase& c, const std::vector<Point>& points, double below, double fit);

/// 1, 2 and the line: the four checks of a figure, in the order of the header; fills what the proof says of it.
[[nodiscard]] std::vector<Check> check_figure(const FigureCase& c, Proof& proof);

}  // namespace burin::proving
