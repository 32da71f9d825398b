/// Designs as large as their stock allows. The design is made once at a size of its own, to learn its proportions, and sized then.
/// Cost: reading and tracing once more.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "burin/job/options.hpp"
#include "burin/shape/fit_inside.hpp"
#include "burin/shape/hull.hpp"
#include "settle_parts.hpp"
#include "source.hpp"

namespace burin {
namespace {

constexpr double nominal_width = 100;

/// What counts of a design of nominal size: its outermost points and its field, both from the field's middle and turned as it will lie.
struct Nominal {
    std::vector<Point> points;  ///< corners of the convex hull
    Point size;                 ///< of the box round the field
};

Nominal nominal(const Job& job, const Crew& crew) {
    const Cut& cut = job.cuts.front();
    const Source source = load_source(job, crew);
    const bool figures = source.picture.samples.empty() || source.drawing.width > 0;
    const Point field = figures ? Point{source.drawing.width, source.drawing.height}
                                : Point{nominal_width, nominal_width * source.picture.height / source.picture.width};
    std::vector<Point> points;
    for (const Loop& loop : source.drawing.region.loops()) points.insert(points.end(), loop.begin(), loop.end());
    for (const MiddleLine& line : source.drawing.lines) points.insert(points.end(), line.line.points.begin(), line.line.points.end());
    if (points.empty() || cut.part == "ground") points = {{0, 0}, {field.x, 0}, field, {0, field.y}};
    const Facing facing(cut.rotate.value_or(0), cut.mirror.value_or(false));
    for (Point& p : points) p = facing({p.x - field.x / 2, p.y - field.y / 2});
    return {convex_hull(std::move(points)), turned_size(field, cut.rotate.value_or(0))};
}

/// Whether the stock, smaller by the margin all round, holds the design `scale` times as large: its field in the rectangle round the
/// stock, and on round stock its points, in every copy, in the ellipse.
bool holds(const StockSize& stock, double margin, const Nominal& design, double scale, const Cut& cut) {
    constexpr double slack = 1e-7;
    const double columns = cut.columns.value_or(1), rows = cut.rows.value_or(1);
    const double width = stock.width - 2 * margin, height = stock.height - 2 * margin;
    const Point item{design.size.x * scale, design.size.y * scale};
    const Point whole = copies_size(item, columns, rows, cut.gap.value_or(usual_copy_gap));
    if (!stock.round) return whole.x <= width + slack && whole.y <= height + slack;
    if (whole.x > stock.width + slack || whole.y > stock.height + slack) return false;  // what is empty of the field may use up the margin
    const double right = (whole.x - item.x) / 2, up = (whole.y - item.y) / 2;           // middles of the outermost copies
    return std::all_of(design.points.begin(), design.points.end(), [&](const Point& p) {
        const double x = std::max(std::abs(p.x * scale + right), std::abs(p.x * scale - right)),
                     y = std::max(std::abs(p.y * scale + up), std::abs(p.y * scale - up));
        return std::hypot(2 * x / width, 2 * y / height) <= 1 + slack;
    });
}

void check_fit_alone(const Job& job, const Cut& cut) {
    if (!job.stock)
        throw Error(Fault::usage,
                    "--fit makes the design as large as the stock allows, and no stock was given. Add --stock, as in --stock 100x80x12.");
    if (cut.arc)
        throw Error(Fault::usage, "--fit does not go with --arc: the circle is what says how large the text lies. Leave --fit out.");
    if (cut.turn_to_fit.value_or(false) && cut.rotate)
        throw Error(Fault::usage, "--turn-to-fit looks for the turn itself, and --rotate gives one: leave one of them out.");
    const bool sized = cut.fit_width || cut.cap_height || (cut.picture && (cut.width || cut.height));
    if (sized) throw Error(Fault::usage, "--fit says how large the design is, and so does another option: leave that or --fit out.");
}

/// The stock's outline less the margin, work coordinates.
Region room_on(const Stock& stock, double margin) {
    const Region room = offset_by(Region({outline_of(stock, 720)}), -margin);
    return stock.piece ? simplified(room, 0.005) : room;
}

/// The nominal design's corners in all its copies, the gaps between them `scale` times as small: the whole is scaled afterwards.
Loop hull_of_copies(const Nominal& design, const Cut& cut, double scale) {
    const double columns = cut.columns.value_or(1), rows = cut.rows.value_or(1);
    const Point gap = cut.gap.value_or(usual_copy_gap);
    const Point whole = copies_size(design.size, columns, rows, {gap.x / scale, gap.y / scale});
    const double right = (whole.x - design.size.x) / 2, up = (whole.y - design.size.y) / 2;
    std::vector<Point> points;
    for (const Point& p : design.points)
        for (const double x : {-right, right})
            for (const double y : {-up, up}) points.push_back({p.x + x, p.y + y});
    return convex_hull(std::move(points));
}

/// A place, a turn and a size inside any outline; copies ask for a second round, since their gaps do not grow with them.
double placed_inside(const Job& job, const StockSize& size, const Nominal& design, Cut& fit, const Crew& crew) {
    if (fit.anchor || fit.align)
        throw Error(Fault::usage, "--fit looks for the design's place itself on such stock: leave --anchor and --align out, or give --at.");
    const Stock stock = stock_of(size, job.zero.value_or(usual_zero(size)));
    const Region room = room_on(stock, *job.cuts.front().fit);
    const bool copies = fit.columns.value_or(1) * fit.rows.value_or(1) > 1;
    if (copies && fit.turn_to_fit.value_or(false))
        throw Error(Fault::usage, "--turn-to-fit turns one design, not copies in rows and columns: leave it or them out.");
    InsideFit found;
    found.scale = 1;
    for (int round = 0; round < (copies ? 6 : 1) && found.scale > 0; ++round)
        found = largest_inside(room, hull_of_copies(design, fit, found.scale), {fit.at, fit.turn_to_fit.value_or(false)}, crew);
    if (!(found.scale > 0)) return 0;
    if (!fit.at) fit.at = Point{rounded(found.at.x), rounded(found.at.y)}, fit.reckoned.emplace_back("at");
    if (fit.turn_to_fit.value_or(false)) {
        fit.rotate = std::round(found.turn * 180 / std::numbers::pi * 100) / 100;
        fit.reckoned.emplace_back("rotate");
    }
    return found.scale * (1 - 5e-4);  // places and turns are rounded
}

}  // namespace

Job fitted(const Job& job, const Crew& crew) {
    const Cut& cut = job.cuts.at(0);
    if (!cut.fit && cut.turn_to_fit.value_or(false))
        throw Error(Fault::usage, "--turn-to-fit says nothing by itself: it belongs to --fit, as in --fit 4 --turn-to-fit.");
    if (!cut.fit) return job;
    check_fit_alone(job, cut);
    Job out = job;
    Cut& fit = out.cuts.front();
    fit.fit.reset();
    if (cut.picture) fit.width = nominal_width;
    if (cut.text) fit.cap_height = usual_cap_height;
    const Nominal design = nominal(out, crew);
    const StockSize stock = parse_stock(*job.stock);
    double low = 0, high = 1e4;
    const bool searching = stock.piece || cut.turn_to_fit.value_or(false);
    if (searching) low = placed_inside(job, stock, design, fit, crew);
    for (int k = 0; k < 60 && !searching; ++k) {
        const double middle = (low + high) / 2;
        (holds(stock, *cut.fit, design, middle, cut) ? low : high) = middle;
    }
    const double columns = cut.columns.value_or(1), rows = cut.rows.value_or(1);
    low = std::floor(low * 1e4) / 1e4;
    if (!(low > 0))
        throw refused(fmt::format("Nothing fits: a margin of {} mm leaves no room on the stock{}. Give a smaller --fit.",
                                  number_text(*cut.fit), rows * columns > 1 ? " for so many copies" : ""));
    const auto down = [&](double length) { return std::floor(length * low * 100) / 100; };
    if (cut.picture) fit.width = down(nominal_width), fit.reckoned.emplace_back("width");
    if (cut.text) fit.cap_height = down(usual_cap_height), fit.reckoned.emplace_back("cap-height");
    if (cut.shape)
        for (auto* length : {&fit.diameter, &fit.inner_diameter, &fit.width, &fit.height, &fit.corner_radius, &fit.length, &fit.thickness})
            if (*length) *length = down(**length);
    fit.fit = cut.fit;
    return out;
}

}  // namespace burin
