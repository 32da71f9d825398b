/// The medial axis of figures: the part of the Voronoi diagram of a figure's segments that lies inside it and separates different
/// parts of its line (Blum 1967; diagram by Boost.Polygon's sweep after Fortune 1987, exact on whole numbers).
///
/// Edges of the diagram between a segment and its own end point are no part of the axis: they mark where a corner that points inwards
/// takes over. Between two segments the axis is straight and its radius linear; between a corner and a segment it is a parabola, between
/// two corners straight, with a radius that is not linear. Both are given as chords. Cost: n log n for each figure; the diagram
/// takes nearly all of it, about 2 s for 100,000 segments.
#include "burin/shape/medial_axis.hpp"

#include <algorithm>
#include <boost/polygon/voronoi.hpp>
#include <cmath>
#include <numeric>

#include "burin/base/error.hpp"
#include "lattice.hpp"

namespace burin {
namespace {

using Diagram = boost::polygon::voronoi_diagram<double>;
using Builder = boost::polygon::voronoi_builder<std::int32_t>;

constexpr std::uint32_t none = ~std::uint32_t{0};

struct Segment {
    LatticePoint a, b;
    std::uint32_t before, next;  ///< along the loop
};

/// All lines of a figure about the middle of its box, which lets 32 bits hold any figure.
struct Outline {
    LatticePoint middle;
    std::vector<Segment> segments;
};

Outline outline_of(const Figure& figure) {
    Outline outline;
    LatticePoint lo = on_lattice(figure.outer.front()), hi = lo;
    for (const Point& mm : figure.outer) {
        const LatticePoint p = on_lattice(mm);
        lo = {std::min(lo.x, p.x), std::min(lo.y, p.y)};
        hi = {std::max(hi.x, p.x), std::max(hi.y, p.y)};
    }
    outline.middle = {(lo.x + hi.x) / 2, (lo.y + hi.y) / 2};
    const auto add = [&](const Loop& loop) {
        const auto first = static_cast<std::uint32_t>(outline.segments.size()), n = static_cast<std::uint32_t>(loop.size());
        for (std::uint32_t k = 0; k < n; ++k)
            outline.segments.push_back({on_lattice(loop[k]) - outline.middle, on_lattice(loop[(k + 1) % n]) - outline.middle,
                                        first + (k + n - 1) % n, first + (k + 1) % n});
    };
    add(figure.outer);
    for (const Loop& hole : figure.holes) add(hole);
    return outline;
}

void build(const Outline& outline, Diagram& diagram) {
    Builder builder;
    for (const Segment& s : outline.segments)
        builder.insert_segment(static_cast<std::int32_t>(s.a.x), static_cast<std::int32_t>(s.a.y), static_cast<std::int32_t>(s.b.x),
                               static_cast<std::int32_t>(s.b.y));
    builder.construct(&diagram);
}

Point plain(const LatticePoint& p) { return {static_cast<double>(p.x), static_cast<double>(p.y)}; }
Point plain(const Diagram::vertex_type& v) { return {v.x(), v.y()}; }

/// What a cell of the diagram belongs to: a segment, or one of its ends.
struct Source {
    bool is_segment;
    std::uint32_t segment;
    Point a, b;  ///< for an end both are that end
    double length;
};

class FigureAxis {
public:
    FigureAxis(const Figure& figure, double tolerance) : outline_(outline_of(figure)), tolerance_(tolerance / Region::lattice) {
        build(outline_, diagram_);
        node_of_.assign(diagram_.vertices().size(), none);
        const auto& edges = diagram_.edges();
        for (std::size_t k = 0; k < edges.size(); k += 2)  // twins stand side by side
            if (edges[k].is_primary() && edges[k].is_finite() && inside(edges[k])) add(edges[k]);
    }
    [[nodiscard]] MedialAxis result() { return compacted(); }

private:
    using Edge = Diagram::edge_type;

