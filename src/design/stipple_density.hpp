#pragma once
/// How dense dots, or the places of one line, lie where; inside the room only.
#include <string>
#include <vector>

#include "burin/design/stipple.hpp"

namespace burin::dots {

/// Area of a disc.
[[nodiscard]] double disc_area(double diameter);

/// Coverage held within 0 … 1 and below what can be shown.
struct Tones {
    Grid<float> share;
    double asked = 0, too_dark = 0;  ///< mm² asked for, and of those above the darkest
    double darkest = 0;              ///< share that is left at most
    double scale = 1;                ///< of the share, where there are too few dots for all of it
};
[[nodiscard]] Tones tones_of(const Grid<float>& coverage, double cap);

/// Places per mm² that a share asks for. Dots: k √share, but no denser than dots of the least diameter, no sparser than those of the most
/// show the share with. Lines: k share, likewise between the densities at which lines of the least and the most width show it: the way over
/// n places per mm² is about √n mm per mm² long, so a line w wide covers some w √n.
struct Density {
    double k = 0;
    double least = 0, most = 0;  ///< diameters, or widths
    bool line = false;
    [[nodiscard]] double at(double share) const;
};
[[nodiscard]] double count_of(const Grid<float>& share, const Density& density);

/// Share of all that have the least or the most size.
[[nodiscard]] double share_at_limits(const Grid<float>& share, const Density& density);

/// How many, as wished or as the tones need, and the density that gives them. Where they are too few, the share is
/// made smaller so that they suffice. Tells in `notes` what does not fit. Throws Error (refused)
/// above two million.
[[nodiscard]] std::size_t number_of(Tones& tones, const StippleWishes& wishes, Density& density, std::vector<std::string>& notes);

}  // namespace burin::dots
