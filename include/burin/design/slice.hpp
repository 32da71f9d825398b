#pragma once
/// A piece of wood in a photo: straightened, its outline found, bark and wood apart.
#include <optional>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/design/card_photo.hpp"
#include "burin/picture/picture.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// Places in a photo are pixels from its lower left corner (y up); those of the piece are mm. The lens counts as one that keeps straight
/// lines: its distortion is not reckoned with.

/// A camera that looked straight down: two places and the mm between them. Throws Error (usage) where they are the same.
[[nodiscard]] Homography view_by_distance(const Point& a, const Point& b, double mm);
/// A camera anywhere above: four places that are the corners of a rectangle of known size in the plane of the piece's top,
/// counter-clockwise from its lower left. Throws Error (usage) unless they go round so.
[[nodiscard]] Homography view_by_marks(const std::array<Point, 4>& corners, const Point& size);
/// Four printed marks (rings with a disc, the lower left one's large) as the test cards have them, found in the photo. Throws Error
/// (refused) where fewer are seen.
[[nodiscard]] std::array<Point, 4> printed_marks(const Picture& photo, const Crew& crew);

struct SliceWishes {
    bool bark = true;   ///< look for bark
    double smooth = 1;  ///< mm along the line: what is finer is roughness
};

struct SliceFound {
    Loop outer, wood;     ///< mm, counter-clockwise; the same where there is no bark
    double bark = 0;      ///< its mean width, mm
    double contrast = 0;  ///< how clearly the edge stands out, in spreads of the table's own texture
    double bark_contrast = 0;
    double sure = 0;  ///< share of the edge that is clear
    double pixels_per_mm = 0;
    std::vector<std::string> warnings;
};

/// The one piece on a plain table. Light may be uneven as long as it changes smoothly; soft shadows of the table's own colour are told from
/// the piece. Throws Error (refused), each saying what to do: nothing there, two pieces, it touches the photo's edge, too small in the
/// photo, not clear.
/// Cost: some passes over a photo reduced to 1600 pixels.
[[nodiscard]] SliceFound find_slice(const Picture& photo, const Homography& to_mm, const SliceWishes& wishes, const Crew& crew);
/// The same for an outline drawn by hand, without looking at the photo's colours. Throws Error (refused) where it crosses itself.
[[nodiscard]] SliceFound slice_by_hand(const Loop& outline, const Homography& to_mm);

/// 8 bits of red, green and blue, rows from the top; `pixel` mm each.
struct StraightPhoto {
    int width = 0, height = 0;
    double pixel = 1;
    Box box;
    std::vector<std::uint8_t> rgb;
};
/// What the photo shows of a box, seen straight from above; where it shows nothing, its edge goes on.
[[nodiscard]] StraightPhoto straight_photo(const Picture& photo, const Homography& to_mm, const Box& box, double pixel, const Crew& crew);
/// The other way round.
[[nodiscard]] Homography inverse_of(const Homography& h);

}  // namespace burin
