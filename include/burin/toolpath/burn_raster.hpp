#pragma once
/// A picture burnt row by row: darkness → power → runs.
#include <cstdint>
#include <vector>

#include "burin/base/grid.hpp"
#include "burin/toolpath/burn_rows.hpp"
#include "burin/workshop/material.hpp"

namespace burin {

/// What the beam can do, and what it does to the material.
struct BurnTone {
    ToneCurve curve;       ///< exposure J/mm² → darkness; empty: unknown, then darkness is the share between least and most power
    double power_w = 5;    ///< of light at S `scale`
    double scale = 1000;   ///< S at full power
    double feed = 1000;    ///< mm/min
    double spacing = 0.1;  ///< mm from row to row
    double least_s = 0;    ///< least S that marks: what asks for less stays bare
    double most_s = 1000;  ///< greatest S to be used, at most `scale`
    int levels = 100;      ///< of exposure between bare and darkest; fewer make longer runs
};

/// Exposure at S: power ÷ (speed × spacing), J/mm².
[[nodiscard]] double exposure_of(const BurnTone& tone, double s);
/// S that shows this darkness (0 … 1), in whole numbers; 0: bare. What is darker than the beam can burn here gets most_s.
[[nodiscard]] std::uint16_t power_for(const BurnTone& tone, double darkness);
/// The darkness that S gives on this material; with an unknown curve the share that S has of most_s.
[[nodiscard]] double darkness_at(const BurnTone& tone, double s);
/// The feed, mm/min, at which `most_s` just gives the darkest tone of the curve; 0: the curve is unknown.
[[nodiscard]] double darkest_feed(const BurnTone& tone);

/// S for every cell. Cost: a look-up a cell.
[[nodiscard]] Grid<std::uint16_t> power_by_tone(const Grid<float>& darkness, const BurnTone& tone, const Crew& crew);
/// S where there is a dot, 0 elsewhere.
[[nodiscard]] Grid<std::uint16_t> power_by_dots(const Grid<std::uint8_t>& dots, std::uint16_t s);

/// A row through the middle of each row of cells, from the lowest; cells of equal power beside each other become one run.
[[nodiscard]] std::vector<BurnRow> rows_of(const Grid<std::uint16_t>& power);

}  // namespace burin
