// The way of the finishing lines. A part of a line waits until every part beside it on the line before has been cut, so
// that it takes what line_taking reckoned; among those that may be cut, one that continues where the bit stands comes
// first, then the nearest.
#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "lines.hpp"
#include "profile.hpp"

namespace burin {
namespace {

struct Part {
    std::size_t line;
    int first, last;                 // columns
    std::vector<std::size_t> after;  // parts on the next line that wait for this one
    int waits_for = 0;
};

constexpr double joined_gap = 4;  ///< mm: going on through nothing is quicker than up and down again
constexpr double link = 5;        ///< mm: the same between neighbouring lines

/// Walls steeper than order.wall are taken straight: for round and pointed bits what a slanted way between two cells cuts
/// away stays within a cell up to there.
Walls walls_of(const HeightMap& tips, const LinesOrder& order) {
    return {order.wall * tips.cell(), (order.sharp ? 0.5 : order.wall) * tips.cell()};
}

void meets_row(const HeightMap& meets, double y, std::vector<float>& row) {
    const double at = std::clamp((y - meets.origin().y) / meets.cell() - 0.5, 0.0, meets.height() - 1.0);
    const int j = static_cast<int>(at), above = std::min(j + (at - j > 1e-4 ? 1 : 0), meets.height() - 1);
    row.resize(static_cast<std::size_t>(meets.width()));
    for (int x = 0; x < meets.width(); ++x) row[static_cast<std::size_t>(x)] = std::max(meets(x, j), meets(x, above));
}

int row_of(const HeightMap& map, double y) {
    return std::clamp(static_cast<int>(std::floor((y - map.origin().y) / map.cell())), 0, map.height() - 1);
}

std::vector<Part> parts_of(const HeightMap& tips, const HeightMap& meets, const std::vector<double>& lines, const Grid<std::uint8_t>* where,
                           double least_take) {
    std::vector<Part> parts;
    std::vector<float> tip, top;
    const int gap = static_cast<int>(joined_gap / tips.cell());
    std::size_t before = 0, before_end = 0;
    for (std::size_t line = 0; line < lines.size(); ++line) {
        tip_row(tips, lines[line], tip);
        meets_row(meets, lines[line], top);
        const std::size_t begin = parts.size();
        for (int x = 0; x < tips.width(); ++x) {
            const auto k = static_cast<std::size_t>(x);
            if (static_cast<double>(top[k] - tip[k]) <= least_take || (where && !(*where)(x, row_of(tips, lines[line])))) continue;
            if (parts.size() > begin && x - parts.back().last <= gap)
                parts.back().last = std::min(x + 1, tips.width() - 1);
            else
                parts.push_back({line, std::max(0, x - 1), std::min(x + 1, tips.width() - 1), {}, 0});
        }
        for (std::size_t a = before; a < before_end; ++a)
            for (std::size_t b = begin; b < parts.size(); ++b)
                if (parts[a].first <= parts[b].last && parts[b].first <= parts[a].last) parts[a].after.push_back(b), ++parts[b].waits_for;
        before = begin, before_end = parts.size();
    }
    return parts;
}

class LineWriter {
public:
    LineWriter(Pen& pen, const HeightMap& tips, const HeightMap& meets, const std::vector<double>& lines, const LinesOrder& order)
        : pen_(pen), tips_(tips), meets_(meets), lines_(lines), order_(order) {}

