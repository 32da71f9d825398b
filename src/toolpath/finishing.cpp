// Finishing runs its lines over the predicted stock in thought. Where one line alone would take too much (channels and
// steps that the larger bit could not enter), or would not come close enough, the place is opened first, level by level, by
// the finishing bit itself. Then the lines are cut, and what they leave standing is followed level by level or in lines as
// close as the cells, until the stock meets the bit's reach.
#include "finishing.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/toolpath/offset.hpp"
#include "clearing.hpp"
#include "contours.hpp"
#include "lines.hpp"
#include "stock_plan.hpp"
#include "turning.hpp"
#include "walls.hpp"

namespace burin {
namespace {

/// Opens by levels what the lines must not take at once: positions within the bit of a marked cell.
bool open_up(Pen& pen, const ReliefBit& bit, const HeightMap& tips, Mask&& marked, double spacing, HeightMap& stock, const Crew& crew) {
    const Mask near = grown(std::move(marked), bit.bit.radius() + 2 * tips.cell());
    const HeightMap meets = offset_for(bit.bit, stock, crew);
    HeightMap reached = tips.like(untouched);
    float lowest = 0;
    for (std::size_t c = 0; c < tips.size(); ++c)
        if (near.values()[c]) lowest = std::min(lowest, tips.values()[c]);
    const int levels = static_cast<int>(std::ceil(-static_cast<double>(lowest) / spacing - 1e-6));
    const auto worth = static_cast<float>(std::min(0.02, 0.4 * spacing));
    bool opened = false;
    for (int k = 1; k <= levels; ++k) {
        const double z = std::max(-spacing * k, static_cast<double>(lowest));
        const auto limit = static_cast<float>(z) + 1e-5F;
        Mask region = tips.like(std::uint8_t{0});
        bool here = false;
        for (std::size_t c = 0; c < region.size(); ++c)
            if (near.values()[c] && tips.values()[c] <= limit && meets.values()[c] > limit + worth) {
                region.values()[c] = 1;
                here = true;
            }
        if (!here) continue;
        opened = true;
        pen.pass("opening level", z);
        clear_level(pen, std::move(region), &meets, -spacing * (k - 1), level_order(bit, z, spacing, 0.005), &reached);
    }
    if (opened) lower_swept(stock, bit.bit, reached, crew);
    return opened;
}

std::vector<double> lines_over(const HeightMap& tips, double stepover) {
    std::vector<double> lines;
    std::vector<float> row;
    const double first = tips.centre(0, 0).y, last = tips.centre(0, tips.height() - 1).y;
    for (int k = 0; first + (k - 1) * stepover < last - 1e-9; ++k) {
        const double y = std::min(first + k * stepover, last);  // the last row is cut too: it may be the stock's edge
        tip_row(tips, y, row);
        if (*std::min_element(row.begin(), row.end()) < -1e-4F) lines.push_back(y);
    }
    return lines;
}

/// Cells where more than `most` is buried over a disc: stock all over it higher by `most` than the reach anywhere in it. A
/// slot or a pit is such a place; the skin that roughing leaves on a slope, thin sideways, is not.
Mask buried(const HeightMap& stock, HeightMap reach, double radius, double most, const Crew& crew) {
    const HeightMap high = dilated_by_disc(reach, radius, crew);
    reach = {};
    const HeightMap low = eroded_by_disc(stock, radius, crew);
    Mask marks = stock.like(std::uint8_t{0});
    for (std::size_t c = 0; c < marks.size(); ++c) marks.values()[c] = static_cast<double>(low.values()[c] - high.values()[c]) > most;
    return marks;
}

void mark_too(Mask& marks, const Mask& more) {
    for (std::size_t c = 0; c < marks.size(); ++c) marks.values()[c] |= more.values()[c];
}

/// The finishing lines: rows of a frame that is turned by the wanted angle.
struct Raster {
    Frame frame;
    HeightMap turned_tips;      // empty where nothing is turned
    const HeightMap* tips;      // in the frame
    std::vector<double> lines;  // y in the frame

