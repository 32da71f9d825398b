/// Tracing, against figures whose outline is known on paper. Where no other source is named, the expected value is the figure
/// itself, drawn with the exact coverage of each pixel.
#include <string>

#include "burin/base/error.hpp"
#include "check.hpp"
#include "drawings.hpp"

using namespace burin;
using namespace pictures;
using namespace drawings;

namespace {

Tracing trace(const Picture& p, const TraceWishes& wishes) { return trace_drawing(p, wishes, hands(2)); }

/// The sentence with which a drawing is refused; empty where it is not.
std::string refusal(const Picture& p, const TraceWishes& wishes, Fault fault = Fault::refused) {
    try {
        (void)trace(p, wishes);
    } catch (const Error& error) {
        CHECK(error.fault() == fault);
        return error.what();
    }
    return {};
}

bool said(const std::vector<std::string>& sentences, const std::string& part) {
    return std::any_of(sentences.begin(), sentences.end(), [&](const std::string& s) { return s.find(part) != std::string::npos; });
}

Picture grained(Picture p, double strength, unsigned seed) {
    std::mt19937 numbers(seed);
    for (std::uint16_t& v : p.samples) {
        double sum = 0;
        for (int k = 0; k < 4; ++k) sum += static_cast<double>(numbers()) / 4294967296.0 - 0.5;  // variance 1/3
        v = sample(0.08 + 0.84 * v / 65535.0 + strength * std::sqrt(3.0) * sum);
    }
    return p;
}

}  // namespace

TEST_CASE("A disc drawn with anti-aliasing keeps its area and its edge") {
    struct Case {
        double per_mm, edge;
    };
    for (const Case c : {Case{4, 0.03}, Case{10, 0.01}}) {
        INFO(c.per_mm << " pixels per mm");
        const std::vector<Loop> figure{disc(25.03, 24.96, 20)};
        const Tracing traced = trace(drawn(figure, 50, 50, c.per_mm), over(50, 50));
        REQUIRE(traced.region.figures().size() == 1);
        // Source: area of a disc, πr².
        CHECK(traced.region.area() == Approx(std::numbers::pi * 400).epsilon(0.0001));
        const Loop& line = traced.region.figures().front().outer;
        double most = 0;
        for (std::size_t k = 0; k < line.size(); ++k) {
            const Point &a = line[k], &b = line[(k + 1) % line.size()];
            for (int s = 0; s < 8; ++s)
                most = std::max(most, std::abs(std::hypot(a.x + (b.x - a.x) * s / 8 - 25.03, a.y + (b.y - a.y) * s / 8 - 24.96) - 20));
        }
        CHECK(most < c.edge);
        CHECK(line.size() < 300);
    }
}

TEST_CASE("Squares keep their corners, however they are turned") {
    for (const double per_mm : {4.0, 10.0})
        for (const double turn : {0.0, 0.1, 0.3, 0.5, std::numbers::pi / 4}) {
            INFO(per_mm << " pixels per mm, turned by " << turn);
            const std::vector<Loop> figure{box(15.013, 14.037, 16, 16, turn)};
            const Tracing traced = trace(drawn(figure, 30, 30, per_mm), over(30, 30));
            CHECK(corners_off(figure, traced.region) < 0.01);
            CHECK(farthest(traced.region.loops(), figure) < 0.02);
            CHECK(traced.region.points() <= 8);
        }
}

TEST_CASE("Stars keep their tips") {
    for (const double per_mm : {4.0, 10.0}) {
        INFO(per_mm << " pixels per mm");
        const std::vector<Loop> figure{star(12, 14, 10, 4, 5, 0.2), star(34, 14, 11, 6, 9, 0.05)};
        const Tracing traced = trace(drawn(figure, 46, 28, per_mm), over(46, 28));
        CHECK(traced.region.figures().size() == 2);
        CHECK(corners_off(figure, traced.region) < 0.05);
        CHECK(farthest(traced.region.loops(), figure) < 0.05);
    }
}

