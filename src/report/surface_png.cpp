// The surface that the proof left, as a 16-bit map: 65535 is its highest place, 0 its lowest.
//
// Text chunks (PNG, ISO/IEC 15948) carry what the samples mean in mm; pHYs carries the cell. Steps of the map are
// (highest − lowest) / 65535: 0.05 µm at 3 mm. Cost: one pass and the deflating.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/report/report.hpp"

namespace burin {

std::string surface_png(const HeightMap& surface) {
    if (surface.empty()) throw Error(Fault::refused, "There is no surface to draw: the proof was not run.");
    const auto [lowest, highest] = std::minmax_element(surface.values().begin(), surface.values().end());
    const double lo = *lowest, hi = *highest, scale = hi > lo ? 65535 / (hi - lo) : 0;
    const int width = surface.width(), height = surface.height();
    std::vector<std::uint16_t> grey(surface.size());
    for (int j = 0; j < height; ++j) {
        const float* from = surface.row(j);
        std::uint16_t* to = grey.data() + static_cast<std::size_t>(height - 1 - j) * static_cast<std::size_t>(width);
        for (int i = 0; i < width; ++i) to[i] = static_cast<std::uint16_t>((from[i] - lo) * scale + 0.5);
    }
    const Box box = surface.bounds();
    const std::vector<PngText> texts = {
        {"Title", "Surface as the simulation left it; heights in mm over the stock top"},
        {"Height of 0 (mm)", fmt::format("{:.6f}", lo)},
        {"Height of 65535 (mm)", fmt::format("{:.6f}", hi)},
        {"Cell (mm)", fmt::format("{:.6f}", surface.cell())},
        {"Lower left corner (mm)", fmt::format("{:.6f} {:.6f}", box.lo.x, box.lo.y)},
    };
    return write_png_grey16(grey, width, height, box.width(), texts);
}

}  // namespace burin
