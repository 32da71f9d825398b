// Relief carving. Each bit's stock is predicted from the design by dilations and erosions with the bits (Serra 1982):
//   tips    T = dilation of the design by the bit: how low the tip may go
//   reach   F = erosion of T: what the bit leaves when it has been everywhere
//   stock   S = min of what every pass so far has swept
// Roughing clears the regions { tips with allowance ≤ z } level by level. Finishing then runs its lines over the predicted
// stock in thought; where one line alone would take too much (channels and steps that the larger bit could not enter) the
// place is opened first, level by level, by the finishing bit itself, until every line takes what it may. What the lines
// leave standing on steep walls is followed level by level.
#include "burin/toolpath/relief.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "burin/base/error.hpp"
#include "burin/toolpath/offset.hpp"
#include "clearing.hpp"
#include "contours.hpp"
#include "lines.hpp"
#include "walls.hpp"

namespace burin {
namespace {

using Mask = Grid<std::uint8_t>;
constexpr float untouched = 1e6F;

void lower(HeightMap& stock, const HeightMap& swept) {
    for (std::size_t k = 0; k < stock.size(); ++k) stock.values()[k] = std::min(stock.values()[k], swept.values()[k]);
}
bool any(const Mask& mask) {
    return std::any_of(mask.values().begin(), mask.values().end(), [](auto v) { return v != 0; });
}

float lowest_of(const HeightMap& map) { return *std::min_element(map.values().begin(), map.values().end()); }

/// Greatest slope at which the feed still goes down no faster than the plunge.
double ramp_of(const ReliefBit& bit) { return std::clamp(0.8 * bit.plunge / bit.feed, 0.02, 0.2); }

/// Loops lie so close that the ridges between them stay below a quarter of the level's height.
LevelOrder level_order(const ReliefBit& bit, double z, double spacing, double tolerance) {
    LevelOrder order;
    order.z = z;
    order.stepover = std::min(0.9 * bit.bit.radius(), bit.bit.width_at(spacing / 4));
    order.tolerance = tolerance;
    order.ramp = ramp_of(bit);
    order.most = bit.depth_per_pass;
    order.diameter = bit.bit.diameter();
    order.most_peck = bit.bit.spec().centre_cutting ? bit.depth_per_pass : 0;
    order.flat = bit.bit.shape() == BitShape::flat;
    return order;
}

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

/// Clears { tips ≤ z } for levels no farther apart than `spacing`, where the bit meets stock. Lowers `stock`.
void rough(Pen& pen, const ReliefBit& bit, const HeightMap& design, double g, double spacing, HeightMap& stock, const Crew& crew) {
    const HeightMap tips = tips_with_allowance(bit.bit, design, g, crew), meets = offset_for(bit.bit, stock, crew);
    const double deepest = -static_cast<double>(lowest_of(tips));
    if (deepest < 0.02) return;
    const int levels = std::max(1, static_cast<int>(std::ceil(deepest / spacing - 1e-6)));
    const double cells = bit.bit.radius() / design.cell();
    const bool flat = bit.bit.shape() == BitShape::flat;  // other bits leave ridges between their loops
    HeightMap cleared = design.like(untouched);
    for (int k = 1; k <= levels; ++k) {
        crew.check();
        crew.say("roughing", static_cast<double>(k) / levels);
        const double z = -deepest * k / levels, above = -deepest * (k - 1) / levels;
        const auto limit = static_cast<float>(z) + 1e-5F;
        Mask region = design.like(std::uint8_t{0});
        for (std::size_t c = 0; c < region.size(); ++c) region.values()[c] = tips.values()[c] <= limit && meets.values()[c] > limit + 0.05F;
        drop_specks(region, std::max(2, static_cast<int>(cells * cells / 4)));
        if (!any(region)) continue;
        for (std::size_t c = 0; flat && c < region.size(); ++c)
            if (region.values()[c]) cleared.values()[c] = static_cast<float>(z);
        pen.pass("roughing level", z);
        clear_level(pen, region, &meets, above, level_order(bit, z, deepest / levels, 0.02), flat ? nullptr : &cleared);
    }
    lower(stock, swept_by(bit.bit, cleared, crew));
}

/// Opens by levels what the lines must not take at once: positions within the bit of a marked cell.
bool open_up(Pen& pen, const ReliefBit& bit, const HeightMap& tips, const Mask& marked, double spacing, HeightMap& stock,
             const Crew& crew) {
    const Mask near = grown(marked, bit.bit.radius() + 2 * tips.cell());
    const HeightMap meets = offset_for(bit.bit, stock, crew);
    HeightMap reached = tips.like(untouched);
    float lowest = 0;
    for (std::size_t c = 0; c < tips.size(); ++c)
        if (near.values()[c]) lowest = std::min(lowest, tips.values()[c]);
    const int levels = static_cast<int>(std::ceil(-static_cast<double>(lowest) / spacing - 1e-6));
    bool opened = false;
    for (int k = 1; k <= levels; ++k) {
        const double z = std::max(-spacing * k, static_cast<double>(lowest));
        const auto limit = static_cast<float>(z) + 1e-5F;
        Mask region = tips.like(std::uint8_t{0});
        bool here = false;
        for (std::size_t c = 0; c < region.size(); ++c)
            if (near.values()[c] && tips.values()[c] <= limit && meets.values()[c] > limit + 0.02F) {
                region.values()[c] = 1;
                here = true;
            }
        if (!here) continue;
        opened = true;
        pen.pass("opening level", z);
        clear_level(pen, region, &meets, -spacing * (k - 1), level_order(bit, z, spacing, 0.005), &reached);
    }
    if (opened) lower(stock, swept_by(bit.bit, reached, crew));
    return opened;
}

std::vector<double> lines_over(const HeightMap& tips, double stepover) {
    std::vector<double> lines;
    std::vector<float> row;
    const double first = tips.centre(0, 0).y, last = tips.centre(0, tips.height() - 1).y;
    for (int k = 0; first + k * stepover <= last + 1e-9; ++k) {
        tip_row(tips, first + k * stepover, row);
        if (*std::min_element(row.begin(), row.end()) < -1e-4F) lines.push_back(first + k * stepover);
    }
    return lines;
}

/// Marks cells where more than `most` is buried over a disc: stock all over it higher by `most` than the reach anywhere in
/// it. A slot or a pit is such a place; the skin that roughing leaves on a slope, thin sideways, is not.
void mark_buried(const HeightMap& stock, const HeightMap& reach, double radius, double most, Mask& marks, const Crew& crew) {
    const HeightMap low = eroded_by_disc(stock, radius, crew), high = dilated_by_disc(reach, radius, crew);
    for (std::size_t c = 0; c < marks.size(); ++c)
        if (static_cast<double>(low.values()[c] - high.values()[c]) > most) marks.values()[c] = 1;
}

/// Opens what the lines must not take or would not reach, until they may run. Returns what they leave.
HeightMap open_for_lines(Pen& pen, const ReliefBit& bit, const HeightMap& tips, const HeightMap& reach, const std::vector<double>& lines,
                         const ReliefOrder& order, HeightMap& stock, const Crew& crew) {
    const double most = (bit.depth_per_pass + order.allowance) * order.take, spacing = std::min(bit.depth_per_pass, most);
    for (int round = 0;; ++round) {
        crew.check();
        crew.say("finishing", round / 4.0);
        LinesTaken taken = run_lines(bit.bit, tips, stock, lines, {most, order.allowance}, crew);
        Mask& marks = taken.too_much;
        if (round == 0) mark_buried(stock, reach, order.allowance, most, marks, crew);
        const Mask missed = left_standing(taken.stock, reach, std::max(0.5 * spacing, order.scallop + 0.02), crew);
        for (std::size_t c = 0; c < marks.size(); ++c) marks.values()[c] |= missed.values()[c];
        if (round == 4 || !any(marks) || !open_up(pen, bit, tips, marks, spacing, stock, crew)) return std::move(taken.stock);
    }
}

/// Takes what the lines left standing: on steep walls level by level, elsewhere in lines as close as the cells.
void clean_up(Pen& pen, const ReliefBit& bit, const HeightMap& tips, const HeightMap& reach, const HeightMap& meets,
              const ReliefOrder& order, const LinesOrder& line_order, HeightMap& left, const Crew& crew) {
    std::vector<double> rows;
    for (int j = 0; j < tips.height(); ++j) rows.push_back(tips.centre(0, j).y);
    double drop = order.stepover;
    for (int round = 0; round < 4; ++round) {
        const Mask standing = left_standing(left, reach, order.scallop + 0.003, crew);
        if (!any(standing)) return;
        const Mask where = grown(standing, bit.bit.radius() + tips.cell());
        HeightMap reached = tips.like(untouched);
        if (round == 1 || round == 3) {
            pen.pass("close lines", static_cast<double>(lowest_of(tips)));
            write_lines(pen, tips, meets, rows, &where, line_order);
            for (std::size_t c = 0; c < tips.size(); ++c)
                if (where.values()[c]) reached.values()[c] = tips.values()[c];
        } else {
            pen.pass("steep walls", static_cast<double>(lowest_of(tips)));
            follow_walls(pen, tips, meets, where, {drop, order.tolerance, 0.5}, reached);
            drop /= 2;
        }
        lower(left, swept_by(bit.bit, reached, crew));
    }
}

void finish(Pen& pen, const ReliefBit& bit, const HeightMap& design, const ReliefOrder& order, HeightMap& stock, const Crew& crew) {
    const HeightMap tips = offset_for(bit.bit, design, crew), reach = swept_by(bit.bit, tips, crew);
    const std::vector<double> lines = lines_over(tips, order.stepover);
    HeightMap left = open_for_lines(pen, bit, tips, reach, lines, order, stock, crew);
    const HeightMap meets = offset_for(bit.bit, stock, crew);
    LinesOrder line_order;
    line_order.stepover = order.stepover;
    line_order.tolerance = order.tolerance;
    line_order.one_way = order.one_way;
    line_order.sharp =
        bit.bit.shape() == BitShape::flat || bit.bit.shape() == BitShape::drill || bit.bit.round_radius() < 3 * design.cell();
    pen.pass("lines", static_cast<double>(lowest_of(tips)));
    write_lines(pen, tips, meets, lines, nullptr, line_order);
    clean_up(pen, bit, tips, reach, meets, order, line_order, left, crew);
    stock = std::move(left);
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

}  // namespace

ReliefPlan plan_relief(const HeightMap& design, const ReliefOrder& order, const Crew& crew) {
    check_bits(design, order);
    ReliefPlan plan;
    HeightMap stock = design.like(0.F);
    for (std::size_t k = 0; k < order.bits.size(); ++k) {
        const ReliefBit& bit = order.bits[k];
        const bool last = k + 1 == order.bits.size();
        Pen pen(bit.feed, bit.plunge, order.safe_height);
        if (!last || order.bits.size() == 1) {
            double spacing = bit.depth_per_pass * std::min(1.0, order.take);
            for (std::size_t q = k + 1; q < order.bits.size(); ++q) spacing = std::min(spacing, order.bits[q].depth_per_pass);
            rough(pen, bit, design, order.allowance, spacing, stock, crew);
        }
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
