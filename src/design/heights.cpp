/// From a picture to heights: chooses the rendering, then does what all of them share: the border, the transparent parts,
/// the steepest slope.
#include "burin/design/heights.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "renderings.hpp"

namespace burin {
namespace {

void leave_transparent(HeightMap& heights, const Mask& counted) {
    if (counted.empty()) return;
    for (std::size_t k = 0; k < heights.size(); ++k)
        if (!counted.values()[k]) heights.values()[k] = 0;
}

/// Share of its height that a cell keeps, from 0 on the border to 1 `blend` mm inside it, without kinks at either end.
std::vector<float> kept_shares(int cells, double cell, double blend) {
    std::vector<float> shares;
    for (int k = 0; k < cells; ++k) {
        const double t = std::min((std::min(k, cells - 1 - k) + 0.5) * cell / blend, 1.0);
        shares.push_back(static_cast<float>(t * t * (3 - 2 * t)));
    }
    return shares;
}

void blend_border(HeightMap& heights, double blend, const Crew& crew) {
    if (!(blend > 0)) return;
    const std::vector<float> x = kept_shares(heights.width(), heights.cell(), blend),
                             y = kept_shares(heights.height(), heights.cell(), blend);
    over_rows(crew, heights.height(), 64, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            float* row = heights.row(j);
            const float here = y[static_cast<std::size_t>(j)];
            for (int i = 0; i < heights.width(); ++i) row[i] *= here * x[static_cast<std::size_t>(i)];
        }
    });
}

HeightMap rendered(const Picture& picture, const Mask& counted, const HeightsWishes& wishes, Remarks& remarks, const Crew& crew) {
    switch (wishes.kind) {
        case HeightsKind::map:
            return map_heights(picture, counted, wishes, remarks, crew);
        case HeightsKind::tone:
            return tone_heights(picture, counted, wishes, remarks, crew);
        case HeightsKind::sculpt:
            return sculpt_heights(picture, counted, wishes, remarks, crew);
        case HeightsKind::dome:
            return dome_heights(picture, counted, wishes, remarks, crew);
        case HeightsKind::transmit:
            break;
    }
    return transmit_heights(picture, counted, wishes, remarks, crew);
}

}  // namespace

DesignHeights make_heights(const Picture& picture, const HeightsWishes& wishes, const Crew& crew) {
    crew.say("heights", 0);
    Remarks remarks;
    const Mask counted = opaque_cells(picture, wishes.width, wishes.height, wishes.cell, crew);
    HeightMap heights = rendered(picture, counted, wishes, remarks, crew);
    blend_border(heights, wishes.border_blend, crew);
    leave_transparent(heights, counted);
    if (wishes.steepest_deg < 90) {
        lay_back(heights, wishes.steepest_deg, crew);
        leave_transparent(heights, counted);
    }
    crew.say("heights", 1);
    return {std::move(heights), std::move(remarks.notes), std::move(remarks.warnings)};
}

}  // namespace burin
