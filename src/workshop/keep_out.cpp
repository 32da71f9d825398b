// Clamps and screws: what cannot be is turned away here, so that nobody has to ask again.
#include "burin/workshop/keep_out.hpp"

#include <fmt/format.h>

#include <cmath>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double farthest = 1e5;

void check(const std::string& name, const Box& bounds, double height) {
    for (const double value : {bounds.lo.x, bounds.lo.y, bounds.hi.x, bounds.hi.y, height})
        if (!(std::abs(value) <= farthest))
            throw Error(Fault::usage, fmt::format("'{}' cannot be: its places and its height are millimetres in work coordinates.", name));
}

}  // namespace

KeepOut::KeepOut(std::string name, Shape shape, const Box& bounds, double height)
    : name_(std::move(name)), shape_(shape), bounds_(bounds), height_(height) {}

KeepOut KeepOut::box(std::string name, const Box& sides, double height) {
    check(name, sides, height);
    if (!(sides.lo.x < sides.hi.x && sides.lo.y < sides.hi.y))
        throw Error(Fault::usage, fmt::format("'{}' cannot be: a box is given by its lower left corner and then its upper right one, and "
                                              "X and Y of the second must be greater than those of the first.",
                                              name));
    return {std::move(name), Shape::box, sides, height};
}

KeepOut KeepOut::circle(std::string name, const Point& centre, double diameter, double height) {
    const double r = diameter / 2;
    const Box round{{centre.x - r, centre.y - r}, {centre.x + r, centre.y + r}};
    check(name, round, height);
    if (!(diameter > 0)) throw Error(Fault::usage, fmt::format("'{}' cannot be: the diameter of a circle must be above 0.", name));
    return {std::move(name), Shape::circle, round, height};
}

}  // namespace burin
