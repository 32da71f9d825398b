/// Transform lists and viewBoxes (SVG 2, chapter 8). Cost: n.
#include "svg_transform.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include "svg_scan.hpp"

namespace burin {

Affine operator*(const Affine& o, const Affine& i) {
    return {o.a * i.a + o.c * i.b, o.b * i.a + o.d * i.b,       o.a * i.c + o.c * i.d,
            o.b * i.c + o.d * i.d, o.a * i.e + o.c * i.f + o.e, o.b * i.e + o.d * i.f + o.f};
}

double Affine::longest() const { return (std::hypot(a + d, b - c) + std::hypot(a - d, b + c)) / 2; }

namespace {

Affine turned(double degrees) {
    const double angle = degrees * std::numbers::pi / 180;
    return {std::cos(angle), std::sin(angle), -std::sin(angle), std::cos(angle), 0, 0};
}

std::optional<Affine> transform_of(std::string_view name, const std::vector<double>& n) {
    const std::size_t count = n.size();
    const auto tangent = [&] { return std::tan(n[0] * std::numbers::pi / 180); };
    if (name == "matrix" && count == 6) return Affine{n[0], n[1], n[2], n[3], n[4], n[5]};
    if (name == "translate" && (count == 1 || count == 2)) return Affine{1, 0, 0, 1, n[0], count == 2 ? n[1] : 0};
    if (name == "scale" && (count == 1 || count == 2)) return Affine{n[0], 0, 0, count == 2 ? n[1] : n[0], 0, 0};
    if (name == "rotate" && count == 1) return turned(n[0]);
    if (name == "rotate" && count == 3) return Affine{1, 0, 0, 1, n[1], n[2]} * turned(n[0]) * Affine{1, 0, 0, 1, -n[1], -n[2]};
    if (name == "skewX" && count == 1) return Affine{1, 0, tangent(), 1, 0, 0};
    if (name == "skewY" && count == 1) return Affine{1, tangent(), 0, 1, 0, 0};
    return std::nullopt;
}

/// A number, with the units that style sheets put behind it taken as SVG's own (px, deg).
std::optional<double> transform_number(SvgScan& scan) {
    const std::optional<double> number = scan.number();
    if (!number) return std::nullopt;
    const std::string_view unit = scan.word();
    if (!unit.empty() && unit != "px" && unit != "deg") return std::nullopt;
    return number;
}

}  // namespace

std::optional<Affine> transform_list(std::string_view text) {
    SvgScan scan(trimmed(text));
    Affine all;
    if (text == "none") return all;
    while (!scan.done()) {
        const std::string_view name = scan.word();
        scan.skip_space();
        if (!scan.take('(')) return std::nullopt;
        std::vector<double> numbers;
        scan.skip_space();
        while (!scan.take(')')) {
            const std::optional<double> number = transform_number(scan);
            if (!number) return std::nullopt;
            numbers.push_back(*number);
            scan.skip_comma();
        }
        const std::optional<Affine> one = transform_of(name, numbers);
        if (!one) return std::nullopt;
        all = all * *one;
        scan.skip_comma();
    }
    return all;
}

std::optional<ViewBox> view_box(std::string_view text) {
    SvgScan scan(trimmed(text));
    double n[4];
    for (double& v : n) {
        const std::optional<double> number = scan.number();
        if (!number) return std::nullopt;
        v = *number;
        scan.skip_comma();
    }
    if (!scan.done() || !(n[2] > 0) || !(n[3] > 0)) return std::nullopt;
    return ViewBox{n[0], n[1], n[2], n[3]};
}

Affine view_box_transform(const ViewBox& box, double width, double height, std::string_view preserve) {
    double sx = width / box.width, sy = height / box.height;
    double share_x = 0.5, share_y = 0.5;
    const std::vector<std::string_view> words = words_of(preserve);
    const std::string_view align = words.empty() ? "xMidYMid" : words[0];
    if (align != "none") {
        const bool slice = words.size() > 1 && words[1] == "slice";
        sx = sy = slice ? std::max(sx, sy) : std::min(sx, sy);
        if (align.starts_with("xMin")) share_x = 0;
        if (align.starts_with("xMax")) share_x = 1;
        if (align.ends_with("YMin")) share_y = 0;
        if (align.ends_with("YMax")) share_y = 1;
    }
    return {sx, 0, 0, sy, share_x * (width - box.width * sx) - box.x * sx, share_y * (height - box.height * sy) - box.y * sy};
}

}  // namespace burin
