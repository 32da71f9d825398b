/// Figures become rows and lines of a beam.
///
/// The beam marks a strip as wide as its spot, so lines run half a spot inside the edge (Serra 1982: erosion) and meet it from within; what
/// no spot can enter is followed along its middle (Blum 1967), for a line a little too wide is better than none. Rows end within the
/// strip along the edge: its rim is burnt twice where they lie wide apart, but nothing is left out. Cost: an offset or two, the crossings
/// of rows with lines, a tour.
#include "burin/toolpath/burn_figure.hpp"

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/design/trace.hpp"
#include "figure_order.hpp"

namespace burin {
namespace {

Point turned(const Point& p, double angle, const Point& pivot) {
    const double c = std::cos(angle), s = std::sin(angle), x = p.x - pivot.x, y = p.y - pivot.y;
    return {pivot.x + x * c - y * s, pivot.y + x * s + y * c};
}

/// Lines that are lit from end to end; closed ones end where they began.
struct Lines {
    std::vector<Loop> rings;
    std::vector<Loop> open;
};

void add_line(const Polyline& line, double spot, Lines& to) {
    if (line.points.empty()) return;
    double length = 0;
    for (std::size_t k = 1; k < line.points.size(); ++k) length += distance(line.points[k - 1], line.points[k]);
    if (length < spot / 2) {
        const Point p = line.points.front();
        to.open.push_back({{p.x - spot / 4, p.y}, {p.x + spot / 4, p.y}});
    } else if (line.closed && line.points.size() > 2) {
        to.rings.push_back(line.points);
    } else {
        to.open.push_back(line.points);
        if (line.closed) to.open.back().push_back(line.points.front());
    }
}

class LineWriter {
public:
    LineWriter(Toolpath& path, double feed, std::uint16_t power, double z) : path_(path), feed_(feed), power_(power), z_(z) {}
    void go(const Point& p, bool lit) {
        Move move;
        move.to = {p.x, p.y, z_};
        move.kind = lit ? MoveKind::feed : MoveKind::rapid;
        move.feed = lit ? static_cast<float>(feed_) : 0;
        move.power = lit ? power_ : std::uint16_t{0};
        path_.track.moves.push_back(move);
    }
    /// A ring from its corner nearest to `entry`, back to it.
    void ring(const Loop& loop, const Point& entry) {
        const auto start = std::min_element(loop.begin(), loop.end(),
                                            [&](const Point& a, const Point& b) { return distance(a, entry) < distance(b, entry); });
        const auto first = static_cast<std::size_t>(start - loop.begin());
        go(loop[first], false);
        for (std::size_t k = 1; k <= loop.size(); ++k) go(loop[(first + k) % loop.size()], true);
    }
    void open(const Loop& line, bool reversed) {
        const std::size_t n = line.size();
        for (std::size_t k = 0; k < n; ++k) go(line[reversed ? n - 1 - k : k], k > 0);
    }

private:
    Toolpath& path_;
    double feed_;
    std::uint16_t power_;
    double z_;
};

Point place_of(const Toolpath& path) {
    const Point3 at = path.track.moves.empty() ? path.track.start : path.track.moves.back().to;
    return {at.x, at.y};
}

void append_lines(Toolpath& path, const Lines& lines, const BurnFigureOrder& order, double z, const Crew& crew) {
    LineWriter writer(path, order.run.feed, order.power, z);
    std::vector<Stop> rings, open;
    for (const Loop& ring : lines.rings) rings.push_back({ring.front(), ring.front(), ring});
    for (const Loop& line : lines.open) open.push_back({line.front(), line.back()});
    if (!rings.empty())
        for (const Turn& turn : inner_first(lines.rings, rings, place_of(path), crew)) writer.ring(lines.rings[turn.stop], turn.entry);
    if (!open.empty())
        for (const Turn& turn : short_tour(open, place_of(path), crew)) writer.open(lines.open[turn.stop], turn.reversed);
}

/// Down to the next pass, straight, the beam dark.
void lower_to(Toolpath& path, double z) {
    Move move;
    move.to = {place_of(path).x, place_of(path).y, z};
    path.track.moves.push_back(move);
}

/// All that one pass burns.
struct Burnt {
    std::vector<BurnRow> rows;
    Lines lines;
};

std::vector<BurnRow> rows_of(const Region& figure, const BurnFigureOrder& order, const BurnRowsOrder& run, const Crew& crew) {
    // The last row beside an edge may lie a whole row farther in than the rows' region: even then the strips must meet.
    const double rim = order.edge ? std::clamp(1.5 * order.spot - order.spacing, order.spot / 2, order.spot) : order.spot / 2;
    return fill_rows(offset_by(figure, -rim), order.spacing, order.power, run.angle, run.pivot, order.spot / 2, crew);
}

Burnt burnt_of(const Region& figure, const std::vector<Polyline>& given, const BurnFigureOrder& order, const Crew& crew) {
    Burnt burnt;
    if (!figure.empty()) {
        if (order.rows) burnt.rows = rows_of(figure, order, order.run, crew);
        if (order.edge)
            for (const Loop& loop : simplified(order.beside == 0 ? figure : offset_by(figure, -order.beside), order.tolerance).loops())
                burnt.lines.rings.push_back(loop);
        if (order.narrow > 0)
            for (const MiddleLine& line : middle_lines(too_narrow(figure, order.narrow), crew))
                add_line(line.line, order.spot, burnt.lines);
    }
    for (const Polyline& line : given) add_line(line, order.spot, burnt.lines);
    return burnt;
}

}  // namespace

Region too_narrow(const Region& figure, double spot) {
    const Region rest = without(figure, offset_by(opened_by(figure, spot / 2), spot / 20));
    std::vector<Loop> loops;
    for (const Figure& piece : rest.figures()) {
        const Region one(std::vector<Loop>{piece.outer});
        if (one.area() < spot * spot / 4) continue;
        loops.push_back(piece.outer);
        loops.insert(loops.end(), piece.holes.begin(), piece.holes.end());
    }
    return Region(loops);
}

std::vector<BurnRow> fill_rows(const Region& figure, double spacing, std::uint16_t power, double angle, const Point& pivot, double least,
                               const Crew& crew) {
    if (figure.empty()) return {};
    std::vector<Loop> loops = figure.loops();
    double lo = 1e9, hi = -1e9;
    for (Loop& loop : loops)
        for (Point& p : loop) {
            p = turned(p, -angle, pivot);
            lo = std::min(lo, p.y), hi = std::max(hi, p.y);
        }
    // Rows lie on corners and level edges nowhere: a hair within the first and the last.
    const double hair = std::min(1e-3, (hi - lo) / 4), height = hi - lo - 2 * hair;
    const int count = static_cast<int>(std::ceil(height / spacing - 1e-9)) + 1;
    const double step = count > 1 ? height / (count - 1) : 0, first = lo + hair + (count > 1 ? 0 : height / 2);
    std::vector<std::vector<double>> crossings(static_cast<std::size_t>(count));
    for (const Loop& loop : loops) {
        crew.check();
        for (std::size_t k = 0; k < loop.size(); ++k) {
            Point a = loop[k], b = loop[(k + 1) % loop.size()];
            if (a.y > b.y) std::swap(a, b);
            // Rows with a.y <= y < b.y: each corner counts once.
            int j = step > 0 ? std::max(0, static_cast<int>(std::ceil((a.y - first) / step)) - 1) : 0;
            for (; j < count; ++j) {
                const double y = first + j * step;
                if (y >= b.y) break;
                if (y >= a.y) crossings[static_cast<std::size_t>(j)].push_back(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
            }
        }
    }
    std::vector<BurnRow> rows(static_cast<std::size_t>(count));
    for (std::size_t j = 0; j < rows.size(); ++j) {
        auto& x = crossings[j];
        std::sort(x.begin(), x.end());
        rows[j].y = first + static_cast<double>(j) * step;
        for (std::size_t k = 0; k + 1 < x.size(); k += 2)
            if (x[k + 1] - x[k] >= least) rows[j].runs.push_back({x[k], x[k + 1], power});
    }
    return rows;
}

Toolpath plan_burnt_figure(const Region& figure, const std::vector<Polyline>& lines, const BurnFigureOrder& order, const Crew& crew) {
    const Burnt burnt = burnt_of(figure, lines, order, crew);
    const bool any_rows = std::any_of(burnt.rows.begin(), burnt.rows.end(), [](const BurnRow& row) { return !row.runs.empty(); });
    if (!any_rows && burnt.lines.rings.empty() && burnt.lines.open.empty())
        throw Error(Fault::refused, "There is nothing to be burnt: the figure is empty, or narrower than the beam's spot everywhere.");
    const bool crossed = order.across && order.rows && order.passes > 1 && !figure.empty();
    const std::vector<BurnRow> across = crossed ? rows_of(figure, order, *order.across, crew) : std::vector<BurnRow>();
    Toolpath path;
    path.track.start = {0, 0, order.run.z};
    if (order.focus_step != 0) lower_to(path, order.run.z);  // programs with focus steps begin above
    for (int pass = 0; pass < order.passes; ++pass) {
        const double z = order.run.z - pass * order.focus_step;
        if (pass > 0 && order.focus_step != 0) lower_to(path, z);
        path.passes.push_back({path.track.moves.size(), z, order.passes > 1 ? "pass" : "figure"});
        const bool turned_rows = crossed && pass % 2 == 1;
        BurnRowsOrder run = turned_rows ? *order.across : order.run;
        run.z = z;
        append_rows(path, turned_rows ? across : burnt.rows, run, crew);
        append_lines(path, burnt.lines, order, z, crew);
    }
    if (order.passes > 1 && order.focus_step != 0) lower_to(path, order.run.z);
    return path;
}

Toolpath border_run(const Box& box, double feed, std::uint16_t power, int rounds) {
    Toolpath path;
    LineWriter writer(path, feed, power, 0);
    writer.go(box.lo, false);
    path.passes.push_back({path.track.moves.size(), 0, "border"});
    for (int k = 0; k < rounds; ++k)
        for (const Point& p : {Point{box.hi.x, box.lo.y}, box.hi, Point{box.lo.x, box.hi.y}, box.lo}) writer.go(p, true);
    return path;
}

}  // namespace burin
