#pragma once
/// The photo of a finished card: found, straightened, evenly lit, measured.
#include <array>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/design/card.hpp"
#include "burin/picture/picture.hpp"
#include "burin/workshop/material.hpp"

namespace burin {

/// A map of the plane that keeps straight lines: (x, y) → ((h0 x + h1 y + h2)/w, (h3 x + h4 y + h5)/w), w = h6 x + h7 y + 1.
using Homography = std::array<double, 8>;
/// The one that takes each of four points to its partner: eight linear equations, solved by elimination with pivots. Throws Error
/// (refused) where three of the points lie on a line.
[[nodiscard]] Homography homography_of(const std::array<Point, 4>& from, const std::array<Point, 4>& to);
[[nodiscard]] Point mapped(const Homography& h, const Point& p);

/// A measured place of the tone: how often it counts beside others.
struct ToneSample {
    double amount = 0, darkness = 0, weight = 1;
};
/// The rising curve nearest to the samples, by weighted least squares (isotonic regression by pooling adjacent violators; Ayer, Brunk,
/// Ewing, Reid, Silverman 1955). One point for each amount, amounts rising strictly; it begins at (0, 0), and ends at darkness 1 where the
/// samples do. Throws Error (refused) where fewer than two amounts are left or the darkness never rises.
/// Amounts that differ by no more than the share `near` count as one, their mean.
[[nodiscard]] ToneCurve rising_curve(std::vector<ToneSample> samples, double near = 1e-9);

struct CardReading {
    std::array<Point, 4> marks;    ///< in the photo: pixels from its lower left corner, in the order of Card::marks
    double pixels_per_mm = 0;      ///< of the photo, where it shows the card smallest
    bool lighter = false;          ///< what was cut or burnt is lighter than the bare surface
    HeightMap straight;            ///< the card seen straight on and evenly lit: 1 the bare surface, linear light
    double contrast = 0;           ///< share of the light that the strongest patch takes away (or adds)
    std::vector<double> darkness;  ///< of every patch: 0 bare … 1 the strongest
    std::vector<double> widths;    ///< of every rung, mm
    ToneCurve curve;
    std::vector<std::string> warnings;
};

/// Finds the card's four marks in a photo taken from anywhere above, whichever way up, and measures what lies on it. Light may be uneven as
/// long as it changes smoothly.
/// Throws Error (refused), each saying what to do: no marks, fewer than four, another card, a card too small in the photo, out of focus,
/// patches that do not stand out from the bare surface.
/// Cost: some 20 passes over a reduced photo (half a second; grainy or pale ones 60 more), then the straightened card's cells.
[[nodiscard]] CardReading read_card(const Picture& photo, const Card& card, const Crew& crew);

}  // namespace burin
