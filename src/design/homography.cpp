/// The map of the plane by four points and their partners: h0…h7 from
///     x' = h0 x + h1 y + h2 − x' (h6 x + h7 y),   y' = h3 x + h4 y + h5 − y' (h6 x + h7 y),
/// two rows for each pair (plane projective geometry); solved by elimination with row pivots. Both sets are first brought round the
/// origin at a size near 1, so that the pivots are alike. Cost: 8³ / 3 steps.
#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/design/card_photo.hpp"

namespace burin {
namespace {

using Row = std::array<double, 9>;

/// x' = (x − x0) · s.
struct Frame {
    double x = 0, y = 0, scale = 1;
    [[nodiscard]] Point in(const Point& p) const { return {(p.x - x) * scale, (p.y - y) * scale}; }
};

Frame frame_of(const std::array<Point, 4>& points) {
    Frame frame;
    for (const Point& p : points) frame.x += p.x / 4, frame.y += p.y / 4;
    double far = 0;
    for (const Point& p : points) far = std::max(far, std::hypot(p.x - frame.x, p.y - frame.y));
    if (far > 0) frame.scale = 1 / far;
    return frame;
}

Homography solved(std::array<Row, 8>& rows) {
    for (std::size_t k = 0; k < 8; ++k) {
        const auto largest = std::max_element(rows.begin() + static_cast<std::ptrdiff_t>(k), rows.end(),
                                              [&](const Row& a, const Row& b) { return std::abs(a[k]) < std::abs(b[k]); });
        std::swap(rows[k], *largest);
        if (!(std::abs(rows[k][k]) > 1e-9)) throw Error(Fault::refused, "Three of the four marks lie on one line, so they span no card.");
        for (std::size_t r = k + 1; r < 8; ++r) {
            const double share = rows[r][k] / rows[k][k];
            for (std::size_t c = k; c < 9; ++c) rows[r][c] -= share * rows[k][c];
        }
    }
    Homography h{};
    for (std::size_t k = 8; k-- > 0;) {
        double sum = rows[k][8];
        for (std::size_t c = k + 1; c < 8; ++c) sum -= rows[k][c] * h[c];
        h[k] = sum / rows[k][k];
    }
    return h;
}

using Matrix = std::array<std::array<double, 3>, 3>;
Matrix product(const Matrix& a, const Matrix& b) {
    Matrix out{};
    for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j < 3; ++j)
            for (std::size_t k = 0; k < 3; ++k) out[i][j] += a[i][k] * b[k][j];
    return out;
}

}  // namespace

Homography homography_of(const std::array<Point, 4>& from, const std::array<Point, 4>& to) {
    const Frame f = frame_of(from), t = frame_of(to);
    std::array<Row, 8> rows{};
    for (std::size_t k = 0; k < 4; ++k) {
        const Point p = f.in(from[k]), q = t.in(to[k]);
        rows[2 * k] = {p.x, p.y, 1, 0, 0, 0, -q.x * p.x, -q.x * p.y, q.x};
        rows[2 * k + 1] = {0, 0, 0, p.x, p.y, 1, -q.y * p.x, -q.y * p.y, q.y};
    }
    const Homography h = solved(rows);
    const Matrix middle{{{h[0], h[1], h[2]}, {h[3], h[4], h[5]}, {h[6], h[7], 1}}};
    const Matrix before{{{f.scale, 0, -f.x * f.scale}, {0, f.scale, -f.y * f.scale}, {0, 0, 1}}};
    const Matrix after{{{1 / t.scale, 0, t.x}, {0, 1 / t.scale, t.y}, {0, 0, 1}}};
    const Matrix whole = product(after, product(middle, before));
    const double w = whole[2][2];
    if (!(std::abs(w) > 1e-12)) throw Error(Fault::refused, "The marks lie as no photo of a card from above shows them.");
    return {whole[0][0] / w, whole[0][1] / w, whole[0][2] / w, whole[1][0] / w,
            whole[1][1] / w, whole[1][2] / w, whole[2][0] / w, whole[2][1] / w};
}

Point mapped(const Homography& h, const Point& p) {
    const double w = h[6] * p.x + h[7] * p.y + 1;
    return {(h[0] * p.x + h[1] * p.y + h[2]) / w, (h[3] * p.x + h[4] * p.y + h[5]) / w};
}

}  // namespace burin
