#include "board_places.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "ink.hpp"

namespace burin::page {
namespace {

using ink::number;

constexpr std::size_t most_rings = 12;

std::string ring(const Point& at, double size, std::string_view colour, double stroke) {
    return fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>", number(100 * at.x, 0),
                       number(-100 * at.y, 0), number(2 * size, 0), colour, number(stroke * size, 1));
}

}  // namespace

std::string rings_svg(const std::vector<NarrowGap>& gaps, const std::optional<NetFigures>& nets, double size, const RingInks& inks) {
    std::string svg;
    for (std::size_t k = 0; k < std::min(most_rings, gaps.size()); ++k) svg += ring(gaps[k].at, size, inks.risk, inks.stroke);
    if (nets && nets->track) svg += ring(nets->track_at, size, inks.told, inks.stroke);
    if (nets && nets->gap) svg += ring(nets->gap_at, size, inks.told, inks.stroke);
    return svg;
}

std::string place(const Point& p) { return fmt::format("X{} Y{}", number(p.x), number(p.y)); }

std::string gap_list(const std::vector<NarrowGap>& gaps, std::string_view squeezed, std::string_view others) {
    std::string out = "<ul>";
    for (std::size_t k = 0; k < std::min(most_rings, gaps.size()); ++k)
        out += fmt::format("<li>{} mm at {}: {}</li>", number(gaps[k].width, 3), place(gaps[k].at), gaps[k].squeezed ? squeezed : others);
    if (gaps.size() > most_rings) out += fmt::format("<li>and {} more</li>", gaps.size() - most_rings);
    return out + "</ul>";
}

}  // namespace burin::page
