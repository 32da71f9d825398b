/// Where the camera stood, from what is known in the photo, and the photo as it would look from straight above.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/design/slice.hpp"
#include "card_marks.hpp"

namespace burin {

Homography view_by_distance(const Point& a, const Point& b, double mm) {
    const double pixels = distance(a, b);
    if (!(pixels >= 1))
        throw Error(Fault::usage,
                    "--distance: both places are the same. Give two that lie far apart, as in --distance 210,880,1410,890,100.");
    const double s = mm / pixels;
    return {s, 0, 0, 0, s, 0, 0, 0};
}

Homography view_by_marks(const std::array<Point, 4>& corners, const Point& size) {
    for (std::size_t k = 0; k < 4; ++k) {
        const Point &a = corners[k], &b = corners[(k + 1) % 4], &c = corners[(k + 2) % 4];
        const double turn = (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
        if (!(turn > 0.02 * distance(a, b) * distance(b, c)))
            throw Error(Fault::usage,
                        "The four marks do not go round a rectangle. Give them in this order: lower left, lower right, upper right, upper "
                        "left, each as X,Y in pixels from the photo's upper left corner.");
    }
    return homography_of(corners, {{{0, 0}, {size.x, 0}, size, {0, size.y}}});
}

std::array<Point, 4> printed_marks(const Picture& photo, const Crew& crew) {
    std::vector<SeenMark> marks = find_marks(luminance(photo, photo.width), {}, crew);
    std::erase_if(marks, [](const SeenMark& mark) { return mark.lighter; });
    std::vector<Point> small;
    std::optional<Point> large;
    for (const SeenMark& mark : marks) {
        if (mark.large && !large) large = mark.centre;
        if (!mark.large && small.size() < 3) small.push_back(mark.centre);
    }
    if (!large || small.size() < 3)
        throw Error(Fault::refused,
                    fmt::format("Of the four printed marks {} can be seen in the photo. Take it again with all four in the light and in "
                                "focus, or give their places: --marks X,Y,X,Y,X,Y,X,Y.",
                                small.size() + (large ? 1 : 0)));
    Point middle = *large;
    for (const Point& p : small) middle = {middle.x + p.x, middle.y + p.y};
    middle = {middle.x / 4, middle.y / 4};
    const auto angle = [&](const Point& p) {
        const double a = std::atan2(p.y - middle.y, p.x - middle.x) - std::atan2(large->y - middle.y, large->x - middle.x);
        return a < 0 ? a + 2 * std::numbers::pi : a;
    };
    std::sort(small.begin(), small.end(), [&](const Point& a, const Point& b) { return angle(a) < angle(b); });
    return {*large, small[0], small[1], small[2]};
}

Homography inverse_of(const Homography& h) {
    // The adjoint of [h0 h1 h2; h3 h4 h5; h6 h7 1], divided by its last entry.
    const double a = h[4] - h[5] * h[7], b = h[2] * h[7] - h[1], c = h[1] * h[5] - h[2] * h[4];
    const double d = h[5] * h[6] - h[3], e = h[0] - h[2] * h[6], f = h[2] * h[3] - h[0] * h[5];
    const double g = h[3] * h[7] - h[4] * h[6], i = h[1] * h[6] - h[0] * h[7], w = h[0] * h[4] - h[1] * h[3];
    if (!(std::abs(w) > 1e-15)) throw Error(Fault::refused, "The marks lie as no photo from above shows them. Give them again.");
    return {a / w, b / w, c / w, d / w, e / w, f / w, g / w, i / w};
}

StraightPhoto straight_photo(const Picture& photo, const Homography& to_mm, const Box& box, double pixel, const Crew& crew) {
    const Homography back = inverse_of(to_mm);
    StraightPhoto out;
    out.width = std::max(1, static_cast<int>(std::ceil(box.width() / pixel - 1e-9)));
    out.height = std::max(1, static_cast<int>(std::ceil(box.height() / pixel - 1e-9)));
    out.pixel = pixel;
    out.box = {box.lo, {box.lo.x + out.width * pixel, box.lo.y + out.height * pixel}};
    out.rgb.resize(static_cast<std::size_t>(out.width) * static_cast<std::size_t>(out.height) * 3);
    const auto channels = static_cast<std::size_t>(photo.channels);
    const auto sample = [&](int i, int row, std::size_t c) {
        const std::size_t at =
            (static_cast<std::size_t>(row) * static_cast<std::size_t>(photo.width) + static_cast<std::size_t>(i)) * channels;
        return static_cast<double>(photo.samples[at + (channels == 3 ? c : 0)]) / 257;
    };
    over_rows(crew, out.height, 16, [&](int first, int last) {
        crew.check();
        for (int r = first; r < last; ++r)
            for (int i = 0; i < out.width; ++i) {
                const Point p = mapped(back, {out.box.lo.x + (i + 0.5) * pixel, out.box.hi.y - (r + 0.5) * pixel});
                const double x = std::clamp(p.x - 0.5, 0.0, photo.width - 1.0),
                             y = std::clamp(photo.height - p.y - 0.5, 0.0, photo.height - 1.0);
                const int i0 = static_cast<int>(x), j0 = static_cast<int>(y), i1 = std::min(i0 + 1, photo.width - 1),
                          j1 = std::min(j0 + 1, photo.height - 1);
                const double u = x - i0, v = y - j0;
                for (std::size_t c = 0; c < 3; ++c)
                    out.rgb[(static_cast<std::size_t>(r) * static_cast<std::size_t>(out.width) + static_cast<std::size_t>(i)) * 3 + c] =
                        static_cast<std::uint8_t>(std::lround((1 - v) * ((1 - u) * sample(i0, j0, c) + u * sample(i1, j0, c)) +
                                                              v * ((1 - u) * sample(i0, j1, c) + u * sample(i1, j1, c))));
            }
    });
    return out;
}

}  // namespace burin
