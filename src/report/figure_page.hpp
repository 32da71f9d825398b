#pragma once
/// What the page says of a drawing that became a figure.
#include <string>
#include <vector>

#include "burin/report/report.hpp"

namespace burin::page {

/// The traced lines over the picture: a <figure>, beside the preview.
[[nodiscard]] std::string traced_figure(const JobReport& report, const Crew& crew);
/// Whether whole areas are lowered, and not only what lies along lines.
[[nodiscard]] bool lowers_areas(const FigureDesign& design);
/// What is lowered, else the traced lines, where that lies on the stock: path data of an SVG in hundredths of a millimetre of the work
/// coordinates, y downwards.
[[nodiscard]] std::string figure_lines(const FigureReport& figure);
/// The figure, and in red what none of its bits can enter: an <svg>.
[[nodiscard]] std::string lost_picture(const FigureReport& figure, const FigureLosses& losses, const std::vector<Bit>& bits);
/// The section on what was traced and lost, and how grooves will look. Empty without a figure.
[[nodiscard]] std::string figure_section(const JobReport& report, const Crew& crew);

/// For other drawings of figures: the head of an SVG in hundredths of a millimetre, y downwards; path data of a region, and grooves as
/// wide as the bit cuts them, with as many corners as the eye can see on a page that shows `size` mm.
[[nodiscard]] std::string svg_begin(const Box& view, std::string_view title);
[[nodiscard]] std::string region_path(const Region& region, double size);
[[nodiscard]] std::string grooves_svg(const std::vector<Groove>& grooves, const Bit& bit, double size, std::string_view colour);

}  // namespace burin::page