TEST_CASE("Where curved sides meet there is a corner, where they go on smoothly there is none") {
    Loop half;
    for (int k = 0; k <= 720; ++k)
        half.push_back({15 + 9 * std::cos(0.2 + k * std::numbers::pi / 720), 12 + 9 * std::sin(0.2 + k * std::numbers::pi / 720)});
    const Tracing traced = trace(drawn({half}, 30, 24, 6), over(30, 24));
    CHECK(corners_off({{half.front(), half.back()}}, traced.region) < 0.02);
    CHECK(farthest(traced.region.loops(), {half}) < 0.02);
    // A slot with round ends: the sum of the turns at its points is spread evenly over the ends.
    Loop slot;
    for (int k = 0; k <= 360; ++k)
        slot.push_back({20 + 4 * std::sin(k * std::numbers::pi / 360), 12 - 4 * std::cos(k * std::numbers::pi / 360)});
    for (int k = 0; k <= 360; ++k)
        slot.push_back({10 - 4 * std::sin(k * std::numbers::pi / 360), 12 + 4 * std::cos(k * std::numbers::pi / 360)});
    const Tracing smooth = trace(drawn({slot}, 30, 24, 6), over(30, 24));
    CHECK(farthest(smooth.region.loops(), {slot}) < 0.02);
    const Loop& line = smooth.region.figures().front().outer;
    for (std::size_t k = 0; k < line.size(); ++k) {
        const Point &a = line[k], &b = line[(k + 1) % line.size()], &c = line[(k + 2) % line.size()];
        const double turn =
            std::atan2((b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x), (b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y));
        CHECK(std::abs(turn) < 20 * std::numbers::pi / 180);
    }
}

TEST_CASE("Holes and islands nest") {
    const std::vector<Loop> figure{disc(20, 20, 18), disc(20, 20, 15), disc(20, 20, 10), disc(20, 20, 6), box(20, 20, 4, 4, 0.3)};
    const Tracing traced = trace(drawn(figure, 40, 40, 8), over(40, 40));
    REQUIRE(traced.region.figures().size() == 3);
    std::size_t holes = 0;
    for (const Figure& f : traced.region.figures()) holes += f.holes.size();
    CHECK(holes == 2);
    CHECK(traced.region.area() == Approx(std::numbers::pi * (18 * 18 - 15 * 15 + 10 * 10 - 6 * 6) + 16).epsilon(0.001));
}

TEST_CASE("Specks go and small holes close, with what they hold") {
    // A box with a hole of 0.64 mm² that holds a dot of 0.16 mm², and a ring whose ink has 0.34 mm².
    const std::vector<Loop> figure{box(10, 10, 12, 12), box(10, 10, 0.8, 0.8), box(10, 10, 0.4, 0.4), disc(24, 10, 0.6), disc(24, 10, 0.5)};
    const Picture p = drawn(figure, 30, 20, 20);
    TraceWishes wishes = over(30, 20);
    wishes.despeckle = 0.1;
    wishes.fill = 0.1;
    const Tracing all = trace(p, wishes);
    CHECK(all.region.figures().size() == 3);
    CHECK(all.dropped.empty());
    wishes.despeckle = 0.5;
    const Tracing clean = trace(p, wishes);
    CHECK(clean.region.figures().size() == 1);
    CHECK(clean.region.area() == Approx(144 - 0.64).epsilon(0.001));
    wishes.fill = 0.7;
    const Tracing closed = trace(p, wishes);
    CHECK(closed.region.area() == Approx(144).epsilon(0.001));
    CHECK(closed.dropped.area() == Approx(0.64 + std::numbers::pi * 0.36).epsilon(0.05));
    CHECK(said(closed.notes, "specks were dropped"));
    CHECK(said(closed.notes, "small holes were filled"));
    // A dot within a dropped ring, but large enough itself, is no part of it.
    const Tracing inner = trace(drawn({disc(5, 5, 4.02), disc(5, 5, 4), disc(5, 5, 3)}, 10, 10, 20), [&] {
        TraceWishes w = over(10, 10);
        w.despeckle = 1;
        return w;
    }());
    CHECK(inner.region.area() == Approx(9 * std::numbers::pi).epsilon(0.001));
}

