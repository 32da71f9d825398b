/// Shapes from their dimensions. Arcs become chords whose sagitta is the tolerance: n = π ⁄ acos(1 − t ⁄ r) of them go round (plane
/// geometry). Cost: nothing to speak of.
#include "burin/design/shapes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

using std::numbers::pi;

constexpr std::array<std::string_view, 8> names{"circle", "ellipse", "rectangle", "rounded", "polygon", "star", "line", "ring"};

[[nodiscard]] Error usage(const std::string& sentence) { return {Fault::usage, sentence}; }

/// Hands out dimensions by name, and notices which were given in vain.
class Dimensions {
public:
    explicit Dimensions(const ShapeWishes& wishes) : wishes_(wishes) {
        all_ = {{"diameter", wishes.diameter},
                {"inner-diameter", wishes.inner},
                {"width", wishes.width},
                {"height", wishes.height},
                {"corner-radius", wishes.corner_radius},
                {"length", wishes.length},
                {"thickness", wishes.thickness},
                {"corners", wishes.corners ? std::optional<double>(*wishes.corners) : std::nullopt}};
    }
    [[nodiscard]] std::optional<double> maybe(std::string_view name) {
        for (Entry& entry : all_)
            if (entry.name == name) {
                entry.used = true;
                if (entry.value && !(*entry.value > 0 && *entry.value < 1e5))
                    throw usage(fmt::format("--{} is {:g}: give a number above 0.", name, *entry.value));
                return entry.value;
            }
        return {};
    }
    [[nodiscard]] double needed(std::string_view name) {
        const std::optional<double> value = maybe(name);
        if (!value)
            throw usage(
                fmt::format("A {} needs --{}, as in --shape {} {}.", to_string(wishes_.kind), name, to_string(wishes_.kind), example()));
        return *value;
    }
    void check_all_used() const {
        for (const Entry& entry : all_)
            if (entry.value && !entry.used)
                throw usage(fmt::format("A {} has no {}: leave --{} out. It is given as --shape {} {}.", to_string(wishes_.kind),
                                        words(entry.name), entry.name, to_string(wishes_.kind), example()));
    }

private:
    struct Entry {
        std::string_view name;
        std::optional<double> value;
        bool used = false;
    };
    [[nodiscard]] static std::string words(std::string_view name) {
        std::string text(name);
        std::replace(text.begin(), text.end(), '-', ' ');
        return text;
    }
    [[nodiscard]] std::string_view example() const {
        static constexpr std::array<std::string_view, 8> examples{"--diameter 80",
                                                                  "--width 80 --height 50",
                                                                  "--width 80 --height 50",
                                                                  "--width 80 --height 50 --corner-radius 6",
                                                                  "--diameter 80 --corners 6",
                                                                  "--diameter 80 --corners 5 --inner-diameter 40",
                                                                  "--length 80 --thickness 2",
                                                                  "--diameter 80 --inner-diameter 74"};
        return examples[static_cast<std::size_t>(wishes_.kind)];
    }

    const ShapeWishes& wishes_;
    std::vector<Entry> all_;
};

/// Chords round a whole ellipse, a multiple of four so that its extremes are points.
int chords(double radius, double tolerance) {
    const double t = std::clamp(tolerance, 1e-5, radius / 2);
    return 4 * std::max(2, static_cast<int>(std::ceil(pi / std::acos(1 - t / radius) / 4)));
}

Loop ellipse(const Point& centre, double rx, double ry, double tolerance) {
    // A chord's sagitta over an ellipse is largest where it is bent most, and no larger than on the circle of the longer radius.
    const int n = chords(std::max(rx, ry), tolerance);
    Loop loop;
    for (int k = 0; k < n; ++k) {
        const double a = 2 * pi * k / n;
        loop.push_back({centre.x + rx * std::cos(a), centre.y + ry * std::sin(a)});
    }
    return loop;
}

Loop rounded(double width, double height, double radius, double tolerance) {
    const int quarter = chords(radius, tolerance) / 4;
    Loop loop;
    const std::array<Point, 4> centres{
        {{width - radius, height - radius}, {radius, height - radius}, {radius, radius}, {width - radius, radius}}};
    for (int corner = 0; corner < 4; ++corner)
        for (int k = 0; k <= quarter; ++k) {
            const double a = pi / 2 * (corner + static_cast<double>(k) / quarter);
            const Point& centre = centres[static_cast<std::size_t>(corner)];
            loop.push_back({centre.x + radius * std::cos(a), centre.y + radius * std::sin(a)});
        }
    return loop;
}

