/// Middle lines of drawn strokes from the medial axis.
///
/// The axis runs in the middle of strokes but not where strokes meet: it bends towards the inner corners of a junction,
/// and an acute crossing becomes two junctions with a piece between them. So the axis is cut back to where the
/// junction's disc ends; from there each stroke goes on in its own direction. Ends that lie in each other's way are joined, the
/// straightest first; others run to the line that passes, or to the middle of the junction. At a stroke's end the axis stops half a
/// width before the ink does: the line is carried on to the ink's end. Cost: that of the medial axis.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <optional>

#include "branches.hpp"
#include "burin/design/trace.hpp"
#include "burin/shape/medial_axis.hpp"
#include "edge_cells.hpp"

namespace burin {
namespace {

struct Station {
    Point at;
    double radius = 0;
};

/// A piece of a stroke between two ends; end 0 is its front.
struct Piece {
    std::vector<Station> stations;
    bool ring = false, gone = false;
    double length = 0;               ///< before it was cut back
    int junction[2] = {-1, -1};      ///< group of junctions at each end, or −1
    int joined[2] = {-1, -1};        ///< end of another piece (2 × piece + end) that follows
    std::optional<Point> corner[2];  ///< between both, where the join is no straight line
};

constexpr double degree = std::numbers::pi / 180;

Point minus(const Point& a, const Point& b) { return {a.x - b.x, a.y - b.y}; }
double angle_between(const Point& a, const Point& b) { return std::abs(std::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y)); }

/// Groups of junctions whose discs hold each other's middles.
std::vector<int> groups_of(const MedialAxis& axis, const Branches& strokes) {
    std::vector<int> group(axis.nodes.size());
    for (std::size_t k = 0; k < group.size(); ++k) group[k] = static_cast<int>(k);
    const auto root = [&](int k) {
        while (group[static_cast<std::size_t>(k)] != k) k = group[static_cast<std::size_t>(k)];
        return k;
    };
    for (const Branch& branch : strokes.branches) {
        const std::uint32_t a = branch.path.front(), b = branch.path.back();
        if (branch.ring || a == b || strokes.degree[a] < 3 || strokes.degree[b] < 3) continue;
        double length = 0;
        for (std::size_t k = 1; k < branch.path.size(); ++k)
            length += distance(axis.nodes[branch.path[k - 1]].at, axis.nodes[branch.path[k]].at);
        if (length > std::max(axis.nodes[a].radius, axis.nodes[b].radius)) continue;
        const int p = root(static_cast<int>(a)), q = root(static_cast<int>(b));
        group[static_cast<std::size_t>(std::max(p, q))] = std::min(p, q);
    }
    for (std::size_t k = 0; k < group.size(); ++k) group[k] = root(static_cast<int>(k));
    return group;
}

/// Drops what lies within `reach` of the front along the line, but no more than `most` of its length.
void cut_front(std::vector<Station>& stations, double reach, double most) {
    double all = 0;
    for (std::size_t k = 1; k < stations.size(); ++k) all += distance(stations[k - 1].at, stations[k].at);
    double left = std::min(reach, most * all);
    std::size_t k = 1;
    for (; k + 1 < stations.size(); ++k) {
        const double step = distance(stations[k - 1].at, stations[k].at);
        if (step > left) break;
        left -= step;
    }
    const Station &a = stations[k - 1], &b = stations[k];
    const double step = distance(a.at, b.at), t = step > 0 ? std::min(left / step, 1.0) : 0;
    const Station cut{{a.at.x + t * (b.at.x - a.at.x), a.at.y + t * (b.at.y - a.at.y)}, a.radius + t * (b.radius - a.radius)};
    stations.erase(stations.begin(), stations.begin() + static_cast<std::ptrdiff_t>(k - 1));
    stations.front() = cut;
}

void cut_end(std::vector<Station>& stations, int end, double reach, double most) {
    if (end == 1) std::reverse(stations.begin(), stations.end());
    cut_front(stations, reach, most);
    if (end == 1) std::reverse(stations.begin(), stations.end());
}

/// Which way the piece points at its end, by the chord over some radii.
Point heading(const Piece& piece, int end, double radii = 2) {
    const auto& s = piece.stations;
    const std::size_t n = s.size();
    const auto at = [&](std::size_t k) -> const Station& { return end == 0 ? s[k] : s[n - 1 - k]; };
    const double wanted = radii * std::max(at(0).radius, 1e-6);
    std::size_t k = 1;
    while (k + 1 < n && distance(at(0).at, at(k).at) < wanted) ++k;
    // Within a long chord only the near part counts.
    Point far = at(k).at;
    const double length = distance(at(k - 1).at, far);
    if (distance(at(0).at, far) > wanted && length > 0) {
        const double t = std::clamp((wanted - distance(at(0).at, at(k - 1).at)) / length, 0.05, 1.0);
        far = {at(k - 1).at.x + t * (far.x - at(k - 1).at.x), at(k - 1).at.y + t * (far.y - at(k - 1).at.y)};
    }
    const double d = distance(at(0).at, far);
    return d > 0 ? Point{(at(0).at.x - far.x) / d, (at(0).at.y - far.y) / d} : Point{1, 0};
}

const Station& station(const Piece& piece, int end) { return end == 0 ? piece.stations.front() : piece.stations.back(); }

/// Where two rays meet ahead of both.
std::optional<Point> meeting(const Point& p, const Point& d, const Point& q, const Point& e) {
    const double det = d.x * e.y - d.y * e.x;
    if (std::abs(det) < 0.05) return std::nullopt;
    const Point w = minus(q, p);
    const double u = (w.x * e.y - w.y * e.x) / det, v = (w.x * d.y - w.y * d.x) / det;
    if (u < 0 || v < 0) return std::nullopt;
    return Point{p.x + u * d.x, p.y + u * d.y};
}

struct Match {
    double bend = 0;
    int a = 0, b = 0;  ///< ends: 2 × piece + end
};

/// How far from straight the way from end a on to end b is; infinite where it is none.
double bend_of(const std::vector<Piece>& pieces, int a, int b) {
    const Piece &p = pieces[static_cast<std::size_t>(a / 2)], &q = pieces[static_cast<std::size_t>(b / 2)];
    const Point from = station(p, a % 2).at, to = station(q, b % 2).at, out = heading(p, a % 2), in = heading(q, b % 2);
    const double bend = angle_between(out, {-in.x, -in.y});
    const Point way = minus(to, from);
    if (std::hypot(way.x, way.y) < 1e-6) return bend;
    return bend + 0.5 * (angle_between(out, way) + angle_between({-in.x, -in.y}, way));
}

void join(std::vector<Piece>& pieces, int a, int b, const std::optional<Point>& corner) {
    pieces[static_cast<std::size_t>(a / 2)].joined[a % 2] = b;
    pieces[static_cast<std::size_t>(b / 2)].joined[b % 2] = a;
    pieces[static_cast<std::size_t>(a / 2)].corner[a % 2] = corner;
    pieces[static_cast<std::size_t>(b / 2)].corner[b % 2] = corner;
}

void extend(Piece& piece, int end, const Point& to) {
    auto& s = piece.stations;
    if (distance(station(piece, end).at, to) < 1e-6) return;
    const Station next{to, station(piece, end).radius};
    end == 0 ? (void)s.insert(s.begin(), next) : s.push_back(next);
}

/// All ends that meet in one group of junctions.
void settle(std::vector<Piece>& pieces, const std::vector<int>& ends, const Point& middle, double radius) {
    std::vector<Match> matches;
    for (std::size_t i = 0; i < ends.size(); ++i)
        for (std::size_t j = i + 1; j < ends.size(); ++j) matches.push_back({bend_of(pieces, ends[i], ends[j]), ends[i], ends[j]});
    std::stable_sort(matches.begin(), matches.end(), [](const Match& p, const Match& q) { return p.bend < q.bend; });
    // Two alone are one stroke with a bend; of more, those that go straight on belong together.
    const double most = ends.size() == 2 ? std::numbers::pi * 2 : 60 * degree;
    std::vector<std::pair<Point, Point>> through;
    const auto taken = [&](int end) { return pieces[static_cast<std::size_t>(end / 2)].joined[end % 2] >= 0; };
    for (const Match& match : matches) {
        if (match.bend > most || taken(match.a) || taken(match.b)) continue;
        const Piece &p = pieces[static_cast<std::size_t>(match.a / 2)], &q = pieces[static_cast<std::size_t>(match.b / 2)];
        const Point from = station(p, match.a % 2).at, to = station(q, match.b % 2).at;
        std::optional<Point> corner;
        const double turn = angle_between(heading(p, match.a % 2), minus({}, heading(q, match.b % 2)));
        if (turn > 12 * degree) {
            corner = meeting(from, heading(p, match.a % 2), to, heading(q, match.b % 2));
            if (!corner || distance(*corner, middle) > 1.5 * radius)
                corner = turn > 30 * degree ? std::optional<Point>(middle) : std::nullopt;
        }
        join(pieces, match.a, match.b, corner);
        through.emplace_back(from, corner.value_or(to));
        through.emplace_back(corner.value_or(from), to);
    }
    for (const int end : ends) {
        if (taken(end)) continue;
        Piece& piece = pieces[static_cast<std::size_t>(end / 2)];
        const Point from = station(piece, end % 2).at, out = heading(piece, end % 2);
        Point to = middle;
        double nearest = std::numeric_limits<double>::max();
        for (const auto& [p, q] : through) {
            const double length = distance(p, q);
            if (length == 0) continue;
            const Point d = {(q.x - p.x) / length, (q.y - p.y) / length};
            const double det = out.x * d.y - out.y * d.x;
            if (std::abs(det) < 0.2) continue;
            const Point w = minus(p, from);
            const double u = (w.x * d.y - w.y * d.x) / det, v = (w.x * out.y - w.y * out.x) / det;
            if (u > 0 && u < 3 * radius && v > -1e-9 && v < length + 1e-9 && u < nearest) {
                nearest = u;
                to = {from.x + u * out.x, from.y + u * out.y};
            }
        }
        extend(piece, end % 2, to);
    }
}

/// Carries a free end on to the ink's end. An axis that turns off into a corner at the very end is cut back first.
void reach_end(Piece& piece, int end, const EdgeCells& edges) {
    auto& s = piece.stations;
    const std::size_t n = s.size();
    const auto at = [&](std::size_t k) -> Station& { return end == 0 ? s[k] : s[n - 1 - k]; };
    double widest = 0, way = 0, greatest = 0;
    for (const Station& station : s) greatest = std::max(greatest, station.radius);
    for (std::size_t k = 0; k < n && way < 4 * std::max(widest, 0.2 * greatest); ++k) {
        if (k > 0) way += distance(at(k - 1).at, at(k).at);
        widest = std::max(widest, at(k).radius);
    }
    if (at(0).radius < 0.3 * widest) {
        // The tail along which the width falls to nothing.
        std::size_t k = 0;
        double tail = 0;
        while (k + 1 < n && at(k).radius < 0.9 * widest) {
            tail += distance(at(k).at, at(k + 1).at);
            ++k;
        }
        const bool short_one = tail < 3 * widest && k > 0 && k + 1 < n;
        if (!short_one) return;  // a stroke that tapers to a point reaches it
        Piece rest = piece;
        cut_end(rest.stations, end, tail, 0.9);
        const Point on = heading(rest, end), off = minus(at(0).at, station(rest, end).at);
        if (angle_between(on, off) < 12 * degree) return;
        piece = std::move(rest);
    }
    const Station last = station(piece, end);
    const Point out = heading(piece, end, 1);
    extend(piece, end, edges.leaves(last.at, out, 3 * last.radius + 1e-3));
}

MiddleLine line_of(const std::vector<Station>& stations, bool closed, double tolerance) {
    MiddleLine line;
    line.line.closed = closed;
    if (stations.size() < 3) {
        for (const Station& s : stations) {
            line.line.points.push_back(s.at);
            line.width.push_back(2 * s.radius);
        }
        return line;
    }
    // Douglas and Peucker (1973) over place and width.
    const std::size_t n = stations.size();
    std::vector<std::uint8_t> kept(n, 0);
    kept.front() = kept.back() = 1;
    std::vector<std::pair<std::size_t, std::size_t>> spans;
    if (closed) {
        const std::size_t half = n / 2;
        kept[half] = 1;
        spans = {{0, half}, {half, n - 1}};
    } else {
        spans = {{0, n - 1}};
    }
    while (!spans.empty()) {
        const auto [a, b] = spans.back();
        spans.pop_back();
        const Station &p = stations[a], &q = stations[b];
        const double dx = q.at.x - p.at.x, dy = q.at.y - p.at.y, length = dx * dx + dy * dy;
        double most = tolerance;
        std::size_t far = 0;
        for (std::size_t k = a + 1; k < b; ++k) {
            const Station& s = stations[k];
            const double t = length > 0 ? std::clamp(((s.at.x - p.at.x) * dx + (s.at.y - p.at.y) * dy) / length, 0.0, 1.0) : 0.0;
            const double off = std::max(std::hypot(s.at.x - p.at.x - t * dx, s.at.y - p.at.y - t * dy),
                                        std::abs(s.radius - p.radius - t * (q.radius - p.radius)));
            if (off > most) most = off, far = k;
        }
        if (far == 0) continue;
        kept[far] = 1;
        spans.emplace_back(a, far);
        spans.emplace_back(far, b);
    }
    for (std::size_t k = 0; k < n; ++k)
        if (kept[k]) {
            line.line.points.push_back(stations[k].at);
            line.width.push_back(2 * stations[k].radius);
        }
    return line;
}

/// Strings joined pieces together, beginning at free ends, then rings.
std::vector<MiddleLine> strung(std::vector<Piece>& pieces, double tolerance) {
    std::vector<MiddleLine> lines;
    std::vector<std::uint8_t> used(pieces.size(), 0);
    for (std::size_t k = 0; k < pieces.size(); ++k) used[k] = pieces[k].gone;
    const auto string_from = [&](std::size_t start, int front) {
        std::vector<Station> stations;
        std::size_t at = start;
        int end = front;
        bool closed = false;
        for (;;) {
            used[at] = 1;
            std::vector<Station> part = pieces[at].stations;
            if (end == 1) std::reverse(part.begin(), part.end());
            stations.insert(stations.end(), part.begin(), part.end());
            const int next = pieces[at].joined[1 - end];
            if (next < 0) break;
            if (pieces[at].corner[1 - end]) stations.push_back({*pieces[at].corner[1 - end], stations.back().radius});
            at = static_cast<std::size_t>(next / 2);
            end = next % 2;
            if (used[at]) {
                closed = true;
                break;
            }
        }
        lines.push_back(line_of(stations, closed || pieces[start].ring, tolerance));
    };
    for (std::size_t k = 0; k < pieces.size(); ++k)
        for (int end = 0; end < 2; ++end)
            if (!used[k] && !pieces[k].ring && pieces[k].joined[end] < 0) string_from(k, end);
    for (std::size_t k = 0; k < pieces.size(); ++k)
        if (!used[k]) string_from(k, 0);
    return lines;
}

double length_of(const std::vector<Station>& stations) {
    double sum = 0;
    for (std::size_t k = 1; k < stations.size(); ++k) sum += distance(stations[k - 1].at, stations[k].at);
    return sum;
}

/// Whether what looks like a bend at path[k] is where a stroke's slanted end begins: the axis goes on into one of its corners only.
bool is_stroke_end(const MedialAxis& axis, const Branches& strokes, const std::vector<std::uint32_t>& path, std::size_t k) {
    const double radius = axis.nodes[path[k]].radius;
    for (const bool forward : {false, true}) {
        const std::uint32_t end = forward ? path.back() : path.front();
        if (strokes.degree[end] != 1 || axis.nodes[end].radius > 0.2 * radius) continue;
        double way = 0;
        for (std::size_t q = k; way < 3 * radius && q != (forward ? path.size() - 1 : 0); q = forward ? q + 1 : q - 1)
            way += distance(axis.nodes[path[q]].at, axis.nodes[path[forward ? q + 1 : q - 1]].at);
        if (way < 3 * radius) return true;
    }
    return false;
}

/// Branches between junctions, bends and ends, each cut back to where the discs of its junctions end.
std::vector<Piece> pieces_of(const MedialAxis& axis, const Branches& strokes, const std::vector<int>& group) {
    std::vector<Piece> pieces;
    const auto meets = [&](std::uint32_t k) { return strokes.degree[k] >= 3 || strokes.bend[k]; };
    const auto add = [&](const std::vector<std::uint32_t>& path) {
        const std::uint32_t a = path.front(), b = path.back();
        Piece piece;
        for (const std::uint32_t k : path) piece.stations.push_back({axis.nodes[k].at, axis.nodes[k].radius});
        piece.length = length_of(piece.stations);
        const bool at_a = meets(a), at_b = meets(b);
        // Within one junction there is no stroke.
        if (at_a && at_b && a != b && group[a] == group[b] && piece.length <= std::max(axis.nodes[a].radius, axis.nodes[b].radius)) return;
        if (at_a) piece.junction[0] = group[a];
        if (at_b) piece.junction[1] = group[b];
        if (at_a) cut_end(piece.stations, 0, axis.nodes[a].radius, at_b ? 0.4 : 0.8);
        if (at_b) cut_end(piece.stations, 1, axis.nodes[b].radius, at_a ? 0.6 : 0.8);
        pieces.push_back(std::move(piece));
    };
    for (const Branch& branch : strokes.branches) {
        std::vector<std::uint32_t> path = branch.path;
        if (branch.ring) {
            // A ring with a bend begins and ends there.
            const auto first = std::find_if(path.begin(), path.end(), [&](std::uint32_t k) { return strokes.bend[k]; });
            if (first == path.end()) {
                Piece& ring = pieces.emplace_back();
                ring.ring = true;
                for (const std::uint32_t k : path) ring.stations.push_back({axis.nodes[k].at, axis.nodes[k].radius});
                continue;
            }
            std::rotate(path.begin(), first, path.end());
            path.push_back(path.front());
        }
        std::size_t from = 0;
        for (std::size_t k = 1; k < path.size(); ++k) {
            if (k + 1 < path.size() && (!strokes.bend[path[k]] || is_stroke_end(axis, strokes, path, k))) continue;
            add({path.begin() + static_cast<std::ptrdiff_t>(from), path.begin() + static_cast<std::ptrdiff_t>(k + 1)});
            from = k;
        }
    }
    return pieces;
}

/// Where ends meet.
struct Junction {
    std::vector<int> ends;
    Point middle;
    double radius = 0;
};

std::vector<Junction> junctions_of(const MedialAxis& axis, const Branches& strokes, const std::vector<int>& group,
                                   const std::vector<Piece>& pieces) {
    std::vector<Junction> junctions(axis.nodes.size());
    std::vector<int> count(axis.nodes.size(), 0);
    for (std::size_t k = 0; k < axis.nodes.size(); ++k) {
        if (strokes.degree[k] < 3 && !strokes.bend[k]) continue;
        Junction& j = junctions[static_cast<std::size_t>(group[k])];
        const double n = ++count[static_cast<std::size_t>(group[k])];
        j.middle = {j.middle.x + (axis.nodes[k].at.x - j.middle.x) / n, j.middle.y + (axis.nodes[k].at.y - j.middle.y) / n};
        j.radius = std::max(j.radius, axis.nodes[k].radius);
    }
    for (std::size_t k = 0; k < pieces.size(); ++k)
        for (int end = 0; end < 2; ++end)
            if (pieces[k].junction[end] >= 0)
                junctions[static_cast<std::size_t>(pieces[k].junction[end])].ends.push_back(static_cast<int>(2 * k) + end);
    return junctions;
}

/// Two strokes that cross at an acute angle share a piece of the axis, with a fork at both of its ends: where the arms of both forks lie
/// on two straight lines, the piece goes and both forks become one crossing.
void open_crossings(std::vector<Piece>& pieces, std::vector<Junction>& junctions) {
    constexpr double straight = 30 * degree;
    for (std::size_t k = 0; k < pieces.size(); ++k) {
        Piece& piece = pieces[k];
        if (piece.ring || piece.junction[0] < 0 || piece.junction[1] < 0 || piece.junction[0] == piece.junction[1]) continue;
        Junction &a = junctions[static_cast<std::size_t>(piece.junction[0])], &b = junctions[static_cast<std::size_t>(piece.junction[1])];
        if (a.ends.size() != 3 || b.ends.size() != 3 || piece.length > 5 * (a.radius + b.radius)) continue;
        std::vector<int> in, out;
        for (const int end : a.ends)
            if (end / 2 != static_cast<int>(k)) in.push_back(end);
        for (const int end : b.ends)
            if (end / 2 != static_cast<int>(k)) out.push_back(end);
        if (in.size() != 2 || out.size() != 2) continue;
        const double first = std::max(bend_of(pieces, in[0], out[0]), bend_of(pieces, in[1], out[1]));
        const double second = std::max(bend_of(pieces, in[0], out[1]), bend_of(pieces, in[1], out[0]));
        if (std::min(first, second) > straight) continue;
        piece.gone = true;
        a.ends = {in[0], in[1], out[0], out[1]};
        b.ends.clear();
        a.middle = {(a.middle.x + b.middle.x) / 2, (a.middle.y + b.middle.y) / 2};
        a.radius = std::max(a.radius, b.radius) + piece.length / 2;
    }
}

}  // namespace

