#pragma once
// The bit's way through the stock, one straight piece at a time; inside the room only.
#include <vector>

#include "burin/base/point.hpp"
#include "burin/workshop/bit.hpp"

namespace burin::proving {

/// A bit as four parts from the axis outwards: flat, round, cone, side.
struct Profile {
    enum class Kind { disc, disc_cone, ball, taper, bull };
    Kind kind = Kind::disc_cone;
    float radius = 0, radius2 = 0;
    float rim2 = 0, edge2 = 0;  ///< squared distances: where a way steeper than the bit meets a cell; from where on it does not
    float flat = 0;             ///< radius of the flat middle
    float round = 0;            ///< radius of the round part
    float touch = 0;            ///< distance from the axis at which round goes over into cone
    float touch2 = 0;
    float touch_rise = 0;
    float cone = 0;  ///< rise per mm of distance on the cone
};
/// `cuts_on_rim`: whether a cell exactly on the rim counts as cut, which is to be expected half the time.
[[nodiscard]] Profile profile_of(const Bit& bit, bool cuts_on_rim);
/// What of a bit does not cut: a cylinder with a flat underside.
[[nodiscard]] Profile cylinder(double radius);

/// No farther from the axis than this lies the bit's surface below a height above its tip; from Bit::rise alone.
class Dip {
public:
    explicit Dip(const Bit& bit);
    explicit Dip(double radius) : radius_(radius) {}
    [[nodiscard]] double operator()(double height) const {
        if (at_.empty() || !(height < top_)) return radius_;  // a flat bit has no dip: its whole width counts at any height
        return height <= 0 ? at_.front() : at_[static_cast<std::size_t>(height * steps_per_mm_) + 1];
    }

private:
    double radius_ = 0, top_ = 0, steps_per_mm_ = 0;
    std::vector<double> at_;
};

/// One straight piece of way of the tip. Only the part of it in X and Y has a length: 0 is straight down or up.
struct Piece {
    double x = 0, y = 0;   ///< where it starts
    float z = 0;           ///< the tip there; straight down: the lower end
    float slope = 0;       ///< rise of the tip per mm of way in X and Y
    float ux = 1, uy = 0;  ///< direction
    float length = 0;
    float dip = 0;  ///< no cell farther from the way is touched
};
[[nodiscard]] Piece piece_between(const Point3& from, const Point3& to, const Dip& dip);

/// Rows of the stock in the hands of one worker. Rows lie `pitch` floats apart; each has room for at least eight floats
/// more than `width` on the right, whose surface is far below everything.
struct Band {
    float* surface = nullptr;
    float* taken = nullptr;   ///< removed in the stride of way under way
    float* before = nullptr;  ///< removed in the stride before it
    int width = 0, rows = 0, pitch = 0;
    int own_first = 0, own_last = 0;  ///< the rows whose figures count; the others are a margin
    double x = 0, y = 0, cell = 0;    ///< centre of the band's cell (0, 0)
};

enum class Use {
    cut,     ///< remove, and note what was taken
    plunge,  ///< remove
    probe    ///< look only
};

/// What one piece did in the own rows of a band.
struct Touched {
    float volume = 0;  ///< sum of heights removed, mm (times the area of a cell: mm³); probes: 0
    float most = 0;    ///< greatest height removed; probes: the deepest touch
    float taken = 0;   ///< cut: greatest height removed in this stride and the one before, in the cells touched
    int first_column = 0, last_column = -1, first_row = 0, last_row = -1;  ///< the cells looked at, margin included
};

/// Exact at every cell centre, up to the rounding of floats (under 0.0001 mm; bull-nose bits on a slope 0.001). `been`: the bit has just
/// cut its way to where the piece starts, so what is under it there is gone already.
void sweep(const Profile& bit, const Piece& piece, Use use, const Band& band, Touched& touched, bool been = false);

/// Lowest height of the bit over one point while it goes along the piece; 1e9 where it does not come.
[[nodiscard]] float lowest_over(const Profile& bit, const Piece& piece, const Point& point);

}  // namespace burin::proving
