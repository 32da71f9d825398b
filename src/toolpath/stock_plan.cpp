#include "stock_plan.hpp"

#include <algorithm>
#include <cmath>

#include "burin/toolpath/offset.hpp"

namespace burin {

void lower(HeightMap& stock, const HeightMap& swept) {
    for (std::size_t k = 0; k < stock.size(); ++k) stock.values()[k] = std::min(stock.values()[k], swept.values()[k]);
}

int bit_rows(const Bit& bit, const HeightMap& map) { return static_cast<int>(std::ceil(bit.radius() / map.cell())) + 1; }

HeightMap rows_of(const HeightMap& map, int low, int high) {
    HeightMap part(map.width(), high - low, map.cell(), {map.origin().x, map.origin().y + low * map.cell()});
    std::copy(map.row(low), map.row(high - 1) + map.width(), part.row(0));
    return part;
}

std::vector<RowBand> bands_of(int height, int beside) {
    constexpr int band = 96;
    std::vector<RowBand> bands;
    for (int first = 0; first < height; first += band) {
        const int last = std::min(height, first + band);
        bands.push_back({first, last, std::max(0, first - beside), std::min(height, last + beside)});
    }
    return bands;
}

void lower_swept(HeightMap& stock, const Bit& bit, const HeightMap& reached, const Crew& crew) {
    for (const RowBand& band : bands_of(stock.height(), bit_rows(bit, stock))) {
        const HeightMap swept = swept_by(bit, rows_of(reached, band.low, band.high), crew);
        for (int j = band.first; j < band.last; ++j) {
            float* to = stock.row(j);
            const float* from = swept.row(j - band.low);
            for (int i = 0; i < stock.width(); ++i) to[i] = std::min(to[i], from[i]);
        }
    }
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
