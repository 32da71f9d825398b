/// Dashes (SVG 2, 13.5.6): a line cut by a pattern of lengths that repeats. Cost: corners and dashes.
#include <algorithm>
#include <cmath>

#include "svg_paint.hpp"

namespace burin {
namespace {

/// Where in the pattern the line starts: which length, and how much of it is left.
struct PatternPlace {
    std::size_t index = 0;
    double left = 0;
    [[nodiscard]] bool on() const { return index % 2 == 0; }
    void next(const std::vector<double>& pattern) {
        index = (index + 1) % pattern.size();
        left = pattern[index];
    }
};

PatternPlace start_of(const std::vector<double>& pattern, double offset) {
    double sum = 0;
    for (const double length : pattern) sum += length;
    double rest = std::fmod(offset, sum);
    if (rest < 0) rest += sum;
    PatternPlace place{0, pattern[0]};
    for (std::size_t k = 0; k < pattern.size() && rest >= place.left; ++k) rest -= place.left, place.next(pattern);
    place.left -= rest;
    return place;
}

}  // namespace

std::optional<std::vector<CentreLine>> dashed(const CentreLine& line, const std::vector<double>& pattern, double offset, std::size_t most) {
    std::vector<Point> points = line.line.points;
    std::vector<std::uint8_t> smooth = line.smooth;
    if (line.line.closed) points.push_back(points.front()), smooth.push_back(smooth.front());
    PatternPlace place = start_of(pattern, offset);
    std::vector<CentreLine> dashes;
    const bool began_on = place.on();
    bool open = false;
    const auto begin = [&](const Point& p) {
        CentreLine& dash = dashes.emplace_back();
        dash.line.points.push_back(p);
        dash.smooth.push_back(0);
        open = true;
    };
    const auto put = [&](const Point& p, std::uint8_t soft) {
        dashes.back().line.points.push_back(p), dashes.back().smooth.push_back(soft);
    };
    if (place.on()) begin(points.front());
    for (std::size_t k = 0; k + 1 < points.size(); ++k) {
        const double length = distance(points[k], points[k + 1]);
        double at = 0;
        while (length - at > place.left) {
            at += place.left;
            const double t = at / length;
            const Point p{points[k].x + t * (points[k + 1].x - points[k].x), points[k].y + t * (points[k + 1].y - points[k].y)};
            if (open) put(p, 0);
            open = false;
            place.next(pattern);
            if (place.on()) begin(p);
            if (dashes.size() > most) return std::nullopt;
        }
        place.left -= length - at;
        if (open) put(points[k + 1], smooth[k + 1]);
    }
    // Round a closed line, the dash that runs over its start is one.
    if (line.line.closed && began_on && open && dashes.size() > 1) {
        CentreLine &last = dashes.back(), &first = dashes.front();
        last.line.points.insert(last.line.points.end(), first.line.points.begin() + 1, first.line.points.end());
        last.smooth.insert(last.smooth.end(), first.smooth.begin() + 1, first.smooth.end());
        first = std::move(last);
        dashes.pop_back();
    } else if (line.line.closed && began_on && open && dashes.size() == 1) {
        return std::vector<CentreLine>(1, line);
    }
    return dashes;
}

}  // namespace burin
