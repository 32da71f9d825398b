// Outlines inside or outside the line, and outlines on it (grooves), in several passes with a last one along the wall.
#include <fmt/format.h>

#include "burin/base/error.hpp"
#include "burin/toolpath/figures.hpp"
#include "figure_arcs.hpp"
#include "figure_follow.hpp"

namespace burin {

FigurePlan plan_outline(const FigureDesign& design, const FigureOrder& order, const Crew& crew) {
    if (!design.grooves.empty()) return plan_grooves(design, order, crew);
    if (design.may.empty() || !(design.floor < 0))
        throw Error(Fault::refused, "There is nothing to outline: the figure is empty. Check the drawing, its threshold and --invert.");
    const ReliefBit& bit = order.bits.back();
    check_depth(bit.bit, -design.floor);
    FigurePlan plan;
    for (std::size_t k = 0; k + 1 < order.bits.size(); ++k)
        plan.notes.push_back(fmt::format("The line is followed by the last bit alone; {} gets no program.", order.bits[k].bit.name()));
    FollowOrder follow{bit, order.allowance, order.safe_height, order.tolerance, order.take, 0, order.conventional};
    Followed followed = follow_walls(design, follow, crew);
    if (!followed.anything)
        throw Error(Fault::refused, fmt::format("The bit {} is too wide to get anywhere along the line on this side. Take a thinner bit, a "
                                                "larger --width or another --side.",
                                                bit.bit.name()));
    plan.unreached = std::move(followed.unreached);
    plan.paths.push_back({order.bits.size() - 1, with_arcs(std::move(followed.path), order)});
    return plan;
}

}  // namespace burin
