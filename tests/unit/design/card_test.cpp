/// Cards: what lies where, its grooves, and the curve that a photo of one gives back. Sources stand beside the checks; where there is none
/// the layout, the limits of 2 % and the refusals are our own, no source.
#include "burin/design/card.hpp"

#include <opencv2/imgproc.hpp>

#include "burin/base/error.hpp"
#include "burin/design/card_photo.hpp"
#include "card_photos.hpp"
#include "check.hpp"

using namespace burin;
using namespace pictures;

namespace {

const Bit& vee() {
    static const Bit bit = Bit::parse("vee:60:0.1:3.175");
    return bit;
}

Card groove_card(int patches = 11) {
    CardWishes wishes;
    wishes.patches = patches;
    wishes.title = "pine vee:60";
    return card_for(wishes, &vee());
}

Card beam_card() {
    CardWishes wishes;
    wishes.kind = CardKind::beam;
    wishes.powers = {0.25, 0.5, 1};
    wishes.feeds = {1200, 2400};
    return card_for(wishes, nullptr);
}

double worst_error(const CardReading& reading, const Card& card, const CardScene& scene) {
    double worst = 0;
    for (const CardPatch& patch : card.patches)
        worst = std::max(worst, std::abs(darkness_for(reading.curve, patch.amount) - scene.curve(patch.amount)));
    return worst;
}

std::string refusal(const Picture& photo, const Card& card) {
    try {
        (void)read_card(photo, card, hands(2));
    } catch (const Error& error) {
        return error.what();
    }
    return {};
}

}  // namespace

TEST_CASE("A card's places lie apart and within it, the same each time") {
    for (const Card& card : {groove_card(), groove_card(5), beam_card()}) {
        std::vector<Box> boxes;
        for (const CardPatch& p : card.patches) boxes.push_back(p.box);
        for (const CardRung& r : card.rungs) boxes.push_back({{r.low.x - r.width / 2, r.low.y}, {r.high.x + r.width / 2, r.high.y}});
        for (const CardDot& d : card.dots) boxes.push_back(d.box);
        for (const CardMark& m : card.marks) boxes.push_back({{m.centre.x - 4.5, m.centre.y - 4.5}, {m.centre.x + 4.5, m.centre.y + 4.5}});
        for (const Polyline& line : card.letters)
            for (const Point& p : line.points) boxes.push_back({p, p});
        const Box whole{{1, 1}, {card.width - 1, card.height - 1}};
        const std::size_t solid = boxes.size();
        for (std::size_t a = 0; a < solid; ++a) {
            INFO("place " << a << " at " << boxes[a].lo.x << ", " << boxes[a].lo.y << " of " << card.width << " x " << card.height);
            CHECK(whole.holds(boxes[a].lo));
            CHECK(whole.holds(boxes[a].hi));
            for (std::size_t b = 0; b < a; ++b) {
                const bool letters = boxes[a].width() + boxes[b].width() == 0;
                const bool apart = boxes[a].lo.x > boxes[b].hi.x + 0.3 || boxes[b].lo.x > boxes[a].hi.x + 0.3 ||
                                   boxes[a].lo.y > boxes[b].hi.y + 0.3 || boxes[b].lo.y > boxes[a].hi.y + 0.3;
                if (!letters && !apart) FAIL_CHECK("places " << a << " and " << b << " of a card meet");  // common practice, no source
            }
        }
    }
    CHECK(groove_card().letters.size() == groove_card().letters.size());
    int same = 0;  // two cards' checksums differ (by chance alike once in 4096)
    for (std::size_t k = 0; k < groove_card().dots.size(); ++k)
        same += groove_card().dots[k].filled == groove_card(9).dots[k].filled ? 1 : 0;
    CHECK(same < 12);
}