TEST_CASE("Light figures are traced when inverted, transparent places are no ink") {
    const std::vector<Loop> figure{box(10, 10, 12, 8, 0.2)};
    Picture p = drawn(figure, 20, 20, 8);
    for (std::uint16_t& v : p.samples) v = static_cast<std::uint16_t>(65535 - v);
    TraceWishes wishes = over(20, 20);
    wishes.invert = true;
    CHECK(trace(p, wishes).region.area() == Approx(96).epsilon(0.001));
    // Black everywhere, opaque within the figure only: what image editors write of black ink on nothing.
    Picture shape = drawn(figure, 20, 20, 8);
    for (std::uint16_t& v : shape.samples) {
        shape.alpha.push_back(static_cast<std::uint16_t>(65535 - v));
        v = 0;
    }
    CHECK(trace(shape, over(20, 20)).region.area() == Approx(96).epsilon(0.001));
    // A drawing on a white card, the card's surroundings transparent and black beneath.
    Picture card = drawn(figure, 20, 20, 8);
    make_transparent(card, [](double x, double y) { return std::abs(x - 0.5) < 0.45 && std::abs(y - 0.5) < 0.45; });
    for (std::size_t k = 0; k < card.alpha.size(); ++k)
        if (card.alpha[k] == 0) card.samples[k] = 0;
    CHECK(trace(card, over(20, 20)).region.area() == Approx(96).epsilon(0.001));
}

TEST_CASE("An ink's colour picks its lines") {
    // Red and blue lines as dark as each other, mixed with the paper at their edges.
    const std::vector<double> red = coverage({box(8, 10, 6, 12)}, 20, 10, 300, 200), blue = coverage({disc(22, 10, 6)}, 20, 10, 300, 200);
    Picture p;
    p.width = 300;
    p.height = 200;
    p.channels = 3;
    for (std::size_t k = 0; k < red.size(); ++k) {
        p.samples.push_back(sample(1 - 0.2 * red[k] - 0.9 * blue[k]));
        p.samples.push_back(sample(1 - 0.9 * red[k] - 0.9 * blue[k]));
        p.samples.push_back(sample(1 - 0.9 * red[k] - 0.3 * blue[k]));
    }
    TraceWishes wishes = over(30, 20);
    wishes.ink = "#cc1a1a";
    const Tracing traced = trace(p, wishes);
    CHECK(traced.region.area() == Approx(72).epsilon(0.002));
    CHECK(corners_off({box(8, 10, 6, 12)}, traced.region) < 0.03);
    wishes.ink = "#1a1ab3";
    CHECK(trace(p, wishes).region.area() == Approx(36 * std::numbers::pi).epsilon(0.002));
    wishes.ink = "#30ff20";
    CHECK_THAT(refusal(p, wishes), ContainsSubstring("No pixel has the ink's colour"));
    wishes.ink = "red";
    CHECK_THAT(refusal(p, wishes, Fault::usage), ContainsSubstring("six digits"));
}

TEST_CASE("Unevenly lit sheets are traced by the paper around, with large areas of ink filled") {
    const std::vector<Loop> figure{disc(20, 30, 12), disc(20, 30, 9), box(46, 30, 14, 30, 0.1), box(30, 8, 40, 1.2)};
    Picture p = grained(drawn(figure, 60, 60, 10), 0.01, 5);
    for (int row = 0; row < p.height; ++row)
        for (int i = 0; i < p.width; ++i) {
            std::uint16_t& v = p.samples[static_cast<std::size_t>(row) * static_cast<std::size_t>(p.width) + static_cast<std::size_t>(i)];
            v = static_cast<std::uint16_t>(v * (0.3 + 0.7 * i / p.width) * (1 - 0.2 * row / p.height));
        }
    // From paper at 0.25 … 1: no one value parts ink and paper.
    const double area = std::numbers::pi * (144 - 81) + 14 * 30 + 40 * 1.2;
    for (const Threshold threshold : {Threshold::automatic, Threshold::local}) {
        TraceWishes wishes = over(60, 60);
        wishes.threshold = threshold;
        const Tracing traced = trace(p, wishes);
        CHECK(traced.region.figures().size() == 3);
        CHECK(traced.region.area() == Approx(area).epsilon(0.01));
        CHECK(farthest(traced.region.loops(), figure) < 0.1);
        CHECK(said(traced.notes, "light on the sheet was made even"));
    }
}

