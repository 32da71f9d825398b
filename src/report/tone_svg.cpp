/// A tone curve drawn: amount to the right, darkness upwards, a dot for each patch, the straight line that an exact material would have;
/// and the straightened card with frames round what was measured, so that one sees at once whether it was found rightly. Cost: the card's
/// cells.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/picture/picture.hpp"
#include "burin/report/tone_report.hpp"
#include "ink.hpp"
#include "pictures.hpp"

namespace burin {
namespace {

constexpr double side = 360, left = 64, top = 48;

using ink::number;

/// From amount and darkness to the drawing's places.
struct Axes {
    double most = 1;
    [[nodiscard]] double x(double amount) const { return left + side * amount / most; }
    [[nodiscard]] static double y(double darkness) { return top + side * (1 - std::clamp(darkness, -0.1, 1.1)); }
};

std::string grid_lines(const Axes& axes) {
    std::string svg;
    for (int k = 0; k <= 5; ++k) {
        const double share = k / 5.0, x = axes.x(axes.most * share), y = Axes::y(share);
        svg += fmt::format("<path d=\"M{0} {1}V{2}M{3} {4}H{5}\" stroke=\"#e2ddd0\"/>", number(x), number(top), number(top + side),
                           number(left), number(y), number(left + side));
        svg += fmt::format("<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{}</text>", number(x), number(top + side + 18),
                           number(axes.most * share, axes.most < 10 ? 2 : 0));
        svg += fmt::format("<text x=\"{}\" y=\"{}\" text-anchor=\"end\">{}</text>", number(left - 8), number(y + 4), number(share, 1));
    }
    return svg;
}

}  // namespace

std::string tone_svg(const CardReading& reading, const Card& card, const std::string& title) {
    const bool grooves = card.wishes.kind == CardKind::grooves;
    Axes axes;
    for (const CardPatch& patch : card.patches) axes.most = grooves ? 1 : std::max(patch.amount, axes.most == 1 ? 0.0 : axes.most);
    std::string svg = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}\" height=\"{1}\" viewBox=\"0 0 {0} {1}\" font-family=\"sans-serif\" "
        "font-size=\"12\" fill=\"#33302a\"><rect width=\"{0}\" height=\"{1}\" fill=\"#fbf9f4\"/><text x=\"{2}\" y=\"26\" "
        "font-size=\"15\">{3}</text>",
        number(left + side + 24), number(top + side + 48), number(left), ink::escaped(title));
    svg += grid_lines(axes);
    svg += fmt::format("<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{}</text>", number(left + side / 2), number(top + side + 38),
                       grooves ? "share of the surface covered" : "exposure, J/mm²");
    svg +=
        fmt::format("<text transform=\"translate(18,{}) rotate(-90)\" text-anchor=\"middle\">darkness, bare to the strongest patch</text>",
                    number(top + side / 2));
    if (grooves)
        svg += fmt::format("<path d=\"M{} {}L{} {}\" stroke=\"#8b8678\" stroke-dasharray=\"4 4\"/>", number(axes.x(0)), number(Axes::y(0)),
                           number(axes.x(1)), number(Axes::y(1)));
    std::string line;
    for (const Point& p : reading.curve.points)
        line += fmt::format("{}{} {}", line.empty() ? "M" : "L", number(axes.x(p.x)), number(Axes::y(p.y)));
    svg += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"2\"/>", line, ink::program_colour(0));
    for (std::size_t k = 0; k < card.patches.size(); ++k)
        svg += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"3.5\" fill=\"none\" stroke=\"{}\" stroke-width=\"1.5\"/>",
                           number(axes.x(card.patches[k].amount)), number(Axes::y(reading.darkness[k])), ink::program_colour(1));
    return svg + "</svg>\n";
}

std::string card_png(const CardReading& reading, const Card& card) {
    const HeightMap& straight = reading.straight;
    const int width = straight.width(), height = straight.height();
    std::vector<std::uint8_t> rgb;
    rgb.reserve(straight.size() * 3);
    // Whatever is lightest is white, so that light marks on dark paint are shown as they are.
    const double white = reading.lighter ? 1 + reading.contrast : 1.05;
    for (int j = height - 1; j >= 0; --j)
        for (int i = 0; i < width; ++i) {
            const double light = std::clamp(static_cast<double>(straight(i, j)) / white, 0.0, 1.0);
            rgb.insert(rgb.end(), 3, static_cast<std::uint8_t>(std::lround(255 * page::coded(light))));
        }
    const auto dot = [&](int i, int j) {
        if (!straight.holds(i, j)) return;
        const std::size_t at =
            3 * (static_cast<std::size_t>(height - 1 - j) * static_cast<std::size_t>(width) + static_cast<std::size_t>(i));
        rgb[at] = 0xc2, rgb[at + 1] = 0x45, rgb[at + 2] = 0x2d;
    };
    const auto cell = [&](double mm) { return static_cast<int>(std::floor(mm / straight.cell())); };
    const auto frame = [&](const Box& box) {
        const int i0 = cell(box.lo.x), i1 = cell(box.hi.x), j0 = cell(box.lo.y), j1 = cell(box.hi.y);
        for (int i = i0; i <= i1; ++i) dot(i, j0), dot(i, j1);
        for (int j = j0; j <= j1; ++j) dot(i0, j), dot(i1, j);
    };
    for (const CardPatch& patch : card.patches) frame(patch.box);
    for (const CardRung& rung : card.rungs) frame({{rung.low.x - rung.width / 2, rung.low.y}, {rung.high.x + rung.width / 2, rung.high.y}});
    for (const CardMark& mark : card.marks) {
        const double r = Card::ring_outer;
        frame({{mark.centre.x - r, mark.centre.y - r}, {mark.centre.x + r, mark.centre.y + r}});
    }
    return write_png_rgb(rgb, width, height, card.width, {});
}

}  // namespace burin
