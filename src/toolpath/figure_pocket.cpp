// Pockets: figures or their ground lowered to a flat floor.
//
// Each bit, the largest first, clears what it can get at and what no bit before it could: bit k with radius r may put its tip where
// the figure shrunk by r lets it (erosion), and covers the figure's opening (Serra 1982); what that leaves is the next one's. Beside
// the walls an allowance stays until the floor is reached, and is taken by a last pass along the wall.
// Cost: an offset for each ring of the clearing, and the length of the ways.
#include <fmt/format.h>

#include <cmath>

#include "burin/base/error.hpp"
#include "burin/toolpath/figures.hpp"
#include "figure_arcs.hpp"
#include "figure_clear.hpp"
#include "figure_follow.hpp"
#include "figure_order.hpp"
#include "figure_parts.hpp"
#include "figure_walls.hpp"

namespace burin {
namespace {

constexpr double floor_scallop = 0.012;  // mm between the lines of bits that are not flat
constexpr double sliver = 0.004;         // mm: what is thinner is not left over for the next bit

/// One connected figure of places of the tip.
struct Piece {
    LineIndex rough{{}};
    std::vector<Clearing> floors;
    std::vector<Wall> walls;
};

class Pocket {
public:
    Pocket(const FigureDesign& design, const FigureOrder& order, const ReliefBit& bit, const Crew& crew)
        : crew_(crew), pen_(bit.feed, bit.plunge, order.safe_height) {
        walls_.rules = cut_rules(bit, order.take);
        walls_.floor = design.floor;
        walls_.allowance = order.allowance;
        walls_.left = wall_allowance(order.allowance, 2 * half_at(bit.bit, design.floor));
        walls_.tolerance = order.tolerance;
        clear_.rules = walls_.rules;
        clear_.stepover = clearing_step(bit.bit, floor_scallop);
        walls_.left = std::min(walls_.left, clear_.stepover);  // bits that are not flat leave a ridge between
        clear_.conventional = order.conventional;
        clear_.raster = order.raster;
        clear_.row_inset = bit.bit.shape() == BitShape::flat ? 0.45 * clear_.stepover : 0;
    }
    /// All places of the tip, figure by figure. Returns the ways left out for want of room for a ramp.
    std::size_t cut(const std::vector<Figure>& tips) {
        std::vector<std::vector<Point>> outers;
        std::vector<Stop> stops;
        for (const Figure& figure : tips) {
            outers.push_back(figure.outer);
            stops.push_back({figure.outer.front(), figure.outer.front(), entries_of(figure.outer)});
        }
        std::vector<Piece> pieces(tips.size());
        const Crew one = single(crew_);
        in_parallel(crew_, static_cast<int>(tips.size()), [&](int k) {
            crew_.check();
            pieces[static_cast<std::size_t>(k)] = piece_of(tips[static_cast<std::size_t>(k)], one);
        });
        const std::vector<Turn> turns = inner_first(outers, stops, flat(pen_.at()), crew_);
        detailed_ = turns.size() <= 100;
        if (!detailed_) pen_.pass("pockets", walls_.floor);
        std::size_t left_out = 0;
        for (const Turn& turn : turns) {
            crew_.check();
            left_out += cut(pieces[turn.stop]);
            pieces[turn.stop] = {};
        }
        return left_out;
    }
    Pen& pen() { return pen_; }

private:
    [[nodiscard]] Piece piece_of(const Figure& tips, const Crew& crew) const {
        Piece piece;
        const std::vector<Figure> inner = shrunk(alone(tips), walls_.left, 0.002, crew);
        piece.rough = LineIndex(lines_of(loops_of(inner)));
        for (const Figure& figure : inner) piece.floors.emplace_back(figure, clear_, crew);
        std::vector<Polyline> lines = lines_of(loops_of({tips}));
        if (clear_.conventional)
            for (Polyline& line : lines) std::reverse(line.points.begin(), line.points.end());
        piece.walls = plan_walls(lines, piece.rough, walls_);
        return piece;
    }
    std::size_t cut(Piece& piece) {
        std::size_t left_out = 0;
        if (detailed_ && !piece.floors.empty()) pen_.pass("floor", walls_.floor);
        const std::vector<double> levels = levels_to(walls_.floor, walls_.rules.step);
        for (const Clearing& floor : piece.floors) left_out += floor.cut(pen_, levels, 0);
        if (detailed_) pen_.pass("walls", walls_.floor);
        std::vector<Stop> stops;
        for (const Wall& wall : piece.walls) stops.push_back({wall.points.front(), wall.points.front(), entries_of(wall.points)});
        for (const Turn& turn : short_tour(stops, flat(pen_.at()), crew_)) {
            Wall& wall = piece.walls[turn.stop];
            wall.begin = turn.entry;
            cut_wall(pen_, wall, piece.rough, walls_);
        }
        return left_out;
    }

    const Crew& crew_;
    Pen pen_;
    WallOrder walls_;
    ClearOrder clear_;
    bool detailed_ = true;
};

}  // namespace

FigurePlan plan_pocket(const FigureDesign& design, const FigureOrder& order, const Crew& crew) {
    if (design.may.empty() || !(design.floor < 0))
        throw Error(Fault::refused,
                    "There is nothing to lower: the figure is empty. Check the drawing, its threshold, --invert and --part.");
    FigurePlan plan;
    const Region may = simplified(design.may, simpler);
    Region rest = may;
    for (std::size_t k = 0; k < order.bits.size() && !rest.empty(); ++k) {
        const ReliefBit& bit = order.bits[k];
        const bool last = k + 1 == order.bits.size();
        if (last || bit.bit.spec().cutting_length >= -design.floor) check_depth(bit.bit, -design.floor);
        if (bit.bit.spec().cutting_length < -design.floor) {
            plan.notes.push_back(fmt::format("The bit {} is too short for the floor and gets no program.", bit.bit.name()));
            continue;
        }
        crew.say("pocket", static_cast<double>(k) / static_cast<double>(order.bits.size()));
        const double half = half_at(bit.bit, design.floor);
        std::vector<Figure> tips = shrunk(may, half - fit, 0.002, crew);
        if (!plan.paths.empty()) tips = common(Region(loops_of(tips)), offset_by(rest, half + 0.1, 0.01)).figures();
        Pocket pocket(design, order, bit, crew);
        const std::size_t left_out = pocket.cut(tips);
        if (left_out > 0)
            plan.notes.push_back(fmt::format("In {} places the bit {} finds no room to ramp in, and it does not cut at its centre.",
                                             left_out, bit.bit.name()));
        if (!pocket.pen().started()) {
            plan.notes.push_back(fmt::format("The bit {} found nothing to do and gets no program.", bit.bit.name()));
            continue;
        }
        pocket.pen().retract();
        plan.paths.push_back({k, with_arcs(pocket.pen().take(), order)});
        rest = plan.paths.size() == 1 ? out_of_reach(may, half - fit, sliver, crew)
                                      : opened_by(without(rest, offset_by(Region(loops_of(tips)), half + 0.003, 0.002)), sliver);
    }
    if (plan.paths.empty())
        throw Error(Fault::refused, fmt::format("The bit {} is wider than the figure everywhere. Take a thinner bit or a larger --width.",
                                                order.bits.back().bit.name()));
    plan.unreached = opened_by(rest, 0.01);
    return plan;
}

}  // namespace burin
