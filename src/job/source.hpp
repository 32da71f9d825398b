#pragma once
/// What a cut is made from: a picture, or figures in millimetres from a traced picture, lettering, a shape, an SVG.
#include <initializer_list>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/design/drawing.hpp"
#include "burin/job/job.hpp"
#include "burin/picture/picture.hpp"

namespace burin {

struct Source {
    std::string name;           ///< for people: the file, the text, the shape
    std::string sha256;         ///< of the file; empty: none was read
    Picture picture;            ///< no pixels: there is none
    Drawing drawing;            ///< figures only
    std::vector<Region> steps;  ///< of a stepped pocket: every step from the top down, each within the one before
    Region dropped;             ///< by tracing
    Box picture_box;            ///< where the whole picture lies in the drawing's millimetres; without a size: nothing to be shown
};

/// Throws Error (usage) where options are given that say nothing: they belong to `needed`.
void check_in_vain(const Cut& cut, const char* needed, std::initializer_list<const char*> options);

/// Reads what the one cut of the job is made from, and makes its figures. Throws Error: usage (no source or several, no size), input
/// (files, fonts), refused (nothing to cut).
[[nodiscard]] Source load_source(const Job& job, const Crew& crew);

/// The job with the size that `fit` asks of its one cut, listed as reckoned; without it the job as it is. Shapes keep their
/// proportions. Throws as load_source does; usage where a size or no stock is given; refused where nothing fits.
[[nodiscard]] Job fitted(const Job& job, const Crew& crew);

}  // namespace burin