std::vector<MiddleLine> middle_lines(const Region& ink, const Crew& crew) {
    if (ink.empty()) return {};
    constexpr double tolerance = 0.005, rim = 0.02;
    const MedialAxis axis = pruned(medial_axis(ink, tolerance, crew), rim);
    const Branches strokes = strokes_of(axis);
    const std::vector<int> group = groups_of(axis, strokes);
    std::vector<Piece> pieces = pieces_of(axis, strokes, group);
    std::vector<Junction> junctions = junctions_of(axis, strokes, group, pieces);
    open_crossings(pieces, junctions);
    for (const Junction& junction : junctions)
        if (!junction.ends.empty()) settle(pieces, junction.ends, junction.middle, junction.radius);
    const EdgeCells edges(ink);
    for (Piece& piece : pieces)
        for (int end = 0; end < 2; ++end)
            if (!piece.ring && !piece.gone && piece.junction[end] < 0) reach_end(piece, end, edges);
    std::vector<MiddleLine> lines = strung(pieces, tolerance);
    for (const std::uint32_t k : strokes.dots) {
        MiddleLine& dot = lines.emplace_back();
        dot.line.points.push_back(axis.nodes[k].at);
        dot.width.push_back(2 * axis.nodes[k].radius);
    }
    return lines;
}

}  // namespace burin
