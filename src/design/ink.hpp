#pragma once
/// How much of each pixel of a drawing is ink.
#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/design/trace.hpp"
#include "burin/picture/picture.hpp"

namespace burin {

/// Counts of values 0 … 1.
inline constexpr int histogram_bins = 4096;
using Histogram = std::array<std::uint64_t, histogram_bins>;

/// Values outside 0 … 1 count as the nearest of both.
[[nodiscard]] Histogram histogram_of(const HeightMap& values, const Crew& crew);

/// The value between two classes whose means lie apart the most, by their variance (Otsu 1979); in the middle of the empty bins that
/// part them equally well.
[[nodiscard]] double otsu_threshold(const Histogram& histogram);

/// The value below which a share of those in bins first … last lies.
[[nodiscard]] double quantile(const Histogram& histogram, int first, int last, double share);

/// T = m (1 + k (s / 0.5 − 1)) for values 0 … 1, m mean and s standard deviation of a square window of `window` pixels (odd),
/// mirrored at the border (Sauvola and Pietikäinen 2000, with R = 0.5). Cost: the same for any window.
[[nodiscard]] HeightMap sauvola_threshold(const HeightMap& values, int window, double k, const Crew& crew);

/// The values over those of the paper around them, so that an unevenly lit sheet becomes even. What is paper is told by Sauvola's
/// threshold; under large areas of ink the paper is taken from around them.
void level_light(HeightMap& values, const Crew& crew);

/// A drawing's ink.
struct Ink {
    Grid<float> share;     ///< 0.5 on the line; 0 on paper and 1 in ink, unless a threshold set by hand lies elsewhere than midway between
                           ///< both; pixels, row 0 lowest, cells of 1
    double threshold = 0;  ///< coded value of the line, 0 where there is none for the whole picture
    std::vector<std::string> notes, warnings;
};

/// Throws Error (refused): a blank picture, or a photo where a drawing is wanted; Error (usage): an ink colour that is none.
[[nodiscard]] Ink ink_of(const Picture& picture, const TraceWishes& wishes, const Crew& crew);

}  // namespace burin
