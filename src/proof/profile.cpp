// A bit's shape as the sweep needs it, and a piece of way in its own frame.
#include <algorithm>
#include <cmath>

#include "sweep.hpp"

namespace burin::proving {

// Cells exactly on the rim are common, for tips run along cell centres. A point looked for on the rim must not fall outside it by
// the rounding of floats. mm
constexpr double rounding = 1e-5;

Profile profile_of(const Bit& bit, bool cuts_on_rim) {
    const BitSpec& s = bit.spec();
    Profile p;
    const double radius = bit.radius();
    double flat = 0, round = 0, touch = 0, cone = 0;
    switch (bit.shape()) {
        case BitShape::flat:
            p.kind = Profile::Kind::disc;
            flat = radius;
            break;
        case BitShape::ball:
            p.kind = Profile::Kind::ball;
            round = radius;
            break;
        case BitShape::vee:
            flat = s.tip / 2;
            cone = 1 / std::tan(s.angle / 2);
            break;
        case BitShape::drill:
            cone = 1 / std::tan(s.angle / 2);
            break;
        case BitShape::taper:
            p.kind = Profile::Kind::taper;
            round = s.tip / 2;
            touch = round * std::cos(s.angle);
            cone = 1 / std::tan(s.angle);
            break;
        case BitShape::bull:
            flat = radius - s.tip;
            round = s.tip;
            if (round > 0)
                p.kind = Profile::Kind::bull;
            else
                p.kind = Profile::Kind::disc, flat = radius;
            break;
    }
    p.radius = static_cast<float>(radius);
    p.radius2 = static_cast<float>(radius * radius);
    const double edge = radius + (cuts_on_rim ? rounding : -rounding), rim = edge - rounding;
    p.rim2 = static_cast<float>(rim * rim);
    p.edge2 = static_cast<float>(edge * edge);
    p.flat = static_cast<float>(flat);
    p.round = static_cast<float>(round);
    p.touch = static_cast<float>(touch);
    p.touch2 = static_cast<float>(touch * touch);
    p.touch_rise = static_cast<float>(round - std::sqrt(std::max(0.0, round * round - touch * touch)));
    p.cone = static_cast<float>(cone);
    return p;
}

Profile cylinder(double radius) {
    Profile p;
    p.kind = Profile::Kind::disc;
    p.radius = p.flat = static_cast<float>(radius);
    p.radius2 = static_cast<float>(radius * radius);
    p.rim2 = p.radius2;
    p.edge2 = static_cast<float>((radius + rounding) * (radius + rounding));
    return p;
}

Dip::Dip(const Bit& bit) : radius_(bit.radius()), top_(bit.rise(bit.radius())) {
    constexpr int steps = 1024;
    if (!(top_ > 0)) return;
    steps_per_mm_ = steps / top_;
    at_.resize(steps + 2, radius_);
    for (int k = 0; k <= steps; ++k) {
        double low = 0, high = radius_;
        const double height = k / steps_per_mm_;
        for (int n = 0; n < 40; ++n) {
            const double middle = (low + high) / 2;
            (bit.rise(middle) <= height ? low : high) = middle;
        }
        at_[static_cast<std::size_t>(k)] = high;
    }
}

Piece piece_between(const Point3& from, const Point3& to, const Dip& dip) {
    Piece p;
    const double dx = to.x - from.x, dy = to.y - from.y, length = std::sqrt(dx * dx + dy * dy), low = std::min(from.z, to.z);
    p.x = from.x, p.y = from.y;
    p.dip = static_cast<float>(dip(-low)) + 1e-4F;
    if (length < 1e-6) {
        p.z = static_cast<float>(low);
        return p;
    }
    p.z = static_cast<float>(from.z);
    p.slope = static_cast<float>((to.z - from.z) / length);
    p.ux = static_cast<float>(dx / length);
    p.uy = static_cast<float>(dy / length);
    p.length = static_cast<float>(length);
    return p;
}

}  // namespace burin::proving
