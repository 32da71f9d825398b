// Grooves: lines that the tip follows once, level by level.
//
// Lines whose ends meet at the same height are joined first, at each meeting the pair that goes straightest on, so that the bit
// stays down; then all are put in an order with little idle travel. Each is cut to its depth before the next, there and back, so
// that a level begins where the last one ended.
// Cost: n log n for the order, and the length of the lines times their levels.
#include "figure_grooves.hpp"

#include <fmt/format.h>

#include <cmath>
#include <map>

#include "burin/base/error.hpp"
#include "burin/toolpath/figures.hpp"
#include "figure_arcs.hpp"
#include "figure_dots.hpp"
#include "figure_entry.hpp"
#include "figure_follow.hpp"
#include "figure_order.hpp"

namespace burin {
namespace {

constexpr double meet = 0.01;  // mm: ends that are one place

/// Where a line's end lies, and which way it goes on from there.
struct End {
    std::size_t line = 0;
    bool at_front = false;
    Point3 place;
    double x = 0, y = 0;  ///< unit vector out of the line
};

End end_of(const std::vector<Point3>& tip, std::size_t line, bool at_front) {
    End end{line, at_front, at_front ? tip.front() : tip.back()};
    // The direction over some tenths of a millimetre, not of the last short piece.
    constexpr double look = 0.3;
    Point3 inner = end.place;
    for (std::size_t k = 1; k < tip.size(); ++k) {
        inner = at_front ? tip[k] : tip[tip.size() - 1 - k];
        if (distance(flat(inner), flat(end.place)) >= look) break;
    }
    const double length = distance(flat(inner), flat(end.place));
    if (length > 0) end.x = (end.place.x - inner.x) / length, end.y = (end.place.y - inner.y) / length;
    return end;
}

}  // namespace

std::vector<TipLine> joined_lines(std::vector<TipLine> lines) {
    // Ends by place, on a lattice as fine as ends may lie apart.
    std::map<std::pair<long, long>, std::vector<End>> places;
    const auto key = [](const Point3& p) { return std::pair(std::lround(p.x / meet), std::lround(p.y / meet)); };
    for (std::size_t k = 0; k < lines.size(); ++k)
        if (!lines[k].closed && lines[k].tip.size() > 1)
            for (const bool front : {true, false}) {
                const End end = end_of(lines[k].tip, k, front);
                places[key(end.place)].push_back(end);
            }
    struct Pair {
        double bend;
        End a, b;
    };
    std::vector<Pair> pairs;
    for (const auto& [at, ends] : places)
        for (std::size_t a = 0; a < ends.size(); ++a)
            for (std::size_t b = a + 1; b < ends.size(); ++b)
                if (std::abs(ends[a].place.z - ends[b].place.z) <= meet)
                    pairs.push_back({ends[a].x * ends[b].x + ends[a].y * ends[b].y, ends[a], ends[b]});
    std::stable_sort(pairs.begin(), pairs.end(), [](const Pair& p, const Pair& q) { return p.bend < q.bend; });
    // partner[2 k] of the front of line k, partner[2 k + 1] of its back.
    const std::size_t none = 2 * lines.size();
    std::vector<std::size_t> partner(none, none);
    for (const Pair& pair : pairs) {
        const std::size_t a = 2 * pair.a.line + (pair.a.at_front ? 0 : 1), b = 2 * pair.b.line + (pair.b.at_front ? 0 : 1);
        if (partner[a] == none && partner[b] == none) partner[a] = b, partner[b] = a;
    }
    std::vector<TipLine> joined;
    std::vector<bool> done(lines.size(), false);
    const auto follow = [&](std::size_t entry) {  // `entry`: the end at which the first line is entered
        TipLine chain;
        const std::size_t first = entry;
        while (true) {
            const std::size_t line = entry / 2;
            done[line] = true;
            std::vector<Point3>& tip = lines[line].tip;
            if (entry % 2 == 1) std::reverse(tip.begin(), tip.end());
            chain.tip.insert(chain.tip.end(), tip.begin() + (chain.tip.empty() ? 0 : 1), tip.end());
            const std::size_t next = partner[entry ^ 1];
            if (next == none) break;
            if (next == first || done[next / 2]) {
                if (next == first && chain.tip.size() > 2) chain.closed = true, chain.tip.pop_back();
                break;
            }
            entry = next;
        }
        joined.push_back(std::move(chain));
    };
    for (std::size_t k = 0; k < lines.size(); ++k) {
        if (done[k]) continue;
        if (lines[k].closed || lines[k].tip.size() < 2) {
            done[k] = true;
            joined.push_back(std::move(lines[k]));
        } else if (partner[2 * k] == none) {
            follow(2 * k);
        } else if (partner[2 * k + 1] == none) {
            follow(2 * k + 1);
        } else {  // somewhere inside a chain: from the chain's end, or all round
            std::size_t end = 2 * k;
            for (std::size_t n = 0; n < lines.size() && partner[end] != none; ++n) {
                end = partner[end] ^ 1;
                if (end == 2 * k) break;
            }
            follow(end);
        }
    }
    return joined;
}

void cut_lines(Pen& pen, std::vector<TipLine> lines, const CutRules& rules, const std::string& what, const Crew& crew) {
    std::vector<Stop> stops;
    for (const TipLine& line : lines) {
        stops.push_back({flat(line.tip.front()), flat(line.closed ? line.tip.front() : line.tip.back())});
        if (!line.closed) continue;
        std::vector<Point> corners;
        for (const Point3& p : line.tip) corners.push_back(flat(p));
        stops.back().entries = entries_of(corners);
    }
    const auto lowest = [](const TipLine& line) {
        double z = 0;
        for (const Point3& p : line.tip) z = std::min(z, p.z);
        return z;
    };
    double deepest = 0;
    for (const TipLine& line : lines) deepest = std::min(deepest, lowest(line));
    pen.pass(what, deepest);
    for (const Turn& turn : short_tour(stops, flat(pen.at()), crew)) {
        crew.check();
        TipLine& line = lines[turn.stop];
        if (turn.reversed && !line.closed) std::reverse(line.tip.begin(), line.tip.end());
        if (line.closed) line.begin = turn.entry;
        const double low = lowest(line);
        if (low < 0) cut_levels(pen, line, levels_to(low, step_along(line, rules)), rules);
    }
}

FigurePlan plan_grooves(const FigureDesign& design, const FigureOrder& order, const Crew& crew) {
    std::vector<TipLine> lines;
    std::vector<Point3> dots;
    double deepest = 0;
    for (const Groove& groove : design.grooves) {
        if (groove.tip.empty()) continue;
        if (groove.tip.size() == 1 && order.hop > 0) {
            dots.push_back(groove.tip.front());
            deepest = std::min(deepest, dots.back().z);
            continue;
        }
        TipLine line{groove.tip, groove.closed && groove.tip.size() > 2, false, {}};
        for (const Point3& p : line.tip) deepest = std::min(deepest, p.z);
        lines.push_back(std::move(line));
    }
    if (!(deepest < 0)) throw Error(Fault::refused, "There is no line to follow. Check the drawing, its threshold and --invert.");
    const ReliefBit& bit = order.bits.back();
    check_depth(bit.bit, -deepest);
    FigurePlan plan;
    for (std::size_t k = 0; k + 1 < order.bits.size(); ++k)
        plan.notes.push_back(fmt::format("Lines are followed by the last bit alone; {} gets no program.", order.bits[k].bit.name()));
    Pen pen(bit.feed, bit.plunge, order.safe_height);
    const CutRules rules = cut_rules(bit, order.take);
    if (!lines.empty()) cut_lines(pen, joined_lines(std::move(lines)), rules, "grooves", crew);
    cut_dots(pen, dots, std::min(order.hop, order.safe_height), rules, crew);
    if (!pen.started())
        throw Error(Fault::refused,
                    "The lines are so short that only a straight plunge would fit, and the bit does not cut at its centre. "
                    "Take a bit that does.");
    pen.retract();
    plan.paths.push_back({order.bits.size() - 1, with_arcs(pen.take(), order)});
    return plan;
}

}  // namespace burin