TEST_CASE("Grooves of a card are as deep as their share of the pitch asks") {
    const Card card = groove_card();
    const FigureDesign design = card_grooves(card, vee(), {10, 20});
    // The trade's formula: d = (a p − t)/(2 tan(θ/2)); p 1, 60°, t 0.1, a 0.5: 0.34641 (plane geometry, Murray–Davies 1936).
    CHECK(depth_for_width(vee(), 0.5) == Approx(0.4 / (2 * std::tan(std::numbers::pi / 6))).margin(1e-6));
    const auto at = [&](const CardPatch& patch) {
        std::vector<double> depths;
        for (const Groove& g : design.grooves)
            if (g.tip.size() == 2 && patch.box.holds({g.tip[0].x - 10, g.tip[0].y - 20}) &&
                patch.box.holds({g.tip[1].x - 10, g.tip[1].y - 20}))
                depths.push_back(-g.tip[0].z);
        return depths;
    };
    for (const CardPatch& patch : card.patches) {
        const std::vector<double> depths = at(patch);
        CHECK(depths.size() == (patch.amount > 0 ? 8 : 0));
        for (const double depth : depths) CHECK(vee().width_at(depth) == Approx(patch.amount).margin(1e-6));
    }
    const Bit flat = Bit::parse("flat:1.0");
    CHECK_THROWS_AS(card_for(CardWishes{}, &flat), Error);  // no greys
    CardWishes wide;
    wide.patch = 12;
    wide.pitch = 4;
    CHECK_THROWS_AS(card_for(wide, &vee()), Error);  // wider than the bit
}

TEST_CASE("A vee bit by the widths of its grooves") {
    // w = t + 2 d tan(θ/2), from the trade's table: 90°, t 0.2 (plane geometry).
    std::vector<Point> ladder;
    for (const double d : {0.2, 0.4, 0.6, 0.8}) ladder.push_back({d, 0.2 + 2 * d});
    const VeeFit fit = fit_vee(ladder);
    CHECK(fit.angle == Approx(std::numbers::pi / 2).margin(1e-9));
    CHECK(fit.tip == Approx(0.2).margin(1e-9));
    CHECK(fit.residual == Approx(0).margin(1e-9));
    CHECK_THROWS_AS(fit_vee({{0.1, 0.3}, {0.2, 0.4}}), Error);
    CHECK_THROWS_AS(fit_vee({{0.2, 0.3}, {0.2, 0.4}, {0.2, 0.5}}), Error);
    CHECK_THROWS_AS(fit_vee({{0.1, 0.5}, {0.2, 0.4}, {0.3, 0.3}}), Error);
}

TEST_CASE("The map by four points is OpenCV's") {
    std::mt19937 numbers(77);
    const auto random = [&](double most) { return most * static_cast<double>(numbers()) / 4294967296.0; };
    for (int k = 0; k < 50; ++k) {
        const std::array<Point, 4> from{
            {{random(20), random(20)}, {80 + random(20), random(20)}, {80 + random(20), 60 + random(20)}, {random(20), 60 + random(20)}}};
        const std::array<Point, 4> to{{{400 + random(300), random(300)},
                                       {3000 + random(300), 200 + random(300)},
                                       {2800 + random(300), 2500 + random(300)},
                                       {300 + random(300), 2200 + random(300)}}};
        std::array<cv::Point2f, 4> a, b;
        std::array<Point, 4> f, t;
        for (std::size_t i = 0; i < 4; ++i) {
            a[i] = {static_cast<float>(from[i].x), static_cast<float>(from[i].y)},
            b[i] = {static_cast<float>(to[i].x), static_cast<float>(to[i].y)};
            f[i] = {static_cast<double>(a[i].x), static_cast<double>(a[i].y)},
            t[i] = {static_cast<double>(b[i].x), static_cast<double>(b[i].y)};
        }
        const cv::Mat peer = cv::getPerspectiveTransform(a.data(), b.data());
        const Homography h = homography_of(f, t);
        for (const Point& p : {f[0], f[1], f[2], f[3], Point{50, 40}, Point{10, 70}}) {
            const double w = peer.at<double>(2, 0) * p.x + peer.at<double>(2, 1) * p.y + peer.at<double>(2, 2);
            const Point theirs{(peer.at<double>(0, 0) * p.x + peer.at<double>(0, 1) * p.y + peer.at<double>(0, 2)) / w,
                               (peer.at<double>(1, 0) * p.x + peer.at<double>(1, 1) * p.y + peer.at<double>(1, 2)) / w};
            CHECK(distance(mapped(h, p), theirs) < 1e-3);  // theirs misses its own points by 1e-4
        }
        for (std::size_t i = 0; i < 4; ++i) CHECK(distance(mapped(h, f[i]), t[i]) < 1e-7);
    }
    CHECK_THROWS_AS(homography_of({{{0, 0}, {1, 1}, {2, 2}, {0, 3}}}, {{{0, 0}, {1, 0}, {1, 1}, {0, 1}}}), Error);
}

