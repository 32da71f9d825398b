#pragma once
/// Drawings in the page, each a complete <svg> element.
#include <string>

#include "burin/report/burn_report.hpp"
#include "burin/report/report.hpp"

namespace burin::page {

/// The stock from above: zero, axes, sizes, the picture's place, the way of the bits, the spot to touch off Z.
[[nodiscard]] std::string plan_drawing(const JobReport& report);
/// The same for a beam: what is burnt hatched, the way of the head dashed.
[[nodiscard]] std::string plan_drawing(const BurnReport& report);
/// The stock from the side: spoilboard, top, deepest cut, safe height.
[[nodiscard]] std::string side_drawing(const JobReport& report);
/// A bit to scale, cutting part, shank and what sticks out of the collet.
[[nodiscard]] std::string bit_drawing(const Bit& bit, std::string_view colour);

/// Where the bits go, their radius included: clamps stay out of it.
[[nodiscard]] Box swept_box(const JobReport& report);
/// Highest z that any program moves at.
[[nodiscard]] double highest_z(const JobReport& report);
/// Lowest z that a program moves at, as it is written.
[[nodiscard]] double lowest_z(const JobReport& report, const ProgramFigures& program);
/// Lowest z that any program moves at, a lifted dry run put back down.
[[nodiscard]] double deepest_z(const JobReport& report);

}  // namespace burin::page
