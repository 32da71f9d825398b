/// Designs as large as their stock allows. The design is made once at a size of its own, to learn its proportions, and sized then.
/// Cost: reading and tracing once more.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "burin/job/options.hpp"
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

/// Andrew's monotone chain (1979).
std::vector<Point> convex_hull(std::vector<Point> points) {
    std::sort(points.begin(), points.end(), [](const Point& p, const Point& q) { return p.x != q.x ? p.x < q.x : p.y < q.y; });
    std::vector<Point> hull;
    const auto half = [&](auto first, auto last) {
        const std::size_t kept = hull.size();
        for (; first != last; ++first) {
            while (hull.size() >= kept + 2) {
                const Point &a = hull[hull.size() - 2], &b = hull.back();
                if ((b.x - a.x) * (first->y - a.y) - (b.y - a.y) * (first->x - a.x) > 0) break;
                hull.pop_back();
            }
            hull.push_back(*first);
        }
        hull.pop_back();
    };
    if (points.size() < 3) return points;
    half(points.begin(), points.end());
    half(points.rbegin(), points.rend());
    return hull;
}

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
    const bool sized = cut.fit_width || cut.cap_height || (cut.picture && (cut.width || cut.height));
    if (sized) throw Error(Fault::usage, "--fit says how large the design is, and so does another option: leave that or --fit out.");
}

}  // namespace

Job fitted(const Job& job, const Crew& crew) {
    const Cut& cut = job.cuts.at(0);
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
    for (int k = 0; k < 60; ++k) {
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