    [[nodiscard]] Source source_of(const Diagram::cell_type& cell) const {
        const auto s = static_cast<std::uint32_t>(cell.source_index());
        const Point a = plain(outline_.segments[s].a), b = plain(outline_.segments[s].b);
        if (cell.contains_segment()) return {true, s, a, b, distance(a, b)};
        const Point end = cell.source_category() == boost::polygon::SOURCE_CATEGORY_SEGMENT_START_POINT ? a : b;
        return {false, s, end, end, 0};
    }
    /// Distance from the segment's line, positive on the material's side.
    [[nodiscard]] static double height(const Source& s, const Point& p) {
        return ((s.b.x - s.a.x) * (p.y - s.a.y) - (s.b.y - s.a.y) * (p.x - s.a.x)) / s.length;
    }
    /// A corner has a part of the inside to itself where the material's angle is more than a half turn.
    [[nodiscard]] bool points_inwards(const Diagram::cell_type& cell) const {
        const Segment& s = outline_.segments[cell.source_index()];
        return cell.source_category() == boost::polygon::SOURCE_CATEGORY_SEGMENT_START_POINT
                   ? turn(outline_.segments[s.before].a, s.a, s.b) < 0
                   : turn(s.a, s.b, outline_.segments[s.next].b) < 0;
    }
    [[nodiscard]] bool inside(const Edge& edge) const {
        const bool own = edge.cell()->contains_segment();
        if (!own && !edge.twin()->cell()->contains_segment()) return points_inwards(*edge.cell());
        const Source s = source_of(own ? *edge.cell() : *edge.twin()->cell());
        const double h0 = height(s, plain(*edge.vertex0())), h1 = height(s, plain(*edge.vertex1()));
        return (std::abs(h0) > std::abs(h1) ? h0 : h1) > 0;
    }

    std::uint32_t node_at(const Diagram::vertex_type& vertex, const Source& source) {
        std::uint32_t& node = node_of_[static_cast<std::size_t>(&vertex - diagram_.vertices().data())];
        if (node != none) return node;
        node = static_cast<std::uint32_t>(nodes_.size());
        const Point p = plain(vertex);
        if (!source.is_segment) {
            nodes_.push_back({p, distance(p, source.a)});
            return node;
        }
        // In a corner the numbers are those of the corner itself.
        constexpr double same_place = 1.5;
        if (distance(p, source.a) < same_place)
            nodes_.push_back({source.a, 0});
        else if (distance(p, source.b) < same_place)
            nodes_.push_back({source.b, 0});
        else
            nodes_.push_back({p, std::abs(height(source, p))});
        return node;
    }

    void add(const Edge& edge) {
        Source s = source_of(*edge.cell()), t = source_of(*edge.twin()->cell());
        if (!s.is_segment) std::swap(s, t);
        last_ = node_at(*edge.vertex0(), s);
        const std::uint32_t to = node_at(*edge.vertex1(), s);
        const Point from = nodes_[last_].at, until = nodes_[to].at;
        if (s.is_segment && !t.is_segment)
            add_parabola(s, t.a, from, until);
        else if (!s.is_segment)
            add_between_corners(s.a, t.a, from, until);
        join(to);
    }
    void join(std::uint32_t node) {
        edges_.push_back({last_, node});
        last_ = node;
    }
    void pass(const Point& at, double radius) {
        nodes_.push_back({at, radius});
        join(static_cast<std::uint32_t>(nodes_.size()) - 1);
    }

    /// With x along the segment from the foot of the corner p, which lies d above it, the axis is y = (x² + d²) / 2d, which is also its
    /// radius. A chord of width w leaves it by w² / 8d at most, measured across the segment.
    void add_parabola(const Source& s, const Point& p, const Point& from, const Point& until) {
        const Point u{(s.b.x - s.a.x) / s.length, (s.b.y - s.a.y) / s.length}, up{-u.y, u.x};
        const double d = height(s, p);
        const auto along = [&](const Point& q) { return (q.x - p.x) * u.x + (q.y - p.y) * u.y; };
        const double x0 = along(from), x1 = along(until);
        if (!(d > 0)) return;
        const double chords = std::ceil(std::abs(x1 - x0) / std::sqrt(8 * d * tolerance_));
        for (int k = 1; k < chords; ++k) {
            const double x = x0 + (x1 - x0) * k / chords, y = (x * x + d * d) / (2 * d);
            pass({p.x + x * u.x + (y - d) * up.x, p.y + x * u.y + (y - d) * up.y}, y);
        }
    }

