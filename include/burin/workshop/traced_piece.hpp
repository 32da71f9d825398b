#pragma once
/// A piece of material as it is: its outline from a photo, bark and wood apart; and the file that holds it.
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/shape/edge_distance.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// Valid from construction: one piece without holes, its wood within its outer edge.
class TracedPiece {
public:
    /// mm. `outer`: the edge of the piece, bark and all; `wood`: what of it may be cut, the same where there is no bark.
    /// Throws Error (usage) unless each is one figure and the wood lies within (0.05 mm of slack), or thickness ≤ 0.
    TracedPiece(const Loop& outer, const Loop& wood, double thickness);

    [[nodiscard]] const Region& outer() const { return outer_; }
    [[nodiscard]] const Region& wood() const { return wood_; }
    [[nodiscard]] double thickness() const { return thickness_; }
    [[nodiscard]] bool has_bark() const { return !(outer_ == wood_); }
    /// Whether p lies on the wood, or no farther than `slack` mm from it; below 0: at least so far inside.
    [[nodiscard]] bool holds(const Point& p, double slack) const;

    std::string photo;         ///< file of the straightened photo, empty: none; in the stock's file told from where that lies
    Box photo_box;             ///< what it shows, mm
    std::vector<Point> marks;  ///< on or beside the piece, to find its place by

private:
    Region outer_, wood_;
    double thickness_;
    EdgeSearch search_;
};

/// The piece, all of it shifted.
[[nodiscard]] TracedPiece shifted(const TracedPiece& piece, const Point& by);

/// Our own file of a piece, TOML: thickness, outer, wood (lists of [x, y] in mm), photo, photo-box, marks.
/// `origin` names the file in sentences. Throws Error (usage): not such a file, a key wrong or missing, a line that crosses itself,
/// more than 20,000 corners.
[[nodiscard]] TracedPiece read_traced_piece(std::string_view toml, const std::string& origin);
[[nodiscard]] std::string write_traced_piece(const TracedPiece& piece);

}  // namespace burin
