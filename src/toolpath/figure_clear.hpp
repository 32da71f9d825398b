#pragma once
/// Clearing a figure's floor: ways from which the bit leaves nothing standing; inside the room only.
#include <cstddef>
#include <memory>
#include <vector>

#include "figure_entry.hpp"

namespace burin {

struct ClearOrder {
    CutRules rules;
    double stepover = 1;       ///< from the tip's way to any place of the region at most this
    double tolerance = 0.005;  ///< mm, for offsets
    bool conventional = false;
    bool raster = false;
    double row_inset = 0;  ///< rows end so far inside the edge; row_inset + stepover / 2 must be within the bit's reach
};

/// The ways over one figure of places of the tip.
class Clearing {
public:
    Clearing(const Figure& figure, const ClearOrder& order, const Crew& crew);
    ~Clearing();
    Clearing(Clearing&&) noexcept;
    Clearing& operator=(Clearing&&) noexcept;
    /// Clears it down to each of the levels; `above`: what stands there before. Lines where nothing but a straight plunge fits are
    /// left out when the bit does not plunge; their number is returned.
    std::size_t cut(Pen& pen, const std::vector<double>& levels, double above) const;

private:
    struct Ways;
    std::unique_ptr<Ways> ways_;
};

/// Clears figures of places of the tip, each of them to the last level before the next, in a short order.
std::size_t clear_figures(Pen& pen, const std::vector<Figure>& tips, const std::vector<double>& levels, const ClearOrder& order,
                          const Crew& crew, double above = 0);

/// The way sideways that leaves no more than `scallop` standing at the tip: for a flat bit nine tenths of its radius.
[[nodiscard]] double clearing_step(const Bit& bit, double scallop);

}  // namespace burin