    /// Midway between corners p and q, which lie 2h apart, the radius at s from their middle is √(s² + h²).
    void add_between_corners(const Point& p, const Point& q, const Point& from, const Point& until) {
        const Point middle{(p.x + q.x) / 2, (p.y + q.y) / 2};
        const double h = distance(p, q) / 2, length = distance(from, until);
        if (!(h > 0) || !(length > 0)) return;
        const Point u{(until.x - from.x) / length, (until.y - from.y) / length};
        const double s0 = (from.x - middle.x) * u.x + (from.y - middle.y) * u.y;
        split(s0, s0 + length, h, [&](double s) { pass({from.x + (s - s0) * u.x, from.y + (s - s0) * u.y}, std::hypot(s, h)); });
    }
    /// The chord of √(s² + h²) over s0 … s1 is farthest above where the slope is the chord's own.
    template <class Pass>
    void split(double s0, double s1, double h, const Pass& pass_at) const {
        const double r0 = std::hypot(s0, h), r1 = std::hypot(s1, h), slope = (r1 - r0) / (s1 - s0);
        const double s = slope * h / std::sqrt(std::max(1 - slope * slope, 1e-30));
        if (!(s > s0 && s < s1) || r0 + slope * (s - s0) - std::hypot(s, h) <= tolerance_) return;
        split(s0, s, h, pass_at);
        pass_at(s);
        split(s, s1, h, pass_at);
    }

    std::uint32_t root(std::vector<std::uint32_t>& parent, std::uint32_t k) const {
        while (parent[k] != k) k = parent[k] = parent[parent[k]];
        return k;
    }
    /// Nodes less than a lattice step apart along an edge become one; what remains is given in millimetres.
    [[nodiscard]] MedialAxis compacted() const {
        std::vector<std::uint32_t> parent(nodes_.size());
        std::iota(parent.begin(), parent.end(), 0U);
        for (const AxisEdge& edge : edges_)
            if (distance(nodes_[edge.from].at, nodes_[edge.to].at) < 1) {
                std::uint32_t a = root(parent, edge.from), b = root(parent, edge.to);
                if (nodes_[b].radius == 0) std::swap(a, b);  // corners stay
                parent[b] = a;
            }
        MedialAxis axis;
        std::vector<std::uint32_t> number(nodes_.size(), none);
        const auto numbered = [&](std::uint32_t k) {
            k = root(parent, k);
            if (number[k] == none) {
                number[k] = static_cast<std::uint32_t>(axis.nodes.size());
                const AxisNode& node = nodes_[k];
                const auto x = static_cast<double>(outline_.middle.x), y = static_cast<double>(outline_.middle.y);
                axis.nodes.push_back(
                    {{(node.at.x + x) * Region::lattice, (node.at.y + y) * Region::lattice}, node.radius * Region::lattice});
            }
            return number[k];
        };
        for (const AxisEdge& edge : edges_) {
            const std::uint32_t from = numbered(edge.from), to = numbered(edge.to);
            if (from != to) axis.edges.push_back({from, to});
        }
        return axis;
    }

    Outline outline_;
    double tolerance_;
    Diagram diagram_;
    std::vector<std::uint32_t> node_of_;
    std::vector<AxisNode> nodes_;
    std::vector<AxisEdge> edges_;
    std::uint32_t last_ = 0;
};

}  // namespace

MedialAxis medial_axis(const Region& region, double tolerance, const Crew& crew) {
    if (!(tolerance > 0)) throw Error(Fault::usage, "A medial axis needs a tolerance above 0 mm.");
    const std::vector<Figure>& figures = region.figures();
    std::vector<MedialAxis> parts(figures.size());
    in_parallel(crew, static_cast<int>(figures.size()), [&](int k) {
        const auto f = static_cast<std::size_t>(k);
        parts[f] = FigureAxis(figures[f], tolerance).result();
    });
    MedialAxis axis;
    for (const MedialAxis& part : parts) {
        const auto first = static_cast<std::uint32_t>(axis.nodes.size());
        axis.nodes.insert(axis.nodes.end(), part.nodes.begin(), part.nodes.end());
        for (const AxisEdge& edge : part.edges) axis.edges.push_back({first + edge.from, first + edge.to});
    }
    return axis;
}

}  // namespace burin
