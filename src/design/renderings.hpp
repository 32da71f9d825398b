#pragma once
/// What the ways from picture to heights share inside this room.
#include <string>
#include <vector>

#include "burin/design/cells.hpp"
#include "burin/design/heights.hpp"
#include "burin/shape/filters.hpp"

namespace burin {

/// What was said on the way.
struct Remarks {
    std::vector<std::string> notes, warnings;
};

/// Cells (as on_cells makes them) of which at least half is opaque; empty where all are. Throws Error (refused) where none is.
[[nodiscard]] Mask opaque_cells(const Picture& picture, double width, double height, double cell, const Crew& crew);

/// Radius of the window, mm, that parts small detail from large form: 1.5 mm, about what a ball bit of 1 mm can still
/// show, but no more than a sixteenth of the picture.
[[nodiscard]] double detail_radius(const HeightMap& map);

/// base + strength × (map − base), base being the map without its small detail.
void strengthen_detail(HeightMap& map, double strength, const Crew& crew);

/// Brings values from [low, high] to [0, 1] and cuts off what lies outside.
void to_unit(HeightMap& map, double low, double high, const Crew& crew);

/// The tones taken as black and white: the percentiles asked for, or the whole span where they fall together.
/// `unit` and `factor` name tones in sentences. Throws Error (refused): the picture has no contrast.
[[nodiscard]] Range levels_of(const HeightMap& tones, const Mask& counted, const HeightsWishes& wishes, const std::string& unit,
                              double factor, Remarks& remarks, const Crew& crew);

/// The renderings, each on the job's cells, before border, transparency and steepest slope: heights in mm.
[[nodiscard]] HeightMap map_heights(const Picture&, const Mask& counted, const HeightsWishes&, Remarks&, const Crew&);
[[nodiscard]] HeightMap tone_heights(const Picture&, const Mask& counted, const HeightsWishes&, Remarks&, const Crew&);
[[nodiscard]] HeightMap sculpt_heights(const Picture&, const Mask& counted, const HeightsWishes&, Remarks&, const Crew&);
[[nodiscard]] HeightMap dome_heights(const Picture&, const Mask& counted, const HeightsWishes&, Remarks&, const Crew&);
[[nodiscard]] HeightMap transmit_heights(const Picture&, const Mask& counted, const HeightsWishes&, Remarks&, const Crew&);

/// What a bas-relief takes for grain, detail and form. Contrasts are of the picture's span.
struct Carving {
    double grain;          ///< what is levelled beforehand, as attenuation lifts whatever is small
    double form_contrast;  ///< what stands out less than this, and only at small scale, is detail
    double detail_limit;   ///< detail is held down towards this
    double detail_share;   ///< of detail in the relief, at strength 1
};
/// Photos carry grain and texture (fur, leaves, weave) that would drown the forms; attenuation lifts detail about
/// threefold, so a third of it is enough.
inline constexpr Carving photo_carving{0.02, 0.2, 0.03, 0.3};
/// Maps of depths carry forms alone, however low: all of their detail stays while the high steps shrink.
inline constexpr Carving depth_carving{0.002, 0.03, 0.3, 1};

/// What attenuation and integration make of tones (0 … 1 for the picture's span): see sculpt.cpp. Up to a constant.
[[nodiscard]] HeightMap sculpted(HeightMap tones, const Carving& carving, double smooth, double detail, const Crew& crew);

}  // namespace burin