TEST_CASE("A threshold set by hand is the line's value") {
    // A ramp from black to white over 20 mm, then white: a value of 0.3 lies at 6 mm.
    const Picture p = grey(
        400, 100, [](double x, double) { return std::min(1.0, x * 2); }, 16);
    TraceWishes wishes = over(40, 10);
    wishes.threshold = Threshold::value;
    wishes.value = 0.3;
    const Tracing traced = trace(p, wishes);
    CHECK(traced.region.bounds().hi.x == Approx(6).margin(0.01));
    CHECK(traced.threshold == Approx(0.3));
    CHECK(said(traced.warnings, "runs off the picture"));
}

TEST_CASE("Lines that are hardly wider than a pixel are warned of") {
    std::vector<Loop> figure;
    for (int k = 0; k < 8; ++k) figure.push_back(box(15.03, 3.03 + 3 * k, 26, 0.15));
    CHECK(said(trace(drawn(figure, 30, 27, 10), over(30, 27)).warnings, "pixels wide"));
    CHECK_FALSE(said(trace(drawn(figure, 30, 27, 40), over(30, 27)).warnings, "pixels wide"));
}

TEST_CASE("Several tones give steps, one within the other") {
    // Discs of three greys on top of each other.
    Picture p = drawn({disc(15, 15, 12)}, 30, 30, 8);
    const Picture middle = drawn({disc(14, 15, 8)}, 30, 30, 8), inner = drawn({disc(13, 15, 3)}, 30, 30, 8);
    for (std::size_t k = 0; k < p.samples.size(); ++k)
        p.samples[k] = sample(0.1 + 0.9 * (p.samples[k] + middle.samples[k] + inner.samples[k]) / (3 * 65535.0));
    const std::vector<Tracing> steps = trace_steps(p, over(30, 30), {0.25, 0.85, 0.55, 0.05}, hands(2));
    REQUIRE(steps.size() == 4);
    const double radii[] = {12, 8, 3};
    for (std::size_t k = 0; k < 3; ++k) {
        CHECK(steps[k].region.area() == Approx(std::numbers::pi * radii[k] * radii[k]).epsilon(0.01));
        if (k > 0) CHECK(without(steps[k].region, steps[k - 1].region).empty());
    }
    CHECK(steps[3].region.empty());
    CHECK_FALSE(steps[3].notes.empty());
    CHECK_THROWS_AS(trace_steps(p, over(30, 30), {}, hands(1)), Error);
}

TEST_CASE("Hair lines hardly lighter than the threshold leave no slivers") {
    // A scratch one pixel wide in a black box, so that its edges run as good as on top of each other.
    int kept = 0;
    for (int value = 120; value < 150; ++value)
        for (int length = 6; length < 30; length += 6) {
            Picture p = drawn({box(3, 4, 4, 6)}, 6, 8, 10);
            for (int j = 20; j < 20 + length; ++j) p.samples[static_cast<std::size_t>(j * p.width + 30)] = sample(value / 255.0);
            TraceWishes wishes = over(6, 8);
            wishes.threshold = Threshold::value;
            wishes.value = 0.5;
            wishes.despeckle = wishes.fill = 0;
            const Tracing tracing = trace(p, wishes);
            REQUIRE(tracing.region.figures().size() == 1);
            for (const Loop& loop : tracing.region.loops()) {
                double length_round = 0, doubled = 0;
                for (std::size_t k = 0; k < loop.size(); ++k) {
                    const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
                    length_round += distance(a, b), doubled += a.x * b.y - a.y * b.x;
                }
                INFO(value << ", " << length);
                CHECK(std::abs(doubled) >
                      0.0079 * length_round);  // no narrower than what later steps simplify by; common practice, no source
            }
            kept += tracing.region.figures().front().holes.empty() ? 0 : 1;
        }
    CHECK(kept > 20);  // lines that have some width stay
}