/// Corners on circles by turns, the first straight up.
Loop spokes(int count, double outer, double inner) {
    Loop loop;
    for (int k = 0; k < count; ++k) {
        const double a = pi / 2 + 2 * pi * k / count, r = k % 2 == 0 ? outer : inner;
        loop.push_back({r * std::cos(a), r * std::sin(a)});
    }
    return loop;
}

/// Where the edge from one tip to the next but one crosses its neighbour's: r = R cos(2π/n) ⁄ cos(π/n).
double straight_inner(int tips) { return tips < 4 ? 0.25 : tips < 5 ? 0.5 : std::cos(2 * pi / tips) / std::cos(pi / tips); }

std::vector<Loop> loops_of(const ShapeWishes& wishes, Dimensions& given) {
    switch (wishes.kind) {
        case ShapeKind::circle: {
            const double r = given.needed("diameter") / 2;
            return {ellipse({r, r}, r, r, wishes.tolerance)};
        }
        case ShapeKind::ring: {
            const double r = given.needed("diameter") / 2, hole = given.needed("inner-diameter") / 2;
            if (hole >= r) throw usage("The hole of a ring must be smaller than the ring: --inner-diameter is not below --diameter.");
            return {ellipse({r, r}, r, r, wishes.tolerance), ellipse({r, r}, hole, hole, wishes.tolerance)};
        }
        case ShapeKind::ellipse: {
            const double w = given.needed("width"), h = given.needed("height");
            return {ellipse({w / 2, h / 2}, w / 2, h / 2, wishes.tolerance)};
        }
        case ShapeKind::rectangle: {
            const double w = given.needed("width"), h = given.needed("height");
            return {{{0, 0}, {w, 0}, {w, h}, {0, h}}};
        }
        case ShapeKind::rounded: {
            const double w = given.needed("width"), h = given.needed("height"), r = given.needed("corner-radius");
            if (r > std::min(w, h) / 2)
                throw usage(
                    fmt::format("A corner radius of {:g} mm is more than half of the shorter side. Give a smaller --corner-radius.", r));
            return {rounded(w, h, r, wishes.tolerance)};
        }
        case ShapeKind::polygon: {
            const double r = given.needed("diameter") / 2;
            return {spokes(static_cast<int>(given.needed("corners")), r, r)};
        }
        case ShapeKind::star: {
            const double r = given.needed("diameter") / 2;
            const int tips = static_cast<int>(given.needed("corners"));
            const double inner = given.maybe("inner-diameter").value_or(2 * r * straight_inner(tips)) / 2;
            if (inner >= r) throw usage("The inner corners of a star lie within its tips: --inner-diameter is not below --diameter.");
            return {spokes(2 * tips, r, inner)};
        }
        case ShapeKind::line: {
            const double length = given.needed("length");
            if (const auto bar = given.maybe("thickness")) return {{{0, 0}, {length, 0}, {length, *bar}, {0, *bar}}};
            return {};
        }
    }
    return {};
}

}  // namespace

std::string_view to_string(ShapeKind kind) { return names[static_cast<std::size_t>(kind)]; }

std::optional<ShapeKind> shape_named(std::string_view name) {
    const auto found = std::find(names.begin(), names.end(), name);
    if (found == names.end()) return {};
    return static_cast<ShapeKind>(found - names.begin());
}

Drawing shape(const ShapeWishes& wishes) {
    Dimensions given(wishes);
    std::vector<Loop> loops = loops_of(wishes, given);
    given.check_all_used();
    Drawing drawing;
    if (loops.empty()) {
        MiddleLine line;
        line.line.points = {{0, 0}, {*wishes.length, 0}};
        line.width.assign(2, 0.0);
        drawing.lines.push_back(std::move(line));
        drawing.width = *wishes.length;
        return drawing;
    }
    Region region(loops);
    const Box box = region.bounds();
    drawing.region = moved(region, 0, false, {-box.lo.x, -box.lo.y});
    drawing.width = box.width();
    drawing.height = box.height();
    if (wishes.kind != ShapeKind::line)
        for (const Loop& loop : drawing.region.loops()) {
            MiddleLine line;
            line.line = {loop, true};
            line.width.assign(loop.size(), 0.0);
            drawing.lines.push_back(std::move(line));
        }
    return drawing;
}

}  // namespace burin
