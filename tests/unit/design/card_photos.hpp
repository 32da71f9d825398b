#pragma once
/// Photos of test cards that nobody took: the card painted with a known curve, seen at a slant, unevenly lit, blurred, with grain.
#include <cmath>
#include <functional>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <random>

#include "burin/design/card.hpp"
#include "burin/design/card_photo.hpp"
#include "pictures.hpp"

namespace pictures {

struct CardScene {
    double bare = 0.62, full = 0.11;  ///< share of light that comes back
    double true_angle = 60 * std::numbers::pi / 180, true_tip = 0.1;
    std::function<double(double)> curve = [](double amount) { return amount; };  ///< darkness for an amount
    int width = 880, height = 960;
    double turn = 0;       ///< of the camera about its axis, radians
    double slant = 0.12;   ///< how much smaller the far edge is, as a share
    double uneven = 0.35;  ///< how much light is lost towards one corner
    double blur = 0.8;     ///< pixels
    double grain = 0.01;   ///< of full scale, coded values
    double fill = 0.95;    ///< of the photo, by the card as it is turned
    unsigned seed = 1;
    bool hide_mark = false;
};

constexpr double paint_scale = 16;  // cells to a millimetre
constexpr double rim = 6;           // mm of bare stock round the card

/// What comes back from the card and the stock round it, row 0 lowest.
inline cv::Mat painted(const burin::Card& card, const CardScene& scene) {
    using namespace burin;
    const auto cells = [](double mm) { return static_cast<int>(std::ceil((mm + 2 * rim) * paint_scale)); };
    cv::Mat mat(cells(card.height), cells(card.width), CV_32F, cv::Scalar(scene.bare));
    const auto paint = [&](const Box& box, auto covered) {
        const auto at = [](double mm) { return static_cast<int>((mm + rim) * paint_scale); };
        for (int j = std::max(0, at(box.lo.y) - 1); j <= std::min(mat.rows - 1, at(box.hi.y) + 1); ++j)
            for (int i = std::max(0, at(box.lo.x) - 1); i <= std::min(mat.cols - 1, at(box.hi.x) + 1); ++i) {
                int in = 0;
                for (int b = 0; b < 4; ++b)
                    for (int a = 0; a < 4; ++a) {  // sixteen places in x, so that upright stripes are not counted in quarters
                        const double x = (i + (a + (b + 0.5) / 4) / 4) / paint_scale - rim, y = (j + (b + 0.5) / 4) / paint_scale - rim;
                        in += covered(x, y) ? 1 : 0;
                    }
                mat.at<float>(j, i) = static_cast<float>(scene.bare + (scene.full - scene.bare) * in / 16);
            }
    };
    for (std::size_t k = 0; k < 4; ++k) {
        const Point c = card.marks[k].centre;
        if (scene.hide_mark && k == 2) continue;
        paint({{c.x - 5, c.y - 5}, {c.x + 5, c.y + 5}}, [&](double x, double y) {
            const double r = std::hypot(x - c.x, y - c.y);
            return r < card.marks[k].disc || (r > Card::ring_inner && r < Card::ring_outer);
        });
    }
    const bool grooves = card.wishes.kind == CardKind::grooves;
    std::mt19937 numbers(9);  // of the dots that burnt patches are made of
    for (const CardPatch& p : card.patches)
        paint(p.box, [&](double x, double y) {
            if (!p.box.holds({x, y})) return false;
            if (!grooves) return static_cast<double>(numbers()) / 4294967296.0 < scene.curve(p.amount);
            const double across = std::abs(std::remainder((x - p.box.lo.x) / card.wishes.pitch - 0.5, 1.0));
            return across < scene.curve(p.amount) / 2;
        });
    for (const CardRung& r : card.rungs) {
        const double w = scene.true_tip + 2 * r.depth * std::tan(scene.true_angle / 2);
        const Box box{{r.low.x - w / 2, r.low.y}, {r.low.x + w / 2, r.high.y}};
        paint(box, [&](double x, double y) { return box.holds({x, y}); });
    }
    for (const CardDot& d : card.dots)
        if (d.filled) paint(d.box, [&](double x, double y) { return d.box.holds({x, y}); });
    for (const Polyline& line : card.letters)
        for (std::size_t k = 1; k < line.points.size(); ++k) {
            const auto at = [&](const Point& p) {
                return cv::Point(static_cast<int>((p.x + rim) * paint_scale), static_cast<int>((p.y + rim) * paint_scale));
            };
            cv::line(mat, at(line.points[k - 1]), at(line.points[k]), cv::Scalar(scene.full), 5);
        }
    return mat;
}

/// Where the card's corners lie in the photo, from the lower left, pixels from the photo's lower left corner.
inline std::array<burin::Point, 4> corners_in_photo(const burin::Card& card, const CardScene& scene) {
    const double c = std::abs(std::cos(scene.turn)), s = std::abs(std::sin(scene.turn));
    const double scale =
        scene.fill * std::min(scene.height / (card.width * s + card.height * c), scene.width / (card.width * c + card.height * s));
    const double w = card.width * scale / 2, h = card.height * scale / 2;
    std::array<burin::Point, 4> corners{
        {{-w, -h}, {w, -h}, {w * (1 - scene.slant), h}, {-w * (1 - 0.4 * scene.slant), h * (1 - 0.5 * scene.slant)}}};
    for (burin::Point& p : corners)
        p = {scene.width / 2.0 + p.x * std::cos(scene.turn) - p.y * std::sin(scene.turn),
             scene.height / 2.0 + p.x * std::sin(scene.turn) + p.y * std::cos(scene.turn)};
    return corners;
}

inline burin::Picture photo_of(const burin::Card& card, const CardScene& scene) {
    using namespace burin;
    const cv::Mat paint = painted(card, scene);
    const std::array<Point, 4> corners = corners_in_photo(card, scene);
    const Homography back = homography_of(corners, {{{0, 0}, {card.width, 0}, {card.width, card.height}, {0, card.height}}});
    cv::Mat light(scene.height, scene.width, CV_32F);
    constexpr int n = 3;
    for (int j = 0; j < scene.height; ++j)
        for (int i = 0; i < scene.width; ++i) {
            double sum = 0;
            for (int s = 0; s < n * n; ++s) {
                const int a = s % n, b = s / n;
                const Point p = mapped(back, {i + (a + 0.5) / n, j + (b + 0.5) / n});
                const double x = (p.x + rim) * paint_scale, y = (p.y + rim) * paint_scale;
                const bool on = x >= 0 && y >= 0 && x < paint.cols && y < paint.rows;
                sum += on ? static_cast<double>(paint.at<float>(static_cast<int>(y), static_cast<int>(x))) : 0.05;  // the bench
            }
            const double u = (i + 0.5) / scene.width, v = (j + 0.5) / scene.height;
            const double lamp = 1 - scene.uneven * (0.6 * u * u + 0.4 * v);
            light.at<float>(j, i) = static_cast<float>(lamp * sum / (n * n));
        }
    if (scene.blur > 0) cv::GaussianBlur(light, light, cv::Size(), scene.blur);
    std::mt19937 numbers(scene.seed);
    const auto noise = [&] {  // twelve of them make a bell
        double sum = -6;
        for (int k = 0; k < 12; ++k) sum += static_cast<double>(numbers()) / 4294967296.0;
        return sum;
    };
    Picture photo;
    photo.width = scene.width;
    photo.height = scene.height;
    for (int row = scene.height - 1; row >= 0; --row)
        for (int i = 0; i < scene.width; ++i)
            photo.samples.push_back(static_cast<std::uint16_t>(
                257 *
                std::lround(255 * std::clamp(coded(static_cast<double>(light.at<float>(row, i))) + scene.grain * noise(), 0.0, 1.0))));
    return photo;
}

}  // namespace pictures
