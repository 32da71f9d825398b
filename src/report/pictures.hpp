#pragma once
/// Pictures that go into the page: small, as JPEG bytes.
#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include "burin/report/report.hpp"

namespace burin::page {

struct Rgb {
    int width = 0, height = 0;
    std::vector<std::uint8_t> samples;  ///< red, green, blue; rows from the top
};

/// sRGB value 0 … 1 of linear light (IEC 61966-2-1).
[[nodiscard]] inline double coded(double light) { return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055; }

/// Baseline JPEG (ITU-T T.81), quality 1 … 100.
[[nodiscard]] std::string jpeg(const Rgb& picture, int quality);
/// At most `widest` pixels wide (area mean), transparency over white, sRGB.
[[nodiscard]] Rgb small(const Picture& picture, int widest, const Crew& crew);

/// The colour of so many mm left standing on a level grey ground.
[[nodiscard]] std::array<std::uint8_t, 3> unreached_colour(double mm, double grey);

}  // namespace burin::page
