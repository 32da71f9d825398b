// Thresholds and contours beside scikit-image's, on the cases that tracing.py wrote. Source of every expected value: that library.
#include <algorithm>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>

#include "../../src/design/contour.hpp"
#include "../../src/design/ink.hpp"
#include "check.hpp"

namespace {

using namespace burin;

std::string content_of(const std::string& name) {
    std::ifstream in(std::filesystem::path(BURIN_REFERENCE) / name, std::ios::binary);
    REQUIRE(in.good());
    return {std::istreambuf_iterator<char>(in), {}};
}

template <class T>
std::vector<T> numbers_in(const std::string& name) {
    const std::string bytes = content_of(name);
    std::vector<T> out(bytes.size() / sizeof(T));
    std::memcpy(out.data(), bytes.data(), out.size() * sizeof(T));
    return out;
}

struct Case {
    std::string what;
    int width, height;
    double number;
    std::string given, answer;
};

/// Sample values 0 … 1, row 0 lowest.
HeightMap grey_of(const Case& c) {
    const auto bytes = numbers_in<unsigned char>(c.given);
    HeightMap map(c.width, c.height, 1);
    REQUIRE(bytes.size() == map.size());
    for (int j = 0; j < c.height; ++j)
        for (int i = 0; i < c.width; ++i)
            map(i, j) = static_cast<float>(bytes[static_cast<std::size_t>((c.height - 1 - j) * c.width + i)]) / 255.0F;
    return map;
}

double area_of(const std::vector<Point>& p) {
    double sum = 0;
    for (std::size_t k = 0; k < p.size(); ++k) {
        const Point &a = p[k], &b = p[(k + 1) % p.size()];
        sum += a.x * b.y - a.y * b.x;
    }
    return std::abs(sum / 2);
}

double off(const Point& p, const std::vector<std::vector<Point>>& lines) {
    double least = 1e9;
    for (const auto& line : lines)
        for (std::size_t k = 0; k < line.size(); ++k) {
            const Point &a = line[k], &b = line[(k + 1) % line.size()];
            const double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
            const double t = length > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length, 0.0, 1.0) : 0.0;
            least = std::min(least, std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy));
        }
    return least;
}

void compare_contours(const Case& c) {
    const std::vector<double> answer = numbers_in<double>(c.answer);
    std::vector<std::vector<Point>> theirs;
    for (std::size_t k = 0; k < answer.size();) {
        const auto count = static_cast<std::size_t>(answer[k++]);
        auto& line = theirs.emplace_back();
        for (std::size_t q = 0; q < count; ++q, k += 2) line.push_back({answer[k], answer[k + 1]});
    }
    HeightMap field = grey_of(c);
    for (float& v : field.values()) v = static_cast<float>(0.5 + (c.number / 255 - v) * 255 / 190);  // ink darker by 190
    Crew crew;
    crew.threads = 2;
    const Contours ours = contours_of(field, 0.5F, crew);
    REQUIRE(ours.outlines.size() == theirs.size());
    std::vector<double> our_areas, their_areas;
    double most = 0;
    for (const Outline& line : ours.outlines) our_areas.push_back(std::abs(line.area));
    for (const auto& line : theirs) their_areas.push_back(area_of(line));
    for (const Point& p : ours.points) most = std::max(most, off(p, theirs));
    std::sort(our_areas.begin(), our_areas.end());
    std::sort(their_areas.begin(), their_areas.end());
    for (std::size_t k = 0; k < our_areas.size(); ++k) CHECK(our_areas[k] == Approx(their_areas[k]).epsilon(0.02).margin(0.5));
    // Linear interpolation errs by up to 0.086 of a pixel.
    CHECK(most < 0.1);
}

}  // namespace

TEST_CASE("Thresholds and contours are those of another library") {
    std::map<std::string, int> seen;
    std::istringstream lines(content_of("expected.txt"));
    lines.imbue(std::locale::classic());
    Case c;
    Crew crew;
    crew.threads = 2;
    while (lines >> c.what >> c.width >> c.height >> c.number >> c.given >> c.answer) {
        CAPTURE(c.given);
        ++seen[c.what];
        if (c.what == "otsu") {
            // Theirs is the last tone of the darker class, ours lies between both classes.
            const HeightMap grey = grey_of(c);
            const double ours = otsu_threshold(histogram_of(grey, crew));
            std::ptrdiff_t dark = 0, theirs = 0;
            for (const float v : grey.values()) dark += v < ours, theirs += v * 255 < c.number + 0.5;
            CHECK(dark == theirs);
        } else if (c.what == "sauvola") {
            const int window = static_cast<int>(c.number);
            const HeightMap ours = sauvola_threshold(grey_of(c), window, c.number - window, crew);
            const std::vector<float> theirs = numbers_in<float>(c.answer);
            REQUIRE(theirs.size() == ours.size());
            double most = 0;
            for (std::size_t k = 0; k < theirs.size(); ++k)
                most = std::max(most, std::abs(static_cast<double>(theirs[k]) - ours.values()[k]));
            CHECK(most < 2e-4);
        } else {
            compare_contours(c);
        }
    }
    CHECK(seen["otsu"] == 3);
    CHECK(seen["sauvola"] == 3);
    CHECK(seen["contours"] == 3);
}
