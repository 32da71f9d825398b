#pragma once
/// Pictures of a traced piece over its photo.
#include <array>
#include <optional>
#include <string>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/design/slice.hpp"
#include "burin/workshop/material.hpp"
#include "burin/workshop/stock.hpp"

namespace burin {

/// The straightened photo as it is.
[[nodiscard]] std::string straight_png(const StraightPhoto& photo);
/// With the piece's lines drawn on it: blue its edge, orange its wood, and what lies beside it paler. The piece in the photo's mm.
[[nodiscard]] std::string traced_png(const StraightPhoto& photo, const TracedPiece& piece, const Crew& crew);

/// What a job leaves, on the photo of its piece: the photo's colours under the light that falls on the cut surface; what is filled or burnt
/// in its colour. `photo` shows stock.piece->photo_box. Throws Error (refused) where the surface is empty.
[[nodiscard]] std::string on_piece_png(const HeightMap& surface, const Stock& stock, const Picture& photo, const Material& material,
                                       const Crew& crew, const std::optional<std::array<double, 3>>& fill = {},
                                       const Grid<float>* burnt = nullptr);

}  // namespace burin
