// Promises 1 and 2 for figures: nothing over the traced line and nothing short of it, floors and tabs at their depth. Which way
// it is looked at depends on the kind of figure; here are the cells, the moves to blame, and what the checks say.
#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "burin/base/error.hpp"
#include "figure.hpp"
#include "nets.hpp"
#include "promise_tone.hpp"
#include "promises.hpp"

namespace burin::proving {
namespace {

constexpr double most_cells = 16e6;
constexpr double most_cell = 0.05, small_cell = 0.02;  // mm
constexpr double small_area = 1200;                    // mm² of stock that get small cells

std::string file_of(const std::vector<Way>& ways, const Seen& seen) {
    if (seen.by) return ways[seen.by->way].asked->file;
    return ways.empty() ? std::string{} : ways.back().asked->file;
}

template <class Say>
Check check_seen(const FigureCase& c, const char* name, const Seen& seen, std::string kept, const Say& say) {
    std::vector<Breach> breaches;
    std::string file;
    if (seen.broken) {
        file = file_of(c.ways, seen);
        const std::uint32_t line = seen.by ? c.ways[seen.by->way].line_of(seen.by->piece) : 0;
        breaches.push_back({line, seen.place, say()});
    }
    return verdict(name, file, std::move(kept), std::move(breaches));
}

/// Where the move to blame does it, when that is known better than the worst place.
Point3 place_of(const Seen& seen) {
    if (!seen.by) return seen.place;
    return {seen.by->place.x, seen.by->place.y, static_cast<double>(seen.by->z)};
}

}  // namespace

double figure_cell(const ProofTask& task) {
    const double area = task.stock.bounds.width() * task.stock.bounds.height();
    const double most = area <= small_area || task.figure->board ? small_cell : most_cell;
    return std::max(task.cell > 0 ? std::min(task.cell, most) : most, std::sqrt(area / most_cells));
}

CellBox cells_in(const HeightMap& map, const Box& box, double margin) {
    const auto at = [&](double v, double origin, int count) {
        return static_cast<int>(std::clamp(std::floor((v - origin) / map.cell()), 0.0, static_cast<double>(count)));
    };
    const Point o = map.origin();
    return {at(box.lo.x - margin, o.x, map.width()), at(box.hi.x + margin + map.cell(), o.x, map.width()),
            at(box.lo.y - margin, o.y, map.height()), at(box.hi.y + margin + map.cell(), o.y, map.height())};
}

HeightMap part_of(const HeightMap& map, const CellBox& cells) {
    const Point o = map.origin();
    return HeightMap(cells.i1 - cells.i0, cells.j1 - cells.j0, map.cell(), {o.x + cells.i0 * map.cell(), o.y + cells.j0 * map.cell()});
}

std::optional<Culprit> nearest_to(const Point& place, const std::vector<Way>& ways) {
    std::optional<Culprit> nearest;
    double least = std::numeric_limits<double>::max();
    for (std::size_t w = 0; w < ways.size(); ++w)
        for (std::size_t leg = 0; leg < ways[w].kinds.size(); ++leg) {
            if (ways[w].kinds[leg] != LegKind::cut && ways[w].kinds[leg] != LegKind::vertical) continue;
            for (std::uint32_t n = 0; n < ways[w].first_piece[leg + 1] - ways[w].first_piece[leg]; ++n) {
                const Point3 a = ways[w].start_of(leg, n), b = ways[w].end_of(leg, n);
                const double low = std::min(a.z, b.z);
                const double away = distance_to({flat(a), flat(b), 0, 0, 0}, place) - half_width(ways[w].asked->bit, low);
                const float z = static_cast<float>(low);
                if (low >= 0 || away > least + 1e-6 || (away > least - 1e-6 && nearest && z >= nearest->z)) continue;
                least = std::min(least, away);
                nearest = Culprit{w, ways[w].first_piece[leg] + n, z, place};
            }
        }
    return nearest;
}

std::optional<Culprit> earlier(const std::optional<Culprit>& a, const std::optional<Culprit>& b) {
    if (!a || !b) return a ? a : b;
    return std::pair(b->way, b->piece) < std::pair(a->way, a->piece) ? b : a;
}

std::vector<Check> check_figure(const FigureCase& c, Proof& proof) {
    const FigureDesign& figure = c.figure;
    if (figure.may.empty() && figure.grooves.empty())
        throw Error(Fault::refused,
                    "The figure holds nothing to be cut, so there is nothing to prove. Check the drawing and its threshold.");
    FigureSeen seen = !figure.grooves.empty() ? against_grooves(c) : figure.half_angle > 0 ? against_vee_walls(c) : against_walls(c);
    proof.deepest_gouge = std::max(0.0, seen.below.value);
    proof.left_standing = std::max(0.0, seen.standing.value);
    proof.left_standing_rms = seen.standing_rms;
    proof.over_line_mm = std::max(0.0, seen.over.value);
    proof.short_of_line_mm = std::max(0.0, seen.short_of.value);

    const char* line = figure.grooves.empty() ? "the traced line" : "the groove";
    for (Seen* s : {&seen.below, &seen.over})
        if (s->broken) s->place = place_of(*s);
    std::vector<Check> checks;
    checks.push_back(check_seen(
        c, "nothing below the design", seen.below,
        fmt::format("Nowhere more than {:.3f} mm below the floor{} ({:.2f} allowed).", proof.deepest_gouge,
                    figure.tabs.empty() ? "" : " or the tops of the tabs", depth_slack),
        [&] {
            return fmt::format(
                "The bit goes below the design at {}; in all it goes up to {:.3f} mm too deep, and {:.2f} is allowed. Have the programs "
                "made again; do not cut these.",
                at_place(seen.below.place), seen.below.value, depth_slack);
        }));
    checks.push_back(check_seen(
        c, "nothing left standing", seen.standing,
        fmt::format("At most {:.3f} mm left above the floor ({:.3f} allowed).", proof.left_standing, seen.may_stand), [&] {
            return fmt::format(
                "At {} {:.3f} mm are left standing that the bit could reach, and {:.3f} is allowed{}. A pass is missing there "
                "or lies too far away; have the programs made again.",
                at_place(seen.standing.place), seen.standing.value, seen.may_stand, seen.standing.by ? "; this line came nearest" : "");
        }));
    checks.push_back(check_seen(
        c, "nothing over the line", seen.over,
        fmt::format("The cut goes at most {:.3f} mm over {} ({:.2f} allowed).", *proof.over_line_mm, line, line_slack), [&] {
            return fmt::format(
                "The bit cuts over {} at {}; in all it goes up to {:.3f} mm over it, and {:.2f} is allowed. Have the programs made "
                "again; do not cut these.",
                line, at_place(seen.over.place), seen.over.value, line_slack);
        }));
    checks.push_back(check_seen(c, "nothing short of the line", seen.short_of,
                                fmt::format("The cut stays at most {:.3f} mm short of what the bit reaches of {} ({:.2f} allowed).",
                                            *proof.short_of_line_mm, line, line_slack),
                                [&] {
                                    return fmt::format(
                                        "At {} the cut stays {:.3f} mm short of {}, where the bit could reach it, and {:.2f} is allowed{}. "
                                        "A pass is missing there or "
                                        "lies too far away; have the programs made again.",
                                        at_place(seen.short_of.place), seen.short_of.value, line, line_slack,
                                        seen.short_of.by ? "; this line came nearest" : "");
                                }));
    if (figure.tone) checks.push_back(check_tone(c, proof));
    if (figure.board)
        for (Check& check : check_nets(c, proof)) checks.push_back(std::move(check));
    return checks;
}

}  // namespace burin::proving