TEST_CASE("The rising curve nearest to samples") {
    // Pooled by hand: 0.5 and 0.3 become 0.4 both (Ayer and others 1955).
    const ToneCurve curve = rising_curve({{0, 0, 1}, {0.25, 0.2, 1}, {0.5, 0.5, 1}, {0.75, 0.3, 1}, {1, 1, 1}});
    const std::vector<Point> expected{{0, 0}, {0.25, 0.2}, {0.5, 0.4}, {0.75, 0.4}, {1, 1}};
    REQUIRE(curve.points.size() == expected.size());
    for (std::size_t k = 0; k < expected.size(); ++k) CHECK(distance(curve.points[k], expected[k]) < 1e-12);
    // Any samples: never falling, no farther from them than any other rising curve that is tried (least squares).
    std::mt19937 numbers(5);
    const auto random = [&] { return static_cast<double>(numbers()) / 4294967296.0; };
    for (int run = 0; run < 20; ++run) {
        std::vector<ToneSample> samples{{0, 0, 1}};
        for (int k = 1; k < 12; ++k) samples.push_back({k / 11.0, random(), 0.5 + random()});
        const ToneCurve best = rising_curve(samples);
        const auto cost = [&](const std::vector<double>& y) {
            double sum = 0;
            for (std::size_t k = 0; k < y.size(); ++k)
                sum += samples[k].weight * (y[k] - samples[k].darkness) * (y[k] - samples[k].darkness);
            return sum;
        };
        std::vector<double> ys;
        for (const Point& p : best.points) ys.push_back(p.y);
        REQUIRE(ys.size() == samples.size());
        CHECK(std::is_sorted(ys.begin(), ys.end()));
        for (int other = 0; other < 50; ++other) {
            std::vector<double> moved = ys;
            for (std::size_t k = 1; k < moved.size(); ++k) moved[k] = std::clamp(moved[k] + 0.1 * (random() - 0.5), 0.0, 1.0);
            std::sort(moved.begin() + 1, moved.end());
            CHECK(cost(moved) >= cost(ys) - 1e-12);
        }
    }
    const ToneCurve near = rising_curve({{0, 0, 1}, {1, 0.5, 1}, {1.02, 0.4, 1}, {2, 1, 1}}, 0.04);
    CHECK((near.points == std::vector<Point>{{0, 0}, {1.01, 0.45}, {2, 1}}));
    CHECK_THROWS_AS(rising_curve({{0, 0, 1}, {0.5, -0.1, 1}}), Error);
}