TEST_CASE("Trimming cuts the picture to its ink") {
    const std::vector<Loop> figure{disc(20, 12, 5), box(30, 12, 4, 2)};
    TraceWishes wishes;
    wishes.trim = true;
    wishes.width = 34;  // the ink is 17 wide and 10 high
    const Tracing traced = trace(drawn(figure, 50, 40, 10), wishes);
    CHECK(traced.width == Approx(34));
    CHECK(traced.height == Approx(20).margin(0.02));
    CHECK(traced.region.bounds().lo.x == Approx(0).margin(1e-4));
    CHECK(traced.region.bounds().hi.y == Approx(traced.height).margin(1e-4));
    CHECK(traced.region.area() == Approx(4 * (25 * std::numbers::pi + 8)).epsilon(0.002));
    TraceWishes whole;
    whole.height = 20;
    CHECK(trace(drawn(figure, 50, 40, 10), whole).width == Approx(25));
}

TEST_CASE("Drawings without grey edges are smoothed by half a pixel, and that is said") {
    for (const double per_mm : {4.0, 10.0}) {
        INFO(per_mm << " pixels per mm");
        const double pixel = 1 / per_mm;
        const std::vector<Loop> figure{disc(12, 14, 9), box(32, 14, 14, 12, 0.3)};
        const Tracing traced = trace(hardened(drawn(figure, 44, 28, per_mm)), over(44, 28));
        CHECK(traced.region.area() == Approx(81 * std::numbers::pi + 168).epsilon(0.01));
        CHECK(farthest(traced.region.loops(), figure) < 0.7 * pixel);
        CHECK(corners_off({figure[1]}, traced.region) < 0.7 * pixel);
        CHECK(said(traced.notes, "no grey at their edge"));
        CHECK(traced.region.points() < 250);
    }
    // Upright boxes on whole pixels are exact, and there is nothing to say.
    const std::vector<Loop> boxes{box(10, 10, 8, 12), box(10, 10, 3, 5)};
    const Tracing exact = trace(drawn(boxes, 20, 20, 10), over(20, 20));
    CHECK(corners_off(boxes, exact.region) < 1e-4);
    CHECK(exact.region.points() == 8);
    CHECK_FALSE(said(exact.notes, "no grey at their edge"));
}

TEST_CASE("Grainy scans give smooth lines") {
    const std::vector<Loop> figure{disc(12, 14, 9), box(32, 14, 14, 12, 0.3)};
    const Tracing traced = trace(grained(drawn(figure, 44, 28, 10), 0.04, 11), over(44, 28));
    CHECK(traced.region.figures().size() == 2);
    CHECK(traced.region.area() == Approx(81 * std::numbers::pi + 168).epsilon(0.002));
    CHECK(farthest(traced.region.loops(), figure) < 0.03);
    CHECK(corners_off({figure[1]}, traced.region) < 0.05);
}

TEST_CASE("What holds no drawing is refused in a sentence") {
    const TraceWishes wishes = over(50, 50);
    CHECK_THAT(refusal(grey(300, 300, [](double, double) { return 1.0; }), wishes), ContainsSubstring("blank"));
    CHECK_THAT(refusal(grey(300, 300, [](double, double) { return 0.0; }), wishes), ContainsSubstring("blank"));
    std::mt19937 numbers(3);
    CHECK_THAT(refusal(grey(600, 600, [&](double, double) { return static_cast<double>(numbers()) / 4294967296.0; }), wishes),
               ContainsSubstring("grain or dots"));
    CHECK_THAT(refusal(grey(600, 600, [&](double, double) { return numbers() % 2 ? 1.0 : 0.0; }), wishes),
               ContainsSubstring("grain or dots"));
    CHECK_THAT(refusal(grey(600, 600, [&](double, double) { return 0.8 + 0.1 * static_cast<double>(numbers()) / 4294967296.0; }), wishes),
               ContainsSubstring("blank"));
    Picture one = grey(500, 500, [](double, double) { return 1.0; });
    one.samples[500 * 250 + 250] = 0;
    CHECK_THAT(refusal(one, wishes), ContainsSubstring("specks"));
    const Picture photo = grey(600, 400, [](double x, double y) {
        return 0.5 + 0.25 * std::sin(9 * x) * std::cos(7 * y) + 0.2 * std::sin(23 * x + 11 * y) * std::sin(5 * y);
    });
    CHECK_THAT(refusal(photo, wishes), ContainsSubstring("photo") && ContainsSubstring("Use relief for a photo"));
    TraceWishes by_hand = wishes;
    by_hand.threshold = Threshold::value;
    CHECK_FALSE(trace(photo, by_hand).region.empty());
    CHECK_THAT(refusal(photo, TraceWishes{}, Fault::usage), ContainsSubstring("width"));
    TraceWishes nonsense = wishes;
    nonsense.smooth = std::nan("");
    CHECK_THAT(refusal(photo, nonsense, Fault::usage), ContainsSubstring("0 or more"));
}

