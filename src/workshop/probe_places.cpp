/// Rows of places, and a ring of them along an edge that is not straight. Cost: the places.
#include "burin/workshop/probe_places.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

/// From lo to hi in equal steps of at most `apart`, both ends among them.
std::vector<double> steps(double lo, double hi, double apart) {
    const int count = std::max(1, static_cast<int>(std::ceil((hi - lo) / apart - 1e-9)));
    std::vector<double> found;
    for (int k = 0; k <= count; ++k) found.push_back(lo + (hi - lo) * k / count);
    return found;
}

void add_rows(const Box& box, double apart, const Stock& stock, double margin, std::vector<Point>& places) {
    bool back = false;
    for (const double y : steps(box.lo.y, box.hi.y, apart)) {
        std::vector<Point> row;
        for (const double x : steps(box.lo.x, box.hi.x, apart))
            if (stock.holds({x, y}, -margin)) row.push_back({x, y});
        if (back) std::reverse(row.begin(), row.end());
        places.insert(places.end(), row.begin(), row.end());
        back = !back && !row.empty();
    }
}

/// Places along a closed line, evenly and at most so far apart along it.
void add_ring(const Loop& loop, double apart, std::vector<Point>& places) {
    double length = 0;
    for (std::size_t k = 0; k < loop.size(); ++k) length += distance(loop[k], loop[(k + 1) % loop.size()]);
    const double step = length / std::max(3.0, std::ceil(length / apart));
    double next = 0, gone = 0;
    for (std::size_t k = 0; k < loop.size(); ++k) {
        const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
        const double side = distance(a, b);
        for (; next < gone + side && next < length - step / 2; next += step) {
            const double t = (next - gone) / side;
            places.push_back({a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t});
        }
        gone += side;
    }
}

}  // namespace

std::vector<Point> probe_places(const Stock& stock, double apart, double inset, std::size_t most) {
    const Box box{{stock.bounds.lo.x + inset, stock.bounds.lo.y + inset}, {stock.bounds.hi.x - inset, stock.bounds.hi.y - inset}};
    if (!(box.width() > 1 && box.height() > 1))
        throw Error(Fault::usage, fmt::format("With --inset {:g} nothing of the stock is left to be measured: give less.", inset));
    if ((box.width() / apart + 1) * (box.height() / apart + 1) > static_cast<double>(most) * 1.3)
        throw Error(Fault::usage, fmt::format("Places {:g} mm apart would be more than {}: give a larger --apart.", apart, most));
    std::vector<Point> places;
    if (stock.outline == Outline::rectangle) {
        add_rows(box, apart, stock, inset - 1e-6, places);
    } else if (stock.piece) {
        add_rows(box, apart, stock, inset + apart / 2, places);
        const Region inner = offset_by(stock.piece->wood(), -inset);
        for (const Figure& part : inner.figures()) add_ring(part.outer, apart, places);
    } else {
        add_rows(box, apart, stock, inset + apart / 2, places);
        const Point middle = box.centre();
        const double a = box.width() / 2, b = box.height() / 2;
        const int count = std::max(6, static_cast<int>(std::ceil(std::numbers::pi * (a + b) / apart)));
        for (int k = 0; k < count; ++k) {
            const double angle = 2 * std::numbers::pi * k / count;
            places.push_back({middle.x + a * std::cos(angle), middle.y + b * std::sin(angle)});
        }
    }
    // As they are written: what is proved are the very places of the text.
    for (Point& p : places) p = {std::round(p.x * 1000) / 1000, std::round(p.y * 1000) / 1000};
    if (places.size() > most)
        throw Error(Fault::usage,
                    fmt::format("{} places would be measured, and {} is the most: give a larger --apart.", places.size(), most));
    return places;
}

}  // namespace burin
