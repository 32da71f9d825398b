/// Tracing, against figures whose outline is known on paper.
#include "burin/design/trace.hpp"

#include <numbers>

#include "check.hpp"
#include "pictures.hpp"

using namespace burin;
using namespace pictures;

namespace {

/// Black where inside(x, y), x and y in mm, by the mean of 16 × 16 places a pixel.
template <class Inside>
Picture drawn(double w, double h, double per_mm, Inside inside) {
    constexpr int fine = 16;
    const int width = static_cast<int>(std::lround(w * per_mm)), height = static_cast<int>(std::lround(h * per_mm));
    Picture p;
    p.width = width;
    p.height = height;
    for (int row = 0; row < height; ++row)
        for (int i = 0; i < width; ++i) {
            int ink = 0;
            for (int b = 0; b < fine; ++b)
                for (int a = 0; a < fine; ++a)
                    ink += inside((i + (a + 0.5) / fine) / per_mm, (height - row - 1 + (b + 0.5) / fine) / per_mm);
            // As a drawing program writes it: 8 bits.
            p.samples.push_back(static_cast<std::uint16_t>(std::lround(255.0 * (1 - ink / static_cast<double>(fine * fine))) * 257));
        }
    return p;
}

TraceWishes wishes_for(double w, double h) {
    TraceWishes wishes;
    wishes.width = w;
    wishes.height = h;
    return wishes;
}

}  // namespace

TEST_CASE("A disc drawn with anti-aliasing keeps its area and its edge") {
    struct Case {
        double per_mm, edge;
    };
    for (const Case c : {Case{4, 0.03}, Case{10, 0.01}}) {
        INFO(c.per_mm << " pixels per mm");
        const double r = 20, x0 = 25.03, y0 = 24.96;
        const Picture p = drawn(50, 50, c.per_mm, [&](double x, double y) { return std::hypot(x - x0, y - y0) <= r; });
        const Tracing traced = trace_drawing(p, wishes_for(50, 50), hands(2));
        REQUIRE(traced.region.figures().size() == 1);
        // Source: area of a disc, πr².
        CHECK(traced.region.area() == Approx(std::numbers::pi * r * r).epsilon(0.001));
        double most = 0;
        const Loop& line = traced.region.figures().front().outer;
        for (std::size_t k = 0; k < line.size(); ++k) {
            const Point &a = line[k], &b = line[(k + 1) % line.size()];
            for (int s = 0; s < 8; ++s)
                most = std::max(most, std::abs(std::hypot(a.x + (b.x - a.x) * s / 8 - x0, a.y + (b.y - a.y) * s / 8 - y0) - r));
        }
        CHECK(most < c.edge);
    }
}
