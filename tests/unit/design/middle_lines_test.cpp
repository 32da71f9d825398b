/// Middle lines against strokes whose middles are known on paper. Source of every expected value: the figure itself.
#include "burin/design/trace.hpp"
#include "check.hpp"
#include "drawings.hpp"

using namespace burin;
using namespace pictures;
using namespace drawings;

namespace {

constexpr double degree = std::numbers::pi / 180;

std::vector<MiddleLine> lines_of(const std::vector<Loop>& loops) { return middle_lines(Region(loops, FillRule::nonzero), hands(2)); }

/// Whether the line is the straight one from a to b, either way, within 0.02 mm, `width` wide.
bool is_straight(const MiddleLine& line, const Point& a, const Point& b, double width) {
    const auto& points = line.line.points;
    if (line.line.closed || points.size() < 2 || line.width.size() != points.size()) return false;
    const bool forth = std::max(distance(points.front(), a), distance(points.back(), b)) < 0.02,
               back = std::max(distance(points.front(), b), distance(points.back(), a)) < 0.02;
    for (std::size_t k = 0; k < points.size(); ++k)
        if (off_segment(points[k], a, b) > 0.02 || std::abs(line.width[k] - width) > 0.05) return false;
    return forth || back;
}

bool any_straight(const std::vector<MiddleLine>& lines, const Point& a, const Point& b, double width) {
    return std::any_of(lines.begin(), lines.end(), [&](const MiddleLine& line) { return is_straight(line, a, b, width); });
}

}  // namespace

TEST_CASE("A bar's middle line reaches both of its ends") {
    for (const double turn : {0.0, 0.4, 1.2}) {
        const std::vector<MiddleLine> lines = lines_of({box(10, 10, 18, 2, turn)});
        REQUIRE(lines.size() == 1);
        CHECK(is_straight(lines[0], {10 - 9 * std::cos(turn), 10 - 9 * std::sin(turn)}, {10 + 9 * std::cos(turn), 10 + 9 * std::sin(turn)},
                          2));
    }
    const std::vector<MiddleLine> round = lines_of({box(10, 5, 16, 2), disc(2, 5, 1), disc(18, 5, 1)});
    REQUIRE(round.size() == 1);
    CHECK(is_straight(round[0], {1, 5}, {19, 5}, 2));
}

TEST_CASE("Crossings are gone straight through, at any angle") {
    for (const double half : {15.0, 25.0, 35.0, 45.0}) {
        CAPTURE(half);
        const double c = std::cos(half * degree), s = std::sin(half * degree);
        const std::vector<MiddleLine> lines = lines_of({box(0, 0, 24, 1, half * degree), box(0, 0, 24, 1, -half * degree)});
        REQUIRE(lines.size() == 2);
        CHECK(any_straight(lines, {-12 * c, -12 * s}, {12 * c, 12 * s}, 1));
        CHECK(any_straight(lines, {-12 * c, 12 * s}, {12 * c, -12 * s}, 1));
    }
    const std::vector<MiddleLine> net = lines_of({box(10, 7, 20, 1), box(10, 13, 20, 1), box(7, 10, 1, 20), box(13, 10, 1, 20)});
    REQUIRE(net.size() == 4);
    CHECK(any_straight(net, {0, 7}, {20, 7}, 1));
    CHECK(any_straight(net, {13, 0}, {13, 20}, 1));
}

TEST_CASE("A stem ends on the line that it meets, three strokes meet in a point, a bend keeps its corner") {
    const std::vector<MiddleLine> tee = lines_of({box(10, 10, 20, 2), box(10, 5, 2, 10)});
    REQUIRE(tee.size() == 2);
    CHECK(any_straight(tee, {0, 10}, {20, 10}, 2));
    CHECK(any_straight(tee, {10, 0}, {10, 10}, 2));
    std::vector<Loop> arms;
    for (int k = 0; k < 3; ++k)
        arms.push_back(box(5 * std::cos(120 * k * degree), 5 * std::sin(120 * k * degree), 10, 2, 120 * k * degree));
    const std::vector<MiddleLine> three = lines_of(arms);
    REQUIRE(three.size() == 3);
    for (int k = 0; k < 3; ++k) CHECK(any_straight(three, {0, 0}, {10 * std::cos(120 * k * degree), 10 * std::sin(120 * k * degree)}, 2));
    const std::vector<MiddleLine> bend = lines_of({{{0, 0}, {20, 0}, {20, 2}, {2, 2}, {2, 10}, {0, 10}}});
    REQUIRE(bend.size() == 1);
    REQUIRE(bend[0].line.points.size() == 3);
    CHECK(distance(bend[0].line.points[1], {1, 1}) < 0.02);
}

