/// Marks by their nesting: at a level of light that parts ring from ground, a ring is an edge with a hole in it, and a disc in that hole,
/// all three round one middle, ellipses by their moments, with areas in the card's proportion. Areas' ratios do not change when the card
/// is seen at a slant (they are affine, and a mark is small), so nothing need be known of where the camera stood. Every level is tried:
/// light may differ between one corner and another as it likes. Contours are OpenCV's (Suzuki and Abe 1985).
/// Cost: levels × two ways × the reduced picture's pixels.
#include "card_marks.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "burin/design/card.hpp"

namespace burin {
namespace {

constexpr int most_side = 1600;     // pixels of the reduced picture
constexpr double least_radius = 5;  // pixels: below this a disc is a speck
constexpr std::size_t most_contours = 200000;

/// What a contour encloses, its own pixels reckoned in.
struct Oval {
    double area = 0;
    Point centre;
    double roundness = 0;  ///< area ÷ that of the ellipse with its moments: 1 for ellipses
};

/// Contours run through the middles of border pixels: half a pixel more all round belongs to what is enclosed, `grow` = 1; a hole's line
/// runs through the pixels around it, `grow` = −1.
Oval oval_of(const std::vector<cv::Point>& line, int grow) {
    const cv::Moments m = cv::moments(line);
    Oval oval;
    if (!(m.m00 > 0)) return oval;
    const double length = cv::arcLength(line, true);
    oval.area = std::max(0.0, m.m00 + grow * length / 2);
    oval.centre = {m.m10 / m.m00, m.m01 / m.m00};
    const double a = m.mu20 / m.m00, b = m.mu11 / m.m00, c = m.mu02 / m.m00, determinant = a * c - b * b;
    if (determinant > 0) oval.roundness = m.m00 / (4 * std::numbers::pi * std::sqrt(determinant));
    return oval;
}

struct Reduced {
    cv::Mat light;    ///< smoothed, row 0 lowest
    double step = 1;  ///< pixels of the photo in one of these
};

Reduced reduced(const HeightMap& light, double smooth) {
    const cv::Mat whole(light.height(), light.width(), CV_32F, const_cast<float*>(light.row(0)));
    Reduced out;
    const int side = std::max(light.width(), light.height());
    out.step = std::max(1.0, static_cast<double>(side) / most_side);
    if (out.step > 1)
        cv::resize(whole, out.light, cv::Size(), 1 / out.step, 1 / out.step, cv::INTER_AREA);
    else
        out.light = whole.clone();
    cv::GaussianBlur(out.light, out.light, cv::Size(), smooth);
    return out;
}

/// Levels between the darkest and the lightest that matter, evenly in the logarithm.
std::vector<float> levels_of(const cv::Mat& light, int levels) {
    std::vector<float> values;
    const int stride = std::max(1, static_cast<int>(std::sqrt(static_cast<double>(light.total()) / 20000)));
    for (int j = 0; j < light.rows; j += stride)
        for (int i = 0; i < light.cols; i += stride) values.push_back(light.at<float>(j, i));
    std::sort(values.begin(), values.end());
    const auto at = [&](double share) { return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))]; };
    const double lo = std::max(1e-3, static_cast<double>(at(0.005))), hi = std::max(lo * 1.001, static_cast<double>(at(0.995)));
    std::vector<float> out;
    for (int k = 0; k < levels; ++k) out.push_back(static_cast<float>(lo * std::pow(hi / lo, (k + 0.5) / levels)));
    return out;
}

using Contours = std::vector<std::vector<cv::Point>>;

/// The largest of the contours that lie directly in `parent`; −1: none.
int largest_child(const Contours& lines, const std::vector<cv::Vec4i>& tree, int parent) {
    int best = -1;
    double most = 0;
    for (int k = tree[static_cast<std::size_t>(parent)][2]; k >= 0; k = tree[static_cast<std::size_t>(k)][0])
        if (const double area = cv::contourArea(lines[static_cast<std::size_t>(k)]); area > most) most = area, best = k;
    return best;
}

