// Filters, resampling, lightness and Poisson's equation beside NumPy's, SciPy's and scikit-image's, on the cases that
// heights.py wrote. Source of every expected value: that library.
#include <algorithm>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>

#include "burin/design/cells.hpp"
#include "burin/shape/filters.hpp"
#include "burin/shape/poisson.hpp"
#include "check.hpp"

namespace {

using namespace burin;

const std::filesystem::path folder = BURIN_REFERENCE;

std::string content_of(const std::string& name) {
    std::ifstream in(folder / name, std::ios::binary);
    REQUIRE(in.good());
    return {std::istreambuf_iterator<char>(in), {}};
}

struct Case {
    std::string what;
    int width, height, out_width, out_height;
    double number;
    std::string given, answer;
};

HeightMap map_of(const std::string& file, int width, int height) {
    HeightMap map(width, height, 1);
    const std::string bytes = content_of(file);
    REQUIRE(bytes.size() == map.size() * sizeof(float));
    std::memcpy(map.values().data(), bytes.data(), bytes.size());
    return map;
}

Picture picture_of(const Case& c) {
    Picture p;
    p.width = c.width;
    p.height = c.height;
    const std::string bytes = content_of(c.given);
    p.samples.resize(bytes.size() / 2);
    std::memcpy(p.samples.data(), bytes.data(), bytes.size());
    p.channels = static_cast<int>(p.samples.size() / static_cast<std::size_t>(p.width * p.height));
    return p;
}

double largest_difference(const HeightMap& a, const HeightMap& b, int margin = 0) {
    REQUIRE(a.width() == b.width());
    REQUIRE(a.height() == b.height());
    double most = 0;
    for (int j = margin; j < a.height() - margin; ++j)
        for (int i = margin; i < a.width() - margin; ++i) most = std::max(most, std::abs(static_cast<double>(a(i, j)) - b(i, j)));
    return most;
}

/// Ours, for the same case.
HeightMap ours(const Case& c, const Crew& crew) {
    if (c.what == "area" || c.what == "linear") return on_cells(picture_of(c), Reading::coded, c.out_width, c.out_height, 1, crew);
    if (c.what == "lightness") return on_cells(picture_of(c), Reading::lightness, c.out_width, c.out_height, 1, crew);
    HeightMap map = map_of(c.given, c.width, c.height);
    if (c.what == "poisson") return solve_poisson(map, crew);
    if (c.what == "mean") return window_mean(map, c.number, crew);
    REQUIRE(c.what == "slope");
    HeightMap fine(c.width, c.height, 0.1);
    std::copy(map.values().begin(), map.values().end(), fine.values().begin());
    lay_back(fine, c.number, crew);
    return fine;
}

}  // namespace

TEST_CASE("Heights are worked out as other libraries do") {
    // How near: resampling and means to float's rounding; L* to the six digits of the other's constants; Poisson to the
    // solver's tolerance, on noise that spans about 3; slopes to a tenth of a cell's rise, as filters.hpp promises.
    const std::map<std::string, double> tolerance = {
        {"area", 2e-6}, {"linear", 2e-5}, {"lightness", 5e-5}, {"poisson", 2e-3}, {"mean", 1e-6}};
    std::map<std::string, int> seen;
    std::istringstream lines(content_of("expected.txt"));
    lines.imbue(std::locale::classic());
    Case c;
    while (lines >> c.what >> c.width >> c.height >> c.out_width >> c.out_height >> c.number >> c.given >> c.answer) {
        CAPTURE(c.given);
        Crew crew;
        crew.threads = 2;
        const HeightMap expected = map_of(c.answer, c.out_width, c.out_height);
        const double most = largest_difference(ours(c, crew), expected, c.what == "mean" ? 4 : 0);
        CHECK(most <= (c.what == "slope" ? 0.01 * std::tan(c.number * 3.14159265 / 180) : tolerance.at(c.what)));
        ++seen[c.what];
    }
    CHECK(seen["area"] == 4);
    CHECK(seen["linear"] == 2);
    CHECK(seen["lightness"] == 1);
    CHECK(seen["poisson"] == 3);
    CHECK(seen["slope"] == 3);
    CHECK(seen["mean"] == 1);
}