TEST_CASE("Rings close, dots are points, tapering strokes end in their tips") {
    const std::vector<MiddleLine> ring = middle_lines(Region({disc(10, 10, 6), disc(10, 10, 5)}, FillRule::even_odd), hands(1));
    REQUIRE(ring.size() == 1);
    CHECK(ring[0].line.closed);
    for (const Point& p : ring[0].line.points) CHECK(distance(p, {10, 10}) == Approx(5.5).margin(0.02));
    for (const double width : ring[0].width) CHECK(width == Approx(1).margin(0.02));
    const std::vector<MiddleLine> frame = middle_lines(Region({box(10, 10, 12, 8), box(10, 10, 10, 6)}, FillRule::even_odd), hands(1));
    REQUIRE(frame.size() == 1);
    CHECK(frame[0].line.closed);
    for (const Point& corner : box(10, 10, 11, 7)) {
        double least = 1e9;
        for (const Point& p : frame[0].line.points) least = std::min(least, distance(p, corner));
        CHECK(least < 0.02);
    }
    for (const Loop& dot : {disc(5, 5, 1), box(5, 5, 2, 2, 0.3)}) {
        const std::vector<MiddleLine> lines = lines_of({dot});
        REQUIRE(lines.size() == 1);
        REQUIRE(lines[0].line.points.size() == 1);
        CHECK(distance(lines[0].line.points[0], {5, 5}) < 0.05);
        CHECK(lines[0].width[0] == Approx(2).margin(0.02));
    }
    const std::vector<MiddleLine> taper = lines_of({{{0, 0}, {20, 1}, {0, 2}}});
    REQUIRE(taper.size() == 1);
    const auto& points = taper[0].line.points;
    CHECK(std::min(distance(points.front(), {20, 1}), distance(points.back(), {20, 1})) < 0.05);
    CHECK(*std::min_element(taper[0].width.begin(), taper[0].width.end()) < 0.05);
    CHECK(middle_lines(Region(), hands(1)).empty());
}

TEST_CASE("A slanted end is no bend") {
    const std::vector<MiddleLine> lines = lines_of({{{0, 0}, {20, 0}, {18, 2}, {0, 2}}});
    REQUIRE(lines.size() == 1);
    for (const Point& p : lines[0].line.points) CHECK(p.y == Approx(1).margin(0.02));
    CHECK(std::max(lines[0].line.points.front().x, lines[0].line.points.back().x) == Approx(19).margin(0.02));
}

TEST_CASE("Middle lines of a drawing lie in the middle of its strokes") {
    // Wavy strokes with round ends, drawn and traced at 8 pixels per mm.
    std::vector<Loop> figure;
    for (int line = 0; line < 3; ++line) {
        Loop left, right;
        for (int k = 0; k <= 200; ++k) {
            const double x = 4 + 0.16 * k, y = 6 + 7 * line + 1.5 * std::sin(x / 3), slope = 0.5 * std::cos(x / 3),
                         n = std::hypot(1, slope);
            left.push_back({x - 0.6 * slope / n, y + 0.6 / n});
            right.push_back({x + 0.6 * slope / n, y - 0.6 / n});
        }
        left.insert(left.end(), right.rbegin(), right.rend());
        figure.push_back(left);
    }
    const Tracing traced = trace_drawing(drawn(figure, 40, 26, 8), over(40, 26), hands(2));
    const std::vector<MiddleLine> lines = middle_lines(traced.region, hands(2));
    REQUIRE(lines.size() == 3);
    for (const MiddleLine& line : lines) {
        double length = 0;
        for (std::size_t k = 0; k < line.line.points.size(); ++k) {
            const Point& p = line.line.points[k];
            if (k > 0) length += distance(line.line.points[k - 1], p);
            double least = 1e9;
            for (int at = 0; at < 3; ++at)
                for (double x = 4; x <= 36; x += 0.02) least = std::min(least, distance(p, {x, 6 + 7 * at + 1.5 * std::sin(x / 3)}));
            CHECK(least < 0.08);
            CHECK(line.width[k] == Approx(1.2).margin(0.1));
        }
        double true_length = 0;
        for (double x = 4; x < 36; x += 0.01) true_length += 0.01 * std::hypot(1, 0.5 * std::cos((x + 0.005) / 3));
        CHECK(length == Approx(true_length).margin(0.3));
    }
}