    Raster(const HeightMap& job_tips, const ReliefOrder& order) : frame{order.angle, job_tips.bounds().centre()}, tips(&job_tips) {
        if (frame.turned()) turned_tips = into_frame(job_tips, frame), tips = &turned_tips;
        lines = lines_over(*tips, order.stepover);
    }
    Raster(const Raster&) = delete;
    Raster& operator=(const Raster&) = delete;
};

/// Positions that a turned line passes within half a cell. Beside walls, where the line keeps higher than the cell's own
/// tip could go, it counts as it runs.
HeightMap passed(const Raster& raster, const HeightMap& tips, double stepover) {
    HeightMap reached = tips.like(untouched);
    const double angle = raster.frame.angle, cell = tips.cell();
    const double near = cell / 2 * (std::abs(std::cos(angle)) + std::abs(std::sin(angle))) + 1e-6;
    const double first = raster.tips->centre(0, 0).y;
    const auto kept_off = static_cast<float>(1.5 * cell);
    for (int j = 0; j < tips.height(); ++j)
        for (int i = 0; i < tips.width(); ++i) {
            const Point p = raster.frame.from_job(tips.centre(i, j));
            const double line = std::round((p.y - first) / stepover) * stepover;
            if (std::abs(p.y - first - line) > near) continue;
            const int a = static_cast<int>(std::floor((p.x - raster.tips->origin().x) / cell)),
                      b = static_cast<int>(std::lround(line / cell));
            const float runs = raster.tips->holds(a, b) ? (*raster.tips)(a, b) : 0.F;
            reached(i, j) = runs > tips(i, j) + kept_off ? runs : tips(i, j);
        }
    return reached;
}

LinesTaken run_raster(const Bit& bit, const Raster& raster, const HeightMap& tips, const HeightMap& stock, double stepover,
                      const TakeLimits& limits, const Crew& crew) {
    if (!raster.frame.turned()) return run_lines(bit, *raster.tips, stock, raster.lines, limits, crew);
    LinesTaken in_frame = run_lines(bit, *raster.tips, into_frame(stock, raster.frame), raster.lines, limits, crew);
    LinesTaken taken{stock, out_of_frame(in_frame.too_much, stock, raster.frame), in_frame.count};
    // Turning blurs walls, counting whole cells blurs slopes: what either still sees standing stands.
    HeightMap swept = swept_by(bit, passed(raster, tips, stepover), crew);
    const HeightMap seen = out_of_frame(in_frame.stock, stock, raster.frame);
    for (std::size_t c = 0; c < swept.size(); ++c) swept.values()[c] = std::max(swept.values()[c], seen.values()[c]);
    lower(taken.stock, swept);
    return taken;
}

/// Cells where the stock stands more than `most` above what the bit can reach.
Mask standing_above_reach(const Bit& bit, const HeightMap& tips, const HeightMap& stock, double most, const Crew& crew) {
    Mask standing = stock.like(std::uint8_t{0});
    for (const RowBand& band : bands_of(stock.height(), bit_rows(bit, stock))) {
        const HeightMap reach = swept_by(bit, rows_of(tips, band.low, band.high), crew);
        const Mask part = left_standing(rows_of(stock, band.low, band.high), reach, most, crew);
        for (int j = band.first; j < band.last; ++j) std::copy_n(part.row(j - band.low), stock.width(), standing.row(j));
    }
    return standing;
}

/// Opens what the lines must not take or would not reach, until they may run. Returns what they leave.
HeightMap open_for_lines(Pen& pen, const ReliefBit& bit, const HeightMap& tips, const Raster& raster, const ReliefOrder& order,
                         HeightMap& stock, const Crew& crew) {
    const double most = (bit.depth_per_pass + order.allowance) * order.take, spacing = std::min(bit.depth_per_pass, most);
    Mask marks = buried(stock, swept_by(bit.bit, tips, crew), order.allowance, most, crew);
    for (int round = 0;; ++round) {
        crew.check();
        crew.say("finishing", round / 5.0);
        LinesTaken taken = run_raster(bit.bit, raster, tips, stock, order.stepover, {most, order.allowance}, crew);
        mark_too(marks, taken.too_much);
        mark_too(marks, standing_above_reach(bit.bit, tips, taken.stock, std::max(0.5 * spacing, order.scallop + 0.02), crew));
        if (round == 4 || !any(marks)) return std::move(taken.stock);
        taken = {};
        if (!open_up(pen, bit, tips, std::move(marks), spacing, stock, crew)) round = 3;
        marks = tips.like(std::uint8_t{0});
    }
}

/// Positions from where the bit takes something of what stands.
Mask takers(const Bit& bit, const HeightMap& tips, const HeightMap& left, const Mask& standing, const Crew& crew) {
    Mask where = left.like(std::uint8_t{0});
    const int w = left.width();
    for (const RowBand& band : bands_of(left.height(), bit_rows(bit, left))) {
        if (std::none_of(standing.row(band.low), standing.row(band.high - 1) + w, [](auto v) { return v != 0; })) continue;
        HeightMap stands = rows_of(left, band.low, band.high);
        for (int j = band.low; j < band.high; ++j)
            for (int i = 0; i < w; ++i)
                if (!standing(i, j)) stands(i, j - band.low) = -untouched;
        const HeightMap meets = offset_for(bit, stands, crew);
        for (int j = band.first; j < band.last; ++j)
            for (int i = 0; i < w; ++i) where(i, j) = meets(i, j - band.low) > tips(i, j) + 0.002F;
    }
    return where;
}

/// Whether cell (i, j) is a slot one cell wide for lines along the rows (or columns): a wall on both sides.
bool is_slot(const HeightMap& tips, int i, int j, bool columns) {
    const auto at = [&](int a, int b) { return tips.holds(a, b) ? tips(a, b) : 0.F; };
    const float before = columns ? at(i, j - 1) : at(i - 1, j), after = columns ? at(i, j + 1) : at(i + 1, j);
    return std::min(before, after) > tips(i, j) + static_cast<float>(5 * tips.cell());
}

/// Where lines along rows (or columns) over the marked places bring the tip: everywhere but into slots one cell wide.
void mark_entered(const HeightMap& tips, const Mask& where, bool columns, HeightMap& reached) {
    for (int j = 0; j < tips.height(); ++j)
        for (int i = 0; i < tips.width(); ++i)
            if (where(i, j) && !is_slot(tips, i, j, columns)) reached(i, j) = tips(i, j);
}

/// Goes straight down into holes that no line enters, lifting out after each depth per pass.
void peck_holes(Pen& pen, const ReliefBit& bit, const HeightMap& tips, const HeightMap& meets, const Mask& where, HeightMap& reached) {
    if (!bit.bit.spec().centre_cutting) return;
    LevelOrder order = level_order(bit, 0, bit.depth_per_pass, 0);
    for (int j = 0; j < tips.height(); ++j)
        for (int i = 0; i < tips.width(); ++i) {
            if (!where(i, j) || !is_slot(tips, i, j, false) || !is_slot(tips, i, j, true)) continue;
            order.z = static_cast<double>(tips(i, j));
            const Point at = tips.centre(i, j);
            const double top = highest_near(meets, at);
            pen.approach(at, top + order.clearance);
            pen.cut({at.x, at.y, top});
            peck(pen, at, top, order);
            reached(i, j) = tips(i, j);
        }
}

/// Lines as close as the cells over the marked places, along the rows of the frame.
void close_lines(Pen& pen, const HeightMap& tips, const HeightMap& meets, const Mask& where, const Frame& frame, const LinesOrder& order) {
    std::vector<double> rows;
    const bool turned = frame.turned();
    const HeightMap turned_tips = turned ? into_frame(tips, frame) : HeightMap{},
                    turned_meets = turned ? into_frame(meets, frame) : HeightMap{};
    const HeightMap& use = turned ? turned_tips : tips;
    for (int j = 0; j < use.height(); ++j) rows.push_back(use.centre(0, j).y);
    if (!turned) return write_lines(pen, tips, meets, rows, &where, order);
    const Mask turned_where = out_of_frame(where, use, {-frame.angle, frame.centre});
    pen.use(frame);
    write_lines(pen, turned_tips, turned_meets, rows, &turned_where, order);
    pen.use(Frame{});
}

/// Takes what the lines left standing: on steep walls level by level, elsewhere in lines as close as the cells, along the
/// rows and then along the columns; holes that only a straight plunge enters last.
void clean_up(Pen& pen, const ReliefBit& bit, const HeightMap& tips, const HeightMap& meets, const ReliefOrder& order,
              const LinesOrder& line_order, HeightMap& left, const Crew& crew) {
    double drop = order.stepover;
    for (int round = 0; round < 6; ++round) {
        const Mask where = takers(bit.bit, tips, left, standing_above_reach(bit.bit, tips, left, order.scallop + 0.003, crew), crew);
        if (!any(where)) return;
        HeightMap reached = tips.like(untouched);
        if (round == 0 || round == 3) {
            pen.pass("steep walls", static_cast<double>(lowest_of(tips)));
            follow_walls(pen, tips, meets, where, {drop, order.tolerance, 0.5}, reached);
            drop /= 2;
        } else if (round == 4) {
            pen.pass("holes", static_cast<double>(lowest_of(tips)));
            peck_holes(pen, bit, tips, meets, where, reached);
        } else {
            pen.pass("close lines", static_cast<double>(lowest_of(tips)));
            const Frame frame{round == 2 ? std::numbers::pi / 2 : 0, tips.bounds().centre()};
            close_lines(pen, tips, meets, where, frame, line_order);
            mark_entered(tips, where, frame.turned(), reached);
        }
        lower_swept(left, bit.bit, reached, crew);
    }
}

}  // namespace

void finish(Pen& pen, const ReliefBit& bit, const HeightMap& design, const ReliefOrder& order, HeightMap& stock, const Crew& crew) {
    const HeightMap tips = offset_for(bit.bit, design, crew);
    const Raster raster(tips, order);
    HeightMap left = open_for_lines(pen, bit, tips, raster, order, stock, crew);
    const HeightMap meets = offset_for(bit.bit, stock, crew);
    stock = {};
    LinesOrder line_order;
    line_order.stepover = order.stepover;
    line_order.tolerance = order.tolerance;
    line_order.one_way = order.one_way;
    const bool bull = bit.bit.shape() == BitShape::bull;
    line_order.sharp = bit.bit.shape() == BitShape::flat || (bull && bit.bit.round_radius() < 3 * design.cell());
    pen.pass("lines", static_cast<double>(lowest_of(tips)));
    if (raster.frame.turned()) {
        LinesOrder turned_order = line_order;
        turned_order.wall = turned_wall;
        pen.use(raster.frame);
        write_lines(pen, *raster.tips, into_frame(meets, raster.frame), raster.lines, nullptr, turned_order);
        pen.use(Frame{});
    } else {
        write_lines(pen, tips, meets, raster.lines, nullptr, line_order);
    }
    for (std::size_t c = 0; c < order.seen.size(); ++c) left.values()[c] = std::max(left.values()[c], order.seen.values()[c]);
    clean_up(pen, bit, tips, meets, order, line_order, left, crew);
    stock = std::move(left);
}

}  // namespace burin
