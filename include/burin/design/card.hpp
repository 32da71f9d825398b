#pragma once
/// Test cards: patches of known grooves or burns, from whose photo the tone of a material is learned.
#include <array>
#include <string>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/design/figure.hpp"
#include "burin/design/trace.hpp"
#include "burin/workshop/bit.hpp"

namespace burin {

enum class CardKind { grooves, beam };

/// What stands on a card. Lengths mm, feeds mm/min.
struct CardWishes {
    CardKind kind = CardKind::grooves;
    int patches = 11;   ///< of the grey wedge, the bare one included, 3…40
    double patch = 8;   ///< side of a patch, 3…40
    std::string title;  ///< cut along the upper edge, as small as it must be; what the alphabet lacks is left out
    // Grooves.
    double pitch = 1;  ///< from groove to groove; at coverage 1 they touch
    double depth = 1;  ///< of the depth ladder's deepest groove; wider ones than the bit are left out
    // Beam.
    double spacing = 0.1;        ///< of the scan lines
    double watts = 5;            ///< of the beam at full power
    std::vector<double> powers;  ///< of the grid: shares 0…1 of full power
    std::vector<double> feeds;   ///< of the grid; the wedge runs at the slowest of them
    friend bool operator==(const CardWishes&, const CardWishes&) = default;
};

/// A square of parallel grooves, or burnt by scan lines.
struct CardPatch {
    Box box;
    double amount = 0;           ///< as ToneCurve counts it: share covered, or J/mm²; 0: bare
    double power = 0, feed = 0;  ///< beam: share of full power
};
/// One upright groove of a ladder, alone, from `low` to `high` (its round ends included).
struct CardRung {
    Point low, high;
    double depth = 0, width = 0;  ///< as the nominal bit makes it
};
/// A ring with a disc in its middle.
struct CardMark {
    Point centre;
    double disc = 0;  ///< radius
};
/// One place of the row that tells cards apart: filled, or bare.
struct CardDot {
    Box box;
    bool filled = false;
};

/// What lies where. x to the right, y up, the card's lower left corner at (0, 0).
struct Card {
    static constexpr double ring_outer = 4.5, ring_inner = 3.4;  ///< radii of a mark's ring
    static constexpr double small_disc = 1.4, large_disc = 2.4;  ///< of its disc: large at the lower left, small at the others
    CardWishes wishes;
    double width = 0, height = 0;
    std::array<CardMark, 4> marks;  ///< lower left (the one with the large disc), lower right, upper right, upper left
    std::vector<CardPatch> patches;
    std::vector<CardRung> rungs;    ///< the depth ladder, then the width ladder; none on a beam's card
    std::vector<CardDot> dots;      ///< from left to right, a checksum of all that lies on the card
    std::vector<Polyline> letters;  ///< to be followed once
};

/// The card for wishes; `bit` makes its grooves (a beam's card: not asked). Same wishes, same card.
/// Throws Error: usage (numbers out of range, no powers or feeds), refused (a bit that is as wide at its tip as above, a pitch wider than
/// the bit).
[[nodiscard]] Card card_for(const CardWishes& wishes, const Bit* bit);

/// Depth at which the bit's groove is `width` wide at the stock top; 0 where its tip alone is wider.
[[nodiscard]] double depth_for_width(const Bit& bit, double width);

/// The card's grooves with its lower left corner at `at`, in work coordinates: a design for plan_grooves and the proof. Depths follow from
/// widths: d = (w − t)/(2 tan(θ/2)) for a vee (plane geometry).
[[nodiscard]] FigureDesign card_grooves(const Card& card, const Bit& bit, const Point& at);

/// What a vee bit really is, from the widths that its grooves have: least squares of w = t + 2 d tan(θ/2).
struct VeeFit {
    double angle = 0;     ///< θ, radians
    double tip = 0;       ///< t, mm; may come out below 0 where the depths are not what was asked for
    double residual = 0;  ///< root mean square, mm
};
/// Pairs of depth (x) and width (y). Throws Error (refused): fewer than three, all of one depth, widths that do not grow.
[[nodiscard]] VeeFit fit_vee(const std::vector<Point>& depths_widths);

}  // namespace burin
