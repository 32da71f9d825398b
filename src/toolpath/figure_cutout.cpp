// Cut-outs: right through the stock beside the line, inner lines before outer ones, over holding tabs, with a skin left to the end
// where that is asked for.
#include <fmt/format.h>

#include "burin/base/error.hpp"
#include "burin/toolpath/figures.hpp"
#include "figure_arcs.hpp"
#include "figure_follow.hpp"

namespace burin {

FigurePlan plan_cutout(const FigureDesign& design, const FigureOrder& order, const Crew& crew) {
    if (design.may.empty() || !(design.floor < 0))
        throw Error(Fault::refused, "There is nothing to cut out: the figure is empty. Check the drawing, its threshold and --invert.");
    const ReliefBit& bit = order.bits.back();
    check_depth(bit.bit, -design.floor);
    FigurePlan plan;
    for (std::size_t k = 0; k + 1 < order.bits.size(); ++k)
        plan.notes.push_back(fmt::format("The piece is cut out by the last bit alone; {} gets no program.", order.bits[k].bit.name()));
    const double thickness = -(design.floor + design.breakthrough);
    if (order.onion_skin > 0 && order.onion_skin >= thickness)
        throw Error(Fault::refused, fmt::format("The onion skin of {:.2f} mm is no thinner than the stock, {:.2f} mm. Leave a thinner one.",
                                                order.onion_skin, thickness));
    FollowOrder follow{bit, order.allowance, order.safe_height, order.tolerance, order.take, order.onion_skin, order.conventional};
    Followed followed = follow_walls(design, follow, crew);
    if (!followed.anything)
        throw Error(Fault::refused, fmt::format("The bit {} is too wide to get round the piece anywhere. Take a thinner bit or a larger "
                                                "--width.",
                                                bit.bit.name()));
    plan.unreached = std::move(followed.unreached);
    plan.paths.push_back({order.bits.size() - 1, with_arcs(std::move(followed.path), order)});
    return plan;
}

}  // namespace burin
