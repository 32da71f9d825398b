#include "ways_round.hpp"

#include <algorithm>
#include <cmath>

#include "burin/proof/proof.hpp"

namespace burin {

Obstacles obstacles_of(std::vector<KeepOut> keep_outs, const Bit& bit) {
    const BitSpec& spec = bit.spec();
    return [keep_outs = std::move(keep_outs), spec, radius = bit.radius()](double z) {
        std::vector<Box> boxes;
        for (const KeepOut& zone : keep_outs) {
            double widest = 0;
            if (z < zone.height()) widest = radius;
            if (z + spec.cutting_length < zone.height()) widest = std::max(widest, spec.shank / 2);
            if (z + spec.stick_out < zone.height()) widest = std::max(widest, collet_nut_diameter / 2);
            if (widest == 0) continue;
            const double grown = widest + way_clearance;
            const Box& box = zone.bounds();
            boxes.push_back({{box.lo.x - grown, box.lo.y - grown}, {box.hi.x + grown, box.hi.y + grown}});
        }
        return boxes;
    };
}

}  // namespace burin