TEST_CASE("A photo of a card gives its curve back within 2 %") {
    const std::vector<std::function<double(double)>> curves{
        [](double a) { return std::pow(a, 0.7); },                            // grooves look wider than they are
        [](double a) { return a * a * (3 - 2 * a); },                         // slow at both ends
        [](double a) { return a <= 0 ? 0 : std::min(1.0, 0.08 + 1.05 * a); }  // a step at once, full early
    };
    const Card card = groove_card();
    for (unsigned seed = 1; seed <= 3; ++seed) {
        CardScene scene;
        scene.seed = seed;
        scene.curve = curves[seed - 1];
        scene.turn = 0.3 + 1.9 * seed;  // any way up
        scene.blur = 0.6 + 0.4 * seed;
        scene.true_angle = (56 + 4 * seed) * std::numbers::pi / 180;
        scene.true_tip = 0.05 * seed;
        if (seed == 2) std::swap(scene.bare, scene.full);  // engraved through black paint: light on dark
        const Picture photo = photo_of(card, scene);
        const CardReading reading = read_card(photo, card, hands(2));
        INFO("seed " << seed);
        CHECK(reading.lighter == (seed == 2));
        CHECK(worst_error(reading, card, scene) < 0.02);
        // The corners that the photo was made with.
        const Homography true_map =
            homography_of({{{0, 0}, {card.width, 0}, {card.width, card.height}, {0, card.height}}}, corners_in_photo(card, scene));
        for (std::size_t k = 0; k < 4; ++k) CHECK(distance(reading.marks[k], mapped(true_map, card.marks[k].centre)) < 0.5);
        std::vector<Point> ladder;
        for (std::size_t k = 0; k < card.rungs.size(); ++k) ladder.push_back({card.rungs[k].depth, reading.widths[k]});
        const VeeFit fit = fit_vee(ladder);
        CHECK(fit.angle * 180 / std::numbers::pi == Approx(56 + 4 * seed).margin(1.0));
        CHECK(fit.tip == Approx(scene.true_tip).margin(0.02));
    }
}

TEST_CASE("A beam's card: exposures of the grid and the wedge make one curve") {
    const Card card = beam_card();
    CHECK(card.patches.back().amount == Approx(5 * 60 / (2400 * 0.1)));  // J/mm² = W ÷ (mm/s × mm), units
    CardScene scene;
    scene.curve = [](double joules) { return std::clamp((joules - 0.2) / 2, 0.0, 1.0); };  // nothing below a threshold
    const CardReading reading = read_card(photo_of(card, scene), card, hands(2));
    CHECK(worst_error(reading, card, scene) < 0.02);
    CHECK(reading.curve.points.back().x == Approx(2.5));
}

TEST_CASE("Photos that tell nothing are refused with what to do") {
    const Card card = groove_card();
    CardScene scene;
    const Picture photo = photo_of(card, scene);
    CHECK(refusal(photo, groove_card(9)).find("another than the job's") != std::string::npos);
    scene.hide_mark = true;
    CHECK(refusal(photo_of(card, scene), card).find("Of the card's four marks only 3") != std::string::npos);
    scene.hide_mark = false;
    scene.fill = 0.2;
    const std::string small = refusal(photo_of(card, scene), card);
    INFO(small);
    CHECK((small.find("too small") != std::string::npos || small.find("marks") != std::string::npos));
    scene.fill = 0.95;
    scene.blur = 14;
    const std::string blurred = refusal(photo_of(card, scene), card);
    INFO(blurred);
    CHECK((blurred.find("focus") != std::string::npos || blurred.find("marks") != std::string::npos));
    // Noise, stripes, nothing at all, one pixel: never more than an error.
    std::mt19937 numbers(3);
    for (int k = 0; k < 6; ++k) {
        const double a = k * 7, b = 3 + k;
        const Picture any = grey(k == 5 ? 1 : 150 + 40 * k, k == 5 ? 1 : 130, [&](double x, double y) {
            if (k == 0) return 0.5;
            if (k == 1) return static_cast<double>(numbers()) / 4294967296.0;
            return 0.5 + 0.5 * std::sin(a * x * b + 20 * y * y) * std::cos(b * std::hypot(x - 0.5, y - 0.5) * 9);
        });
        CHECK(refusal(any, card).find("No marks") != std::string::npos);
    }
}
