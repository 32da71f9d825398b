/// The coating of a board is burnt off between its copper, or, as a mask, over it. The spot's rim, not its middle, is to be the copper's
/// line, so the beam's width is taken off afterwards: its middle runs half a spot inside what is burnt (Serra 1982: erosion). A gap that
/// is narrower than the spot would stay coated, and what stays coated is not etched: a short. So such places are found before.
#include "burin/design/coating.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/design/trace.hpp"
#include "burin/shape/medial_axis.hpp"
#include "gaps.hpp"

namespace burin {
namespace {

constexpr std::size_t most_told = 5;
constexpr double hair = 0.004;        // mm: half the width that is left of a narrow opening about its middle
constexpr double least_slack = 0.02;  // mm: a cell of the proof
constexpr double thin = 0.02;         // mm: a squeeze beyond it is worth a warning

std::string counted(std::size_t n, const char* one, const char* many) {
    return n == 1 ? fmt::format("A {}", one) : fmt::format("{} {}", n, many);
}

/// Parts of openings that no spot fits in, without the crumbs in their corners.
Closed look_at_openings(const Region& artwork, const CoatingWishes& wishes, const Crew& crew) {
    Closed closed;
    const double spot = wishes.least;
    const Region rest = without(artwork, offset_by(opened_by(artwork, spot / 2), spot / 20));
    for (const Figure& figure : rest.figures()) {
        std::vector<Loop> loops{figure.outer};
        if (Region(loops).area() < spot * spot / 4) continue;
        loops.insert(loops.end(), figure.holes.begin(), figure.holes.end());
        const Region place(loops);
        NarrowGap gap;
        for (const AxisNode& node : medial_axis(place, 0.01, crew).nodes)
            if (2 * node.radius > gap.width) gap.at = node.at, gap.width = 2 * node.radius;
        gap.squeezed = gap.width >= spot - 2 * wishes.squeeze;
        if (gap.squeezed)
            // The middle ends where the spot's rim meets the opening's end.
            for (const MiddleLine& line : middle_lines(offset_by(place, hair - gap.width / 2), crew)) closed.middles.push_back(line.line);
        closed.gaps.push_back(gap);
    }
    narrowest_first(closed.gaps);
    return closed;
}

std::string what_opens(const NarrowGap& gap, const CoatingWishes& wishes) {
    const double wide = wishes.follows ? gap.width + 2 * wishes.squeeze : gap.width * wishes.spot / wishes.least;
    const double spot = std::floor(wide * 1000) / 1000;
    std::string text = spot >= 0.005 ? fmt::format("a spot of {:.3f} mm or less gets in", spot) : std::string("no spot gets in");
    if (wishes.follows && wishes.squeeze < wishes.spot / 2)
        text += fmt::format(", or --squeeze {:.3f}, which takes so much off either side",
                            std::ceil((wishes.least + 2 * gap_spare - gap.width) / 2 * 1000) / 1000);
    return text;
}

void refuse_narrow(const Closed& closed, const CoatingWishes& wishes) {
    const auto shut = [](const NarrowGap& gap) { return gap.joins && !gap.squeezed; };
    const auto count = static_cast<std::size_t>(std::count_if(closed.gaps.begin(), closed.gaps.end(), shut));
    if (count == 0) return;
    std::string text = counted(count, wishes.mask ? "place of the openings" : "gap of the copper",
                               wishes.mask ? "places of the openings" : "gaps of the copper");
    text += fmt::format(" {} too narrow for the beam, which needs {:.3f} mm; the coating would stay there, {}:", count == 1 ? "is" : "are",
                        wishes.least, wishes.mask ? "and no solder would hold" : "and etching would leave the copper joined");
    std::size_t told = 0;
    for (const NarrowGap& gap : closed.gaps)
        if (shut(gap) && told++ < most_told)
            text += fmt::format("\n  {:.3f} mm at X{:.2f} Y{:.2f}: {}.", gap.width, gap.at.x, gap.at.y, what_opens(gap, wishes));
    if (count > most_told) text += fmt::format("\n  and {} more.", count - most_told);
    if (!wishes.follows) text += "\nRows alone may miss a gap: --cover filled follows its edges, where the power is scaled (--power-mode).";
    text += "\nFocus the laser more finely and put its measured spot into the machine's file, or make the board larger.";
    throw Error(Fault::refused, text);
}

void tell(CoatingDesign& design, const CoatingWishes& wishes) {
    const BoardDesign& board = design.board;
    const std::size_t pieces = board.copper.figures().size();
    design.notes.push_back(wishes.mask ? fmt::format("The drawing holds {} {}.", pieces, pieces == 1 ? "opening" : "openings")
                                       : fmt::format("The drawing holds {} {} of copper.", pieces, pieces == 1 ? "piece" : "pieces"));
    design.notes.push_back(
        fmt::format("The beam's middle keeps {:.3f} mm, half its spot, inside what is burnt: the coating's edge is the drawing's line.",
                    wishes.spot / 2));
    if (!wishes.mask && wishes.around == 0)
        design.notes.emplace_back(
            "All of the drawing that is not copper is bared; --around 1 bares 1 mm round the copper alone, and is quicker.");
    std::size_t squeezed = 0, notches = 0;
    for (const NarrowGap& gap : board.gaps) (gap.squeezed ? squeezed : notches) += 1;
    if (squeezed > 0)
        design.warnings.push_back(
            fmt::format("{} narrower than the spot {} burnt along the middle all the same: the coating beside it loses up to {:.3f} mm "
                        "(--squeeze).",
                        counted(squeezed, "place", "places"), squeezed == 1 ? "is" : "are",
                        std::max(0.0, (wishes.spot - board.gaps.front().width) / 2)));
    if (notches > 0)
        design.notes.push_back(fmt::format("{} within one piece of copper {} too narrow for the spot and {} coated, which joins nothing.",
                                           counted(notches, "gap", "gaps"), notches == 1 ? "is" : "are", notches == 1 ? "stays" : "stay"));
    if (wishes.squeeze > thin && squeezed > 0)
        design.warnings.push_back(
            fmt::format("--squeeze {:.3g} may take so much of the coating on either side of narrow places: acid eats under it as well, and "
                        "thin tracks get thinner.",
                        wishes.squeeze));
}

}  // namespace

CoatingDesign plan_coating(const Region& artwork, const Region& field, const CoatingWishes& wishes, const Crew& crew) {
    if (artwork.empty())
        throw Error(Fault::refused, "The drawing holds no copper, so there is nothing to keep or to open. Is it the right layer?");
    CoatingDesign design;
    Closed closed;
    if (wishes.mask) {
        closed = look_at_openings(artwork, wishes, crew);
        design.burnt = artwork;
    } else {
        const double radius = wishes.least / 2 + gap_spare;
        // Rows alone cannot follow a middle: nothing is squeezed then.
        closed = look_at_gaps(artwork, offset_by(artwork, radius), radius, wishes.follows ? wishes.squeeze : 0, crew);
        const Region round = offset_by(artwork, std::max(wishes.around, 2 * wishes.spot));
        design.burnt = without(wishes.around > 0 ? round : united(field, round), artwork);
    }
    refuse_narrow(closed, wishes);
    if (design.burnt.empty()) throw Error(Fault::refused, "The copper fills the whole drawing, so no coating is burnt off.");
    design.middles = std::move(closed.middles);
    design.board = {artwork, 0, wishes.spot, std::max(least_slack, wishes.squeeze + 0.01), std::move(closed.uncut), std::move(closed.gaps)};
    tell(design, wishes);
    return design;
}

}  // namespace burin
