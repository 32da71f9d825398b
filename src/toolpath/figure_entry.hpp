#pragma once
/// Lines that the bit follows level by level: how it gets down, and what it does where a level has nothing to take; inside the
/// room only.
#include <optional>
#include <vector>

#include "burin/toolpath/relief.hpp"
#include "figure_rail.hpp"
#include "pen.hpp"

namespace burin {

/// What a bit may do in one cut. Lengths mm.
struct CutRules {
    double most = 1;         ///< m
    double ramped = 1;       ///< of m, what a ramp and its slot may take together
    double step = 1;         ///< levels lie no farther apart than this
    double ramp = 0.1;       ///< greatest slope of a ramp
    double diameter = 2;     ///< of the bit
    double foot = 2;         ///< diameter of what of it is no steeper than a slope
    double engaged = 1;      ///< share of the diameter that stands in the stock: 1 in a slot
    bool plunges = true;     ///< the bit cuts at its centre
    double clearance = 0.3;  ///< above stock, for rapids
};
/// `take`: the share of what is allowed that is planned with; ramps give up half as much of theirs.
[[nodiscard]] CutRules cut_rules(const ReliefBit& bit, double take);

/// Heights from the first cut down to `floor`, evenly spaced.
[[nodiscard]] std::vector<double> levels_to(double floor, double step);

/// Where the tip may be along a line: the lowest it goes. Two points one above the other are a step.
struct TipLine {
    std::vector<Point3> tip;
    bool closed = false;
    bool one_way = false;             ///< the last pass of each level goes as the points do
    std::optional<Point> begin = {};  ///< closed: where to come in, about; else near the pen
};

/// Cuts the line down to z, or to the tip's own height where that is higher. It was cut down to `above` before (0: not at all), and
/// stands untouched on top. The bit ramps in along the line, stays down where it is on it already, walks over short places where
/// there is nothing to take, lifts over long ones. Returns whether there was anything to take.
bool cut_level(Pen& pen, const TipLine& line, double above, double z, const CutRules& rules);

/// How far levels along a line may lie apart: on slopes the foot of the bit takes some of what may be taken at once.
[[nodiscard]] double step_along(const TipLine& line, const CutRules& rules);

/// All levels, one after the other.
void cut_levels(Pen& pen, const TipLine& line, const std::vector<double>& levels, const CutRules& rules);

/// Straight down from the stock at `above` to z in pecks.
void plunge(Pen& pen, double above, double z, const CutRules& rules);

/// Down from where the pen is, over the closed rail at length s, to z, ramping round it; returns the length reached.
double ramp_round(Pen& pen, const Rail& rail, double s, double above, double z, const CutRules& rules);

/// Once round the closed line at z from the length nearest to the pen, down by a ramp where the pen is higher, a little past its start.
void cut_round(Pen& pen, const Rail& rail, double above, double z, const CutRules& rules);

/// Whether a ramp round a closed line of that length would go round too often to be sensible.
[[nodiscard]] bool too_short_to_ramp(double length, double down, const CutRules& rules);

}  // namespace burin
