// Distances, offsets and the medial axis of figures beside SciPy's distance_transform_edt and scikit-image's medial_axis, on the rasters
// that figures.py wrote. A raster knows a line to about a cell; what it says is therefore held to that.
#include <algorithm>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>

#include "burin/shape/edge_distance.hpp"
#include "burin/shape/medial_axis.hpp"
#include "check.hpp"

using namespace burin;

namespace {

const std::filesystem::path folder = BURIN_REFERENCE;

std::string content_of(const std::string& name) {
    std::ifstream in(folder / name, std::ios::binary);
    REQUIRE(in.good());
    return {std::istreambuf_iterator<char>(in), {}};
}

template <class T>
Grid<T> grid_of(const std::string& file, int width, int height, double cell) {
    Grid<T> grid(width, height, cell);
    const std::string bytes = content_of(file);
    REQUIRE(bytes.size() == grid.size() * sizeof(T));
    std::memcpy(grid.values().data(), bytes.data(), bytes.size());
    return grid;
}

struct Case {
    std::string name;
    double cell = 0;
    Region region;
    Grid<float> depth;
    Grid<std::uint8_t> axis;
};

std::vector<Case> cases() {
    std::istringstream lines(content_of("expected.txt"));
    lines.imbue(std::locale::classic());
    std::vector<Case> all;
    Case next;
    int loops = 0, width = 0, height = 0;
    while (lines >> next.name >> loops >> next.cell >> width >> height) {
        std::istringstream in(content_of(next.name + ".loops"));
        in.imbue(std::locale::classic());
        std::vector<Loop> lines_of(static_cast<std::size_t>(loops));
        for (Loop& loop : lines_of) {
            std::size_t corners = 0;
            in >> corners;
            loop.resize(corners);
            for (Point& p : loop) in >> p.x >> p.y;
        }
        REQUIRE(!in.fail());
        next.region = Region(lines_of);
        next.depth = grid_of<float>(next.name + ".depth", width, height, next.cell);
        next.axis = grid_of<std::uint8_t>(next.name + ".axis", width, height, next.cell);
        all.push_back(next);
    }
    REQUIRE(all.size() == 11);
    return all;
}

}  // namespace

TEST_CASE("distances from the line are those of another library's distance transform, to a cell and a quarter") {
    Crew crew;
    crew.threads = 2;
    for (const Case& c : cases()) {
        INFO(c.name);
        const Grid<float> ours = edge_distance(c.region, c.depth, 30, crew);
        double most = 0, sum = 0;
        for (std::size_t k = 0; k < ours.size(); ++k) {
            // To the nearest centre beyond the line is half a cell farther than to the line, on the average.
            const double theirs = c.depth.values()[k] - std::copysign(c.cell / 2, c.depth.values()[k]);
            most = std::max(most, std::abs(ours.values()[k] - theirs));
            sum += std::abs(ours.values()[k] - theirs);
        }
        CHECK(most < 1.25 * c.cell);
        CHECK(sum / static_cast<double>(ours.size()) < c.cell / 2);
    }
}

TEST_CASE("offset figures hold the cells that another library's distance transform gives them") {
    for (const Case& c : cases())
        for (const double d : {-2.0, -0.7, 0.4, 1.5}) {
            INFO(c.name << " by " << d);
            const EdgeSearch grown(offset_by(c.region, d));
            std::size_t wrong = 0, sure = 0;
            for (int j = 0; j < c.depth.height(); j += 3)
                for (int i = 0; i < c.depth.width(); i += 3) {
                    if (std::abs(c.depth(i, j) + d) < 1.6 * c.cell) continue;
                    ++sure;
                    if (grown.holds(c.depth.centre(i, j)) != (c.depth(i, j) > -d)) ++wrong;
                }
            CHECK(wrong == 0);
            CHECK(sure > 20000);
        }
}

TEST_CASE("the medial axis runs where another library's runs") {
    const Crew alone;
    for (const Case& c : cases()) {
        INFO(c.name);
        // Arms that a raster cannot tell from the steps of its line are left out: short ones, and those of
        // corners of more than 90°, whose radius changes nearly as fast as one goes.
        const MedialAxis axis = pruned(medial_axis(c.region, 0.001, alone), 3 * c.cell);
        REQUIRE(!axis.edges.empty());
        std::size_t places = 0, bare = 0, wrong_depth = 0;
        for (const AxisEdge& edge : axis.edges) {
            const AxisNode &a = axis.nodes[edge.from], &b = axis.nodes[edge.to];
            if (std::abs(b.radius - a.radius) > 0.71 * distance(a.at, b.at)) continue;
            const int steps = 1 + static_cast<int>(distance(a.at, b.at) / c.cell);
            for (int s = 0; s <= steps; ++s) {
                const double t = static_cast<double>(s) / steps, radius = a.radius + t * (b.radius - a.radius);
                if (radius < 6 * c.cell) continue;
                const int i = static_cast<int>((a.at.x + t * (b.at.x - a.at.x)) / c.cell),
                          j = static_cast<int>((a.at.y + t * (b.at.y - a.at.y)) / c.cell);
                ++places;
                bool near = false;
                for (int dj = -2; dj <= 2; ++dj)
                    for (int di = -2; di <= 2; ++di) near = near || (c.axis.holds(i + di, j + dj) && c.axis(i + di, j + dj));
                if (!near) ++bare;
                if (std::abs(radius - (c.depth(i, j) - c.cell / 2)) > 2 * c.cell) ++wrong_depth;
            }
        }
        CHECK(places > 100);
        CHECK(wrong_depth == 0);
        // Thinning breaks ties by lot, and so loses a short branch here and there.
        CHECK(bare * 50 <= places);
    }
}