    void write(const Part& part, bool rightwards, bool linked) {
        const int from = rightwards ? part.first : part.last, to = rightwards ? part.last : part.first;
        const double y = lines_[part.line];
        tip_row(tips_, y, row_);
        if (linked) {
            const int at = column(pen_.at().x);
            step_across(at, y);
            along(at, from, y);
        } else {
            enter(from, from < to ? from + 1 : from > to ? from - 1 : from, y);
        }
        along(from, to, y);
    }
    int column(double x) const {
        return std::clamp(static_cast<int>(std::lround((x - tips_.origin().x) / tips_.cell() - 0.5)), 0, tips_.width() - 1);
    }
    double x_of(int column) const { return tips_.centre(column, 0).x; }

private:
    /// Down to the first column of a part from above the one next to it: slanted, for a straight plunge would take all the
    /// height of a sliver that stands beside the bit at once.
    void enter(int column, int next, double y) {
        const double z = static_cast<double>(row_[static_cast<std::size_t>(column)]);
        const double top = std::max({z, static_cast<double>(row_[static_cast<std::size_t>(next)]), highest_near(meets_, {x_of(next), y})});
        pen_.approach({x_of(next), y}, top + order_.clearance);
        pen_.cut({x_of(next), y, top});
        pen_.cut({x_of(column), y, z});
    }
    /// From the line where the bit stands to y, at the same column, over every row between.
    void step_across(int column, double y) {
        const double from = pen_.at().y, cell = tips_.cell();
        const int steps = std::max(1, static_cast<int>(std::ceil(std::abs(y - from) / (cell / 2))));
        std::vector<float> row;
        std::vector<ProfilePoint> points{{0, pen_.at().z}};
        for (int k = 1; k <= steps; ++k) {
            const double t = static_cast<double>(k) / steps;
            tip_row(tips_, from + (y - from) * t, row);
            points.push_back({t * std::abs(y - from), static_cast<double>(row[static_cast<std::size_t>(column)])});
        }
        const double sign = y > from ? 1 : -1;
        for (const ProfilePoint& p : safe_profile(points, walls_of(tips_, order_), order_.tolerance))
            pen_.cut({x_of(column), from + sign * p.d, p.z});
        pen_.cut({x_of(column), y, std::max(pen_.at().z, static_cast<double>(row_[static_cast<std::size_t>(column)]))});
    }
    void along(int from, int to, double y) {
        if (from == to) return;
        const int sign = to > from ? 1 : -1;
        std::vector<ProfilePoint> points;
        for (int x = from; x != to + sign; x += sign)
            points.push_back({std::abs(x - from) * tips_.cell(), static_cast<double>(row_[static_cast<std::size_t>(x)])});
        points.front().z = std::max(points.front().z, pen_.at().z);
        for (const ProfilePoint& p : safe_profile(points, walls_of(tips_, order_), order_.tolerance))
            pen_.cut({x_of(from) + sign * p.d, y, p.z});
    }

    Pen& pen_;
    const HeightMap &tips_, &meets_;
    const std::vector<double>& lines_;
    const LinesOrder& order_;
    std::vector<float> row_;
};

}  // namespace

void write_lines(Pen& pen, const HeightMap& tips, const HeightMap& meets, const std::vector<double>& lines, const Grid<std::uint8_t>* where,
                 const LinesOrder& order) {
    std::vector<Part> parts = parts_of(tips, meets, lines, where, order.least_take);
    LineWriter writer(pen, tips, meets, lines, order);
    std::vector<std::size_t> ready;
    for (std::size_t k = 0; k < parts.size(); ++k)
        if (parts[k].waits_for == 0) ready.push_back(k);
    std::size_t last_line = lines.size() + 9;
    while (!ready.empty()) {
        const Point here = flat(pen.at());
        std::size_t best = 0;
        bool best_right = true;
        double least = std::numeric_limits<double>::max();
        for (std::size_t q = 0; q < ready.size(); ++q) {
            const Part& p = parts[ready[q]];
            const double dy = std::abs(lines[p.line] - here.y);
            for (const bool right : {true, false}) {
                if (order.one_way && !right) continue;
                double away = std::hypot(writer.x_of(right ? p.first : p.last) - here.x, dy);
                if (p.line != last_line + 1) away += link;
                if (away < least) least = away, best = q, best_right = right;
            }
        }
        Part& part = parts[ready[best]];
        ready[best] = ready.back();
        ready.pop_back();
        const double start = writer.x_of(best_right ? part.first : part.last);
        const bool linked = pen.started() && part.line == last_line + 1 && std::abs(start - here.x) <= link && !order.one_way;
        writer.write(part, best_right, linked);
        last_line = part.line;
        for (const std::size_t k : part.after)
            if (--parts[k].waits_for == 0) ready.push_back(k);
    }
}

}  // namespace burin
