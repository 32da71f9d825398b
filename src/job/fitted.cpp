/// Designs as large as their stock allows. The design is made once at a size of its own, to learn its proportions, and sized then.
/// Cost: reading and tracing once more.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/job/options.hpp"
#include "settle_parts.hpp"
#include "source.hpp"

namespace burin {
namespace {

constexpr double nominal_width = 100;

/// The design's size when `cut` has a nominal one.
Point nominal_size(const Job& job, const Crew& crew) {
    const Source source = load_source(job, crew);
    if (job.cuts.front().make != "relief") return {source.drawing.width, source.drawing.height};
    return {nominal_width, nominal_width * source.picture.height / source.picture.width};
}

/// A round or oval stock holds a rectangle whose corners lie in its ellipse: on a disc, one whose diagonal is no longer than the diameter.
bool holds(const StockSize& stock, double margin, const Point& size) {
    const double width = stock.width - 2 * margin, height = stock.height - 2 * margin;
    return stock.round ? width > 0 && height > 0 && std::hypot(size.x / width, size.y / height) <= 1 : size.x <= width && size.y <= height;
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
    const Point turned = turned_size(nominal_size(out, crew), cut.rotate.value_or(0));
    const StockSize stock = parse_stock(*job.stock);
    const double columns = cut.columns.value_or(1), rows = cut.rows.value_or(1);
    const Point gap = cut.gap.value_or(usual_copy_gap);
    double low = 0, high = 1e4;
    for (int k = 0; k < 60; ++k) {
        const double middle = (low + high) / 2;
        const Point whole = copies_size({turned.x * middle, turned.y * middle}, columns, rows, gap);
        (holds(stock, *cut.fit, whole) ? low : high) = middle;
    }
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
