#pragma once
/// The steps between a photo and a card that can be measured; for card_photo.cpp and tests.
#include <optional>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/design/card.hpp"
#include "burin/design/card_photo.hpp"
#include "card_marks.hpp"

namespace burin {

/// Where the card lies in the photo.
struct SeenCard {
    Homography to_photo{};  ///< card mm → photo pixels
    std::array<Point, 4> marks;
    bool lighter = false;
};
/// The four of the marks that are this card's: they lie as its marks do, and the dots between them are its dots. `other`: set where four
/// lie as a card's but the dots are another's.
[[nodiscard]] std::optional<SeenCard> card_among(const std::vector<SeenMark>& marks, const HeightMap& light, const Card& card, bool& other);

/// The photo's light between its pixels' middles, straight in both directions; beyond the edge the edge's.
[[nodiscard]] double light_at(const HeightMap& light, const Point& p);
/// Fewest and most pixels to a millimetre anywhere on the card, in any direction.
struct PhotoScale {
    double least = 0, most = 0;
};
[[nodiscard]] PhotoScale photo_scale(const Homography& to_photo, const Card& card);
/// The card seen straight on; each cell the mean of as many places as it has pixels.
[[nodiscard]] HeightMap straightened(const HeightMap& light, const Homography& to_photo, const Card& card, double cell, const Crew& crew);
/// Divides the light by what falls on the bare surface there: a cubic surface through the logarithm of all that is bare, by least squares
/// that leave out what sticks out (Tukey's biweight). Throws Error (refused) where too little is bare or black.
void even_out(HeightMap& straight, const Card& card);
/// Mean over a box, cells cut by its edges counted by their share.
[[nodiscard]] double mean_over(const HeightMap& straight, const Box& box);

}  // namespace burin
