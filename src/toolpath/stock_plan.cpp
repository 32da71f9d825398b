#include "stock_plan.hpp"

#include <algorithm>

#include "burin/toolpath/offset.hpp"

namespace burin {

void lower(HeightMap& stock, const HeightMap& swept) {
    for (std::size_t k = 0; k < stock.size(); ++k) stock.values()[k] = std::min(stock.values()[k], swept.values()[k]);
}

void lower_swept(HeightMap& stock, const Bit& bit, const HeightMap& reached, const Crew& crew) {
    lower(stock, swept_by(bit, reached, crew));
}

bool any(const Mask& mask) {
    return std::any_of(mask.values().begin(), mask.values().end(), [](auto v) { return v != 0; });
}

float lowest_of(const HeightMap& map) { return *std::min_element(map.values().begin(), map.values().end()); }

LevelOrder level_order(const ReliefBit& bit, double z, double spacing, double tolerance) {
    LevelOrder order;
    order.z = z;
    order.stepover = std::min(0.9 * bit.bit.radius(), bit.bit.width_at(spacing / 4));
    order.tolerance = tolerance;
    order.feed = bit.feed;
    order.ramp = std::clamp(0.8 * bit.plunge / bit.feed, 0.02, 0.2);  // so that the feed goes down no faster than the plunge
    order.most = bit.depth_per_pass;
    order.diameter = bit.bit.diameter();
    order.most_peck = bit.bit.spec().centre_cutting ? bit.depth_per_pass : 0;
    order.flat = bit.bit.shape() == BitShape::flat;
    return order;
}

}  // namespace burin
