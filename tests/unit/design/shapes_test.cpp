// Shapes against what is known of them on paper (plane geometry); dimensions that are missing or in vain are named.
#include "burin/design/shapes.hpp"

#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;
using std::numbers::pi;

namespace {

ShapeWishes wishes_for(ShapeKind kind) {
    ShapeWishes wishes;
    wishes.kind = kind;
    return wishes;
}

std::string complaint(const ShapeWishes& wishes) {
    try {
        (void)shape(wishes);
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::usage);
        return error.what();
    }
    return {};
}

}  // namespace

TEST_CASE("areas and extents of shapes are those of plane geometry") {
    ShapeWishes circle = wishes_for(ShapeKind::circle);
    circle.diameter = 40;
    // Chords within 0.002 mm of the circle lose at most that times the circumference: 0.25 mm² of 1257.
    CHECK(shape(circle).region.area() == Approx(pi * 400).epsilon(2e-4));
    CHECK(shape(circle).width == Approx(40).margin(1e-4));

    ShapeWishes ring = wishes_for(ShapeKind::ring);
    ring.diameter = 40, ring.inner = 30;
    CHECK(shape(ring).region.area() == Approx(pi * (400 - 225)).epsilon(4e-4));
    CHECK(shape(ring).lines.size() == 2);

    ShapeWishes oval = wishes_for(ShapeKind::ellipse);
    oval.width = 60, oval.height = 20;
    CHECK(shape(oval).region.area() == Approx(pi * 300).epsilon(4e-4));

    ShapeWishes plate = wishes_for(ShapeKind::rounded);
    plate.width = 60, plate.height = 20, plate.corner_radius = 4;
    CHECK(shape(plate).region.area() == Approx(1200 - (4 - pi) * 16).epsilon(1e-4));
    CHECK(shape(plate).height == Approx(20).margin(1e-4));

    ShapeWishes hexagon = wishes_for(ShapeKind::polygon);
    hexagon.diameter = 20, hexagon.corners = 6;
    CHECK(shape(hexagon).region.area() == Approx(3 * std::sqrt(3.0) / 2 * 100));
    CHECK(shape(hexagon).height == Approx(20).margin(1e-4));  // a tip up
    CHECK(shape(hexagon).width == Approx(10 * std::sqrt(3.0)).margin(1e-4));
}

TEST_CASE("a star without inner diameter is the pentagram, and a given one is kept") {
    ShapeWishes star = wishes_for(ShapeKind::star);
    star.diameter = 20, star.corners = 5;
    // Pentagram: the inner corners lie on R ⁄ φ², and the ten triangles between both circles make n R r sin(π/n).
    const double phi = (1 + std::sqrt(5.0)) / 2, inner = 10 / (phi * phi);
    CHECK(shape(star).region.area() == Approx(5 * 10 * inner * std::sin(pi / 5)));
    for (const int tips : {3, 4, 6, 9}) {  // a star is thinner than the polygon of its tips
        ShapeWishes other = wishes_for(ShapeKind::star), polygon = wishes_for(ShapeKind::polygon);
        other.diameter = polygon.diameter = 20, other.corners = polygon.corners = tips;
        CHECK(shape(other).region.area() < 0.9 * shape(polygon).region.area());
    }
    star.inner = 12;
    CHECK(shape(star).region.area() == Approx(5 * 10 * 6 * std::sin(pi / 5)));
}

TEST_CASE("a line is a bar with a thickness, and without one something to follow") {
    ShapeWishes line = wishes_for(ShapeKind::line);
    line.length = 50;
    CHECK(shape(line).region.empty());
    REQUIRE(shape(line).lines.size() == 1);
    line.thickness = 2;
    CHECK(shape(line).region.area() == Approx(100));
}

TEST_CASE("dimensions that are missing, in vain or against each other are named by their option") {
    CHECK(complaint(wishes_for(ShapeKind::circle)).find("--diameter") != std::string::npos);
    ShapeWishes circle = wishes_for(ShapeKind::circle);
    circle.diameter = 40, circle.corners = 5;
    CHECK(complaint(circle).find("--corners") != std::string::npos);
    ShapeWishes ring = wishes_for(ShapeKind::ring);
    ring.diameter = 30, ring.inner = 30;
    CHECK(complaint(ring).find("--inner-diameter") != std::string::npos);
    ShapeWishes plate = wishes_for(ShapeKind::rounded);
    plate.width = 60, plate.height = 20, plate.corner_radius = 11;
    CHECK(complaint(plate).find("--corner-radius") != std::string::npos);
    plate.corner_radius = -1;
    CHECK(complaint(plate).find("--corner-radius") != std::string::npos);
    for (const auto* name : {"circle", "ellipse", "rectangle", "rounded", "polygon", "star", "line", "ring"})
        CHECK(to_string(*shape_named(name)) == name);
    CHECK_FALSE(shape_named("blob"));
}
