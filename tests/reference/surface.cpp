// The surface through measured points beside SciPy's thin plate spline, on the cases that surface.py wrote. Source of every expected
// value: SciPy's RBFInterpolator.
#include <cmath>
#include <filesystem>
#include <fstream>

#include "burin/shape/smooth_surface.hpp"
#include "check.hpp"

using namespace burin;

namespace {

std::vector<Point3> read(const std::string& name) {
    std::ifstream in(std::filesystem::path(BURIN_REFERENCE) / name);
    in.imbue(std::locale::classic());
    REQUIRE(in.good());
    std::vector<Point3> points;
    for (Point3 p; in >> p.x >> p.y >> p.z;) points.push_back(p);
    return points;
}

}  // namespace

TEST_CASE("a surface through points is that of another library") {
    for (int n = 0; n < 4; ++n) {
        const SmoothSurface surface(read("points-" + std::to_string(n) + ".txt"));
        double most = 0;
        int asked = 0;
        for (const Point3& answer : read("answers-" + std::to_string(n) + ".txt")) {
            most = std::max(most, std::abs(surface.at(flat(answer)) - answer.z));
            ++asked;
        }
        INFO("case " << n);
        CHECK(asked > 10);
        CHECK(most < 1e-8);
    }
}
