/// Which of the marks are this card's, and the card as it looks straight from above.
/// Every ring with a large disc is tried with every three with small ones, in the order round their middle: the map of the plane that they
/// ask for must make marks as large as they were seen, and the dots must read as the card's. Cost: some hundred tries; the straightened
/// cells.
#include "card_straight.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr std::size_t most_large = 6, most_small = 10;  // marks tried, the surest ones

/// Singular values of the map's derivative: pixels to a millimetre, the least and the most direction.
PhotoScale scale_at(const Homography& h, const Point& p) {
    constexpr double d = 0.01;
    const Point a = mapped(h, {p.x - d, p.y}), b = mapped(h, {p.x + d, p.y}), c = mapped(h, {p.x, p.y - d}), e = mapped(h, {p.x, p.y + d});
    const double xx = (b.x - a.x) / (2 * d), yx = (b.y - a.y) / (2 * d), xy = (e.x - c.x) / (2 * d), yy = (e.y - c.y) / (2 * d);
    const double sum = xx * xx + yx * yx + xy * xy + yy * yy, determinant = xx * yy - xy * yx;
    const double root = std::sqrt(std::max(0.0, sum * sum / 4 - determinant * determinant));
    return {std::sqrt(std::max(0.0, sum / 2 - root)), std::sqrt(sum / 2 + root)};
}

/// In the order of Card::marks; none where they do not go round their middle counter-clockwise as a card's corners do.
std::optional<std::array<Point, 4>> in_order(const Point& large, const std::array<Point, 3>& small) {
    std::array<Point, 4> all{large, small[0], small[1], small[2]};
    Point middle;
    for (const Point& p : all) middle = {middle.x + p.x / 4, middle.y + p.y / 4};
    const auto angle = [&](const Point& p) {
        const double a = std::atan2(p.y - middle.y, p.x - middle.x) - std::atan2(large.y - middle.y, large.x - middle.x);
        return a < 0 ? a + 2 * std::numbers::pi : a;
    };
    std::sort(all.begin() + 1, all.end(), [&](const Point& a, const Point& b) { return angle(a) < angle(b); });
    for (std::size_t k = 0; k < 4; ++k) {
        const Point &a = all[k], &b = all[(k + 1) % 4], &c = all[(k + 2) % 4];
        const double turn = (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
        if (!(turn > 0.05 * distance(a, b) * distance(b, c))) return {};
    }
    return all;
}

/// The map that four marks ask for, the first with the large disc, where it makes rings as large as they were seen.
std::optional<SeenCard> lying_as_a_card(const std::array<SeenMark, 4>& marks, const Card& card) {
    const auto order = in_order(marks[0].centre, {marks[1].centre, marks[2].centre, marks[3].centre});
    if (!order) return {};
    std::array<Point, 4> own;
    for (std::size_t k = 0; k < 4; ++k) own[k] = card.marks[k].centre;
    const SeenCard found{homography_of(own, *order), *order, marks[0].lighter};
    for (const SeenMark& mark : marks) {
        const auto at = static_cast<std::size_t>(std::find(order->begin(), order->end(), mark.centre) - order->begin());
        const PhotoScale scale = scale_at(found.to_photo, own[at]);
        const double radius = Card::ring_outer * std::sqrt(scale.least * scale.most);
        if (!(std::abs(mark.radius / radius - 1) < 0.25)) return {};
    }
    return found;
}

double sampled(const HeightMap& light, const Homography& h, const Box& box) {
    constexpr int n = 5;
    double sum = 0;
    for (int j = 0; j < n; ++j)
        for (int i = 0; i < n; ++i)
            sum += light_at(light, mapped(h, {box.lo.x + box.width() * (i + 0.5) / n, box.lo.y + box.height() * (j + 0.5) / n}));
    return sum / (n * n);
}

double ring_light(const HeightMap& light, const Homography& h, const Point& centre) {
    constexpr int n = 24;
    const double r = (Card::ring_inner + Card::ring_outer) / 2;
    double sum = 0;
    for (int k = 0; k < n; ++k) {
        const double a = 2 * std::numbers::pi * k / n;
        sum += light_at(light, mapped(h, {centre.x + r * std::cos(a), centre.y + r * std::sin(a)}));
    }
    return sum / n;
}

/// How many of the dots read otherwise than they should. A dot is held against the bare surface beside it and the rings at both ends of the
/// row.
int wrong_dots(const HeightMap& light, const Homography& h, const Card& card) {
    const double left = ring_light(light, h, card.marks[0].centre), right = ring_light(light, h, card.marks[1].centre);
    int wrong = 0;
    for (const CardDot& dot : card.dots) {
        const Point c = dot.box.centre();
        const double quarter = dot.box.width() / 4, off = dot.box.height() * 1.2;
        const double seen = sampled(light, h, {{c.x - quarter, c.y - quarter}, {c.x + quarter, c.y + quarter}});
        const double bare = (sampled(light, h, {{c.x - quarter, c.y + off - quarter}, {c.x + quarter, c.y + off + quarter}}) +
                             sampled(light, h, {{c.x - quarter, c.y - off - quarter}, {c.x + quarter, c.y - off + quarter}})) /
                            2;
        const double share = (c.x - card.marks[0].centre.x) / (card.marks[1].centre.x - card.marks[0].centre.x);
        const double full = left + (right - left) * share;
        const bool filled = std::abs(seen - bare) > std::abs(seen - full);
        if (filled != dot.filled) ++wrong;
    }
    return wrong;
}

}  // namespace

