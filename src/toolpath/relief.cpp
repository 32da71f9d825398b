// Relief carving. Each bit's stock is predicted from the design by dilations and erosions with the bits (Serra 1982):
//   tips    T = dilation of the design by the bit: how low the tip may go
//   reach   F = erosion of T: what the bit leaves when it has been everywhere
//   stock   S = min of what every pass so far has swept
// Roughing clears the regions { tips with allowance ≤ z } level by level; finishing.cpp does the rest.
#include "burin/toolpath/relief.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "burin/base/error.hpp"
#include "burin/toolpath/offset.hpp"
#include "clearing.hpp"
#include "finishing.hpp"
#include "stock_plan.hpp"

namespace burin {
namespace {

/// Takes out pieces of fewer than `least` cells.
void drop_specks(Mask& region, int least) {
    cv::Mat image(region.height(), region.width(), CV_8U, region.values().data()), labels, stats, centres;
    const int count = cv::connectedComponentsWithStats(image, labels, stats, centres, 8, CV_32S);
    std::vector<std::uint8_t> keep(static_cast<std::size_t>(count), 1);
    for (int k = 1; k < count; ++k) keep[static_cast<std::size_t>(k)] = stats.at<int>(k, cv::CC_STAT_AREA) >= least;
    for (int j = 0; j < region.height(); ++j)
        for (int i = 0; i < region.width(); ++i)
            if (region(i, j)) region(i, j) = keep[static_cast<std::size_t>(labels.at<int>(j, i))];
}

/// Heights of the tip that keep g above floors and g beside walls.
HeightMap tips_with_allowance(const Bit& bit, const HeightMap& design, double g, const Crew& crew) {
    HeightMap tips = offset_for(bit, design, crew, g);
    const HeightMap plain = offset_for(bit, design, crew);
    for (std::size_t k = 0; k < tips.size(); ++k) tips.values()[k] = std::max(tips.values()[k], plain.values()[k] + static_cast<float>(g));
    return tips;
}

/// Clears { tips ≤ z } for levels no farther apart than `spacing`, where the bit meets stock. Lowers `stock`; an empty one is
/// whole stock.
void rough(Pen& pen, const ReliefBit& bit, const HeightMap& design, double g, double spacing, HeightMap& stock, const Crew& crew) {
    HeightMap tips = tips_with_allowance(bit.bit, design, g, crew);
    for (float& z : tips.values()) z = std::max(z, -static_cast<float>(bit.bit.spec().cutting_length));
    const HeightMap meets = stock.empty() ? HeightMap{} : offset_for(bit.bit, stock, crew);
    const double deepest = -static_cast<double>(lowest_of(tips));
    if (deepest < 0.02) return;
    const int levels = std::max(1, static_cast<int>(std::ceil(deepest / spacing - 1e-6)));
    const auto worth = static_cast<float>(std::min(0.05, 0.4 * deepest / levels));  // less is left to the next level
    const double cells = bit.bit.radius() / design.cell();
    const bool flat = bit.bit.shape() == BitShape::flat;  // other bits leave ridges between their loops
    HeightMap cleared = design.like(untouched);
    for (int k = 1; k <= levels; ++k) {
        crew.check();
        crew.say("roughing", static_cast<double>(k) / levels);
        const double z = -deepest * k / levels, above = -deepest * (k - 1) / levels;
        const auto limit = static_cast<float>(z) + 1e-5F;
        Mask region = design.like(std::uint8_t{0});
        for (std::size_t c = 0; c < region.size(); ++c)
            region.values()[c] = tips.values()[c] <= limit && (meets.empty() ? 0.F : meets.values()[c]) > limit + worth;
        drop_specks(region, std::max(2, static_cast<int>(cells * cells / 4)));
        if (!any(region)) continue;
        for (std::size_t c = 0; flat && c < region.size(); ++c)
            if (region.values()[c]) cleared.values()[c] = static_cast<float>(z);
        pen.pass("roughing level", z);
        clear_level(pen, std::move(region), meets.empty() ? nullptr : &meets, above, level_order(bit, z, deepest / levels, 0.02),
                    flat ? nullptr : &cleared);
    }
    tips = {};
    if (stock.empty()) stock = design.like(0.F);
    lower_swept(stock, bit.bit, cleared, crew);
}

void check_bits(const HeightMap& design, const ReliefOrder& order) {
    int i0 = design.width(), i1 = -1, j0 = design.height(), j1 = -1;
    for (int j = 0; j < design.height(); ++j)
        for (int i = 0; i < design.width(); ++i)
            if (design(i, j) < 0) i0 = std::min(i0, i), i1 = std::max(i1, i), j0 = std::min(j0, j), j1 = std::max(j1, j);
    if (i1 < 0)
        throw Error(Fault::refused,
                    "There is nothing to cut: the whole design lies at the stock top. Check --invert, --levels and --depth.");
    const double width = (i1 - i0 + 1) * design.cell(), height = (j1 - j0 + 1) * design.cell();
    for (const ReliefBit& b : order.bits)
        if (b.bit.diameter() > std::min(width, height) + design.cell())
            throw Error(
                Fault::refused,
                fmt::format("The bit {} is wider than what is to be carved ({:.1f} x {:.1f} mm). Take a thinner bit or a larger --width.",
                            b.bit.name(), width, height));
}

/// The finishing bit must get to the bottom with its cutting edges; roughing bits simply stop where theirs end.
void check_length(const HeightMap& design, const Bit& bit, const Crew& crew) {
    const double length = bit.spec().cutting_length;
    if (-static_cast<double>(lowest_of(design)) <= length) return;
    const double deepest = -static_cast<double>(lowest_of(offset_for(bit, design, crew)));
    if (deepest > length + 1e-4)
        throw Error(Fault::refused, fmt::format("The design is {:.2f} mm deep where the bit {} gets in, but that bit cuts on {:.2f} mm of "
                                                "its length only. Take a bit that cuts longer, or less --depth.",
                                                deepest, bit.name(), length));
}

}  // namespace

ReliefPlan plan_relief(const HeightMap& design, const ReliefOrder& order, const Crew& crew) {
    check_bits(design, order);
    check_length(design, order.bits.back().bit, crew);
    ReliefPlan plan;
    HeightMap stock;  // empty: whole
    for (std::size_t k = 0; k < order.bits.size(); ++k) {
        const ReliefBit& bit = order.bits[k];
        const bool last = k + 1 == order.bits.size();
        Pen pen(bit.feed, bit.plunge, order.safe_height);
        if (!last || order.bits.size() == 1) {
            double spacing = bit.depth_per_pass * std::min(1.0, order.take);
            for (std::size_t q = k + 1; q < order.bits.size(); ++q) spacing = std::min(spacing, order.bits[q].depth_per_pass);
            rough(pen, bit, design, order.allowance, spacing, stock, crew);
        }
        if (stock.empty()) stock = design.like(0.F);  // nothing roughed
        if (last) finish(pen, bit, design, order, stock, crew);
        pen.retract();
        if (pen.started())
            plan.paths.push_back({k, pen.take()});
        else
            plan.notes.push_back(fmt::format("The bit {} found nothing to do and gets no program.", bit.bit.name()));
    }
    return plan;
}

}  // namespace burin