TEST_CASE("A hundred thousand specks are dropped, or refused where they are figures") {
    Picture p = grey(2400, 2400, [](double, double) { return 1.0; });
    std::mt19937 numbers(7);
    const auto set = [&](std::size_t i, std::size_t j) { p.samples[j * 2400 + i] = 0; };
    for (int k = 0; k < 100'000; ++k) set(numbers() % 2400, numbers() % 2400);
    for (std::size_t j = 900; j < 1500; ++j)
        for (std::size_t i = 900; i < 1500; ++i) set(i, j);
    const Tracing traced = trace(p, over(240, 240));
    CHECK(traced.region.area() == Approx(3600).epsilon(0.02));
    CHECK(traced.dropped.figures().size() <= 2000);
    TraceWishes all = over(240, 240);
    all.despeckle = 0;
    CHECK_THAT(refusal(p, all), ContainsSubstring("separate spots"));
}

TEST_CASE("Sheets full of winding lines keep all of their area in booleans") {
    // Waves in all directions, cut off at their middle: a hundred thousand corners, which are clipped in strips. A valid region united
    // with nothing stays what it is (set algebra).
    constexpr int width = 1400, height = 1000;
    std::mt19937 random(11);
    const auto chance = [&] { return static_cast<double>(random()) / 4294967296.0; };
    std::vector<double> sum(static_cast<std::size_t>(width) * height, 0.0);
    for (int wave = 0; wave < 16; ++wave) {
        const double angle = 2 * std::numbers::pi * chance(), phase = 2 * std::numbers::pi * chance();
        const double k = 2 * std::numbers::pi / (14 * (0.8 + 0.4 * chance())), kx = k * std::cos(angle), ky = k * std::sin(angle);
        for (int j = 0; j < height; ++j)
            for (int i = 0; i < width; ++i)
                sum[static_cast<std::size_t>(j) * width + static_cast<std::size_t>(i)] += std::cos(kx * i + ky * j + phase);
    }
    Picture p;
    p.width = width, p.height = height;
    std::size_t black = 0;
    for (const double v : sum) p.samples.push_back(v > 0 ? 65535 : 0), black += v > 0 ? 0 : 1;
    const Region region = trace(p, over(140, 100)).region;
    CHECK(region.points() > 60'000);
    CHECK(region.area() == Approx(0.01 * static_cast<double>(black)).epsilon(0.02));
    CHECK(united(region, {}).area() == Approx(region.area()).epsilon(1e-7));
    CHECK(Region(region.loops()).area() == Approx(region.area()).epsilon(1e-7));
}

TEST_CASE("A tracing is the same on any number of threads") {
    std::vector<Loop> figure;
    for (int j = 0; j < 5; ++j)
        for (int i = 0; i < 6; ++i)
            figure.push_back(i % 2 ? star(8.0 + 14 * i, 8.0 + 14 * j, 6, 2.5, 5 + j, i + j) : disc(8.0 + 14 * i, 8.0 + 14 * j, 3 + j));
    const Picture p = grained(drawn(figure, 86, 78, 6), 0.03, 1);
    const Tracing alone = trace_drawing(p, over(86, 78), hands(1)), together = trace_drawing(p, over(86, 78), hands(4));
    CHECK(alone.region == together.region);
    CHECK(alone.notes == together.notes);
    const std::vector<MiddleLine> a = middle_lines(alone.region, hands(1)), b = middle_lines(together.region, hands(4));
    REQUIRE(a.size() == b.size());
    for (std::size_t k = 0; k < a.size(); ++k) CHECK(a[k].line.points == b[k].line.points);
}