bool is_mark(const Contours& lines, const std::vector<cv::Vec4i>& tree, int outer_line, SeenMark& mark) {
    constexpr double outer_area = Card::ring_outer * Card::ring_outer;
    constexpr double hole_share = Card::ring_inner * Card::ring_inner / outer_area;
    constexpr double small_share = Card::small_disc * Card::small_disc / outer_area,
                     large_share = Card::large_disc * Card::large_disc / outer_area;
    const auto& edge = lines[static_cast<std::size_t>(outer_line)];
    if (static_cast<double>(edge.size()) < 4 * least_radius) return false;
    const int hole_line = largest_child(lines, tree, outer_line);
    const int disc_line = hole_line < 0 ? -1 : largest_child(lines, tree, hole_line);
    if (disc_line < 0) return false;
    const Oval outer = oval_of(edge, 1), hole = oval_of(lines[static_cast<std::size_t>(hole_line)], -1),
               disc = oval_of(lines[static_cast<std::size_t>(disc_line)], 1);
    if (outer.area < std::numbers::pi * least_radius * least_radius) return false;
    const auto round = [](const Oval& oval, double slack) { return std::abs(oval.roundness - 1) < slack; };
    if (!round(outer, 0.08) || !round(hole, 0.1) || !round(disc, 0.25)) return false;
    mark.radius = std::sqrt(outer.area / std::numbers::pi);
    if (distance(outer.centre, hole.centre) > 0.1 * mark.radius || distance(outer.centre, disc.centre) > 0.12 * mark.radius) return false;
    const double hole_part = hole.area / outer.area, disc_part = disc.area / outer.area, middle = std::sqrt(small_share * large_share);
    if (std::abs(hole_part / hole_share - 1) > 0.3 || disc_part < 0.45 * small_share || disc_part > 1.45 * large_share) return false;
    mark.large = disc_part > middle;
    mark.centre = {(outer.centre.x + hole.centre.x) / 2, (outer.centre.y + hole.centre.y) / 2};
    mark.seen = 1;
    return true;
}

/// Whether a line goes round what is marked, and not round a hole in it: lines of both kinds take turns from the outside in.
bool goes_round_ink(const std::vector<cv::Vec4i>& tree, int line) {
    bool ink = true;
    for (int k = tree[static_cast<std::size_t>(line)][3]; k >= 0; k = tree[static_cast<std::size_t>(k)][3]) ink = !ink;
    return ink;
}

void look(const cv::Mat& mask, bool lighter, std::vector<SeenMark>& found) {
    Contours lines;
    std::vector<cv::Vec4i> tree;
    cv::findContours(mask, lines, tree, cv::RETR_TREE, cv::CHAIN_APPROX_NONE);
    if (lines.size() > most_contours) return;  // grain, no edges
    for (int k = 0; k < static_cast<int>(lines.size()); ++k) {
        SeenMark mark;
        mark.lighter = lighter;
        if (tree[static_cast<std::size_t>(k)][2] >= 0 && is_mark(lines, tree, k, mark) && goes_round_ink(tree, k)) found.push_back(mark);
    }
}

/// The same mark seen at several levels becomes one, its middle that of all.
std::vector<SeenMark> merged(const std::vector<SeenMark>& found) {
    struct Sum {
        SeenMark first;
        double x = 0, y = 0, radius = 0;
        int seen = 0, large = 0;
    };
    std::vector<Sum> sums;
    for (const SeenMark& mark : found) {
        auto at = std::find_if(sums.begin(), sums.end(), [&](const Sum& s) {
            return s.first.lighter == mark.lighter && distance(s.first.centre, mark.centre) < 0.5 * std::min(s.first.radius, mark.radius);
        });
        if (at == sums.end()) at = sums.insert(at, Sum{mark});
        at->x += mark.centre.x, at->y += mark.centre.y, at->radius += mark.radius;
        at->seen += 1, at->large += mark.large ? 1 : 0;
    }
    std::vector<SeenMark> marks;
    for (const Sum& s : sums)
        marks.push_back({{s.x / s.seen, s.y / s.seen}, s.radius / s.seen, 2 * s.large > s.seen, s.first.lighter, s.seen});
    std::stable_sort(marks.begin(), marks.end(), [](const SeenMark& a, const SeenMark& b) { return a.seen > b.seen; });
    return marks;
}

}  // namespace

std::vector<SeenMark> find_marks(const HeightMap& light, const MarkSearch& search, const Crew& crew) {
    if (std::min(light.width(), light.height()) < 16) return {};
    const Reduced small = reduced(light, search.smooth);
    const std::vector<float> all = levels_of(small.light, search.levels);
    std::vector<std::vector<SeenMark>> parts(2 * all.size());
    in_parallel(crew, static_cast<int>(parts.size()), [&](int part) {
        crew.check();
        const auto k = static_cast<std::size_t>(part);
        const bool lighter = part % 2 == 1;
        const cv::Mat mask = lighter ? cv::Mat(small.light > all[k / 2]) : cv::Mat(small.light <= all[k / 2]);
        look(mask, lighter, parts[k]);
    });
    std::vector<SeenMark> found;
    for (const auto& part : parts) found.insert(found.end(), part.begin(), part.end());
    std::vector<SeenMark> marks = merged(found);
    for (SeenMark& mark : marks) {
        // Pixel k's middle lies k + ½ from the edge.
        mark.centre = {(mark.centre.x + 0.5) * small.step, (mark.centre.y + 0.5) * small.step};
        mark.radius *= small.step;
    }
    return marks;
}

}  // namespace burin
