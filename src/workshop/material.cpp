// Chip load and specific force of a material at the diameter and chip of the moment; its tones.
#include "burin/workshop/material.hpp"

#include <algorithm>
#include <cmath>

namespace burin {

// Straight line between the two figures of the chart, in proportion to the diameter below 1 mm (a slim bit breaks with
// the chip its thick brother takes), constant above 3 mm (the machine is the limit there). Common practice, no source.
double chip_load(const Material& material, double diameter_at_work) {
    if (diameter_at_work <= 1) return material.chip_load_1 * std::max(0.0, diameter_at_work);
    const double share = std::min(1.0, (diameter_at_work - 1) / 2);
    return material.chip_load_1 + share * (material.chip_load_3 - material.chip_load_1);
}

// Kienzle 1952: thin chips cost more force for their section.
double specific_force(const Material& material, double h) {
    return material.kc_exponent == 0 ? material.kc1 : material.kc1 * std::pow(h, -material.kc_exponent);
}

double luminance(const std::array<double, 3>& srgb) {
    const auto linear = [](double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); };  // IEC 61966-2-1
    return 0.2126 * linear(srgb[0]) + 0.7152 * linear(srgb[1]) + 0.0722 * linear(srgb[2]);                       // ITU-R BT.709
}

double darkness_for(const ToneCurve& curve, double amount) {
    const auto& points = curve.points;
    if (points.empty()) return std::clamp(amount, 0.0, 1.0);
    const auto after = std::find_if(points.begin(), points.end(), [&](const Point& p) { return p.x > amount; });
    if (after == points.begin()) return points.front().y;
    if (after == points.end()) return points.back().y;
    const Point &a = *(after - 1), &b = *after;
    return a.y + (b.y - a.y) * (amount - a.x) / (b.x - a.x);
}

double amount_for(const ToneCurve& curve, double darkness) {
    const auto& points = curve.points;
    if (points.empty()) return std::clamp(darkness, 0.0, 1.0);
    const auto after = std::find_if(points.begin(), points.end(), [&](const Point& p) { return p.y >= darkness; });
    if (after == points.begin()) return points.front().x;
    if (after == points.end())  // the least amount that is as dark as it gets
        return std::find_if(points.begin(), points.end(), [&](const Point& p) { return p.y >= points.back().y; })->x;
    const Point &a = *(after - 1), &b = *after;
    return a.x + (b.x - a.x) * (darkness - a.y) / (b.y - a.y);
}

}  // namespace burin
