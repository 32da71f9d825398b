// Chip load and specific force of a material at the diameter and chip of the moment.
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

}  // namespace burin