double light_at(const HeightMap& light, const Point& p) {
    const double x = std::clamp(p.x - 0.5, 0.0, light.width() - 1.0), y = std::clamp(p.y - 0.5, 0.0, light.height() - 1.0);
    const int i = std::min(static_cast<int>(x), std::max(0, light.width() - 2)),
              j = std::min(static_cast<int>(y), std::max(0, light.height() - 2));
    const int i1 = std::min(i + 1, light.width() - 1), j1 = std::min(j + 1, light.height() - 1);
    const double u = x - i, v = y - j;
    return (1 - v) * ((1 - u) * static_cast<double>(light(i, j)) + u * static_cast<double>(light(i1, j))) +
           v * ((1 - u) * static_cast<double>(light(i, j1)) + u * static_cast<double>(light(i1, j1)));
}

std::optional<SeenCard> card_among(const std::vector<SeenMark>& marks, const HeightMap& light, const Card& card, bool& other) {
    other = false;
    for (const bool lighter : {false, true}) {
        std::vector<SeenMark> large, small;
        for (const SeenMark& mark : marks) {
            std::vector<SeenMark>& list = mark.large ? large : small;
            if (mark.lighter == lighter && list.size() < (mark.large ? most_large : most_small)) list.push_back(mark);
        }
        for (const SeenMark& first : large)
            for (std::size_t a = 0; a < small.size(); ++a)
                for (std::size_t b = a + 1; b < small.size(); ++b)
                    for (std::size_t c = b + 1; c < small.size(); ++c) {
                        const auto found = lying_as_a_card({first, small[a], small[b], small[c]}, card);
                        if (found && wrong_dots(light, found->to_photo, card) == 0) return found;
                        other = other || found.has_value();
                    }
    }
    return {};
}

PhotoScale photo_scale(const Homography& to_photo, const Card& card) {
    PhotoScale whole{1e9, 0};
    for (const Point& p : {Point{0, 0}, {card.width, 0}, {card.width, card.height}, {0, card.height}, {card.width / 2, card.height / 2}}) {
        const PhotoScale here = scale_at(to_photo, p);
        whole = {std::min(whole.least, here.least), std::max(whole.most, here.most)};
    }
    return whole;
}

HeightMap straightened(const HeightMap& light, const Homography& to_photo, const Card& card, double cell, const Crew& crew) {
    HeightMap out(static_cast<int>(std::ceil(card.width / cell)), static_cast<int>(std::ceil(card.height / cell)), cell);
    const int n = std::clamp(static_cast<int>(std::ceil(photo_scale(to_photo, card).most * cell)), 1, 8);
    over_rows(crew, out.height(), 32, [&](int first, int last) {
        crew.check();
        for (int j = first; j < last; ++j)
            for (int i = 0; i < out.width(); ++i) {
                double sum = 0;
                for (int b = 0; b < n; ++b)
                    for (int a = 0; a < n; ++a)
                        sum += light_at(light, mapped(to_photo, {(i + (a + 0.5) / n) * cell, (j + (b + 0.5) / n) * cell}));
                out(i, j) = static_cast<float>(sum / (n * n));
            }
    });
    return out;
}

}  // namespace burin
