/// What is table and what is piece. The table is what the photo's border shows: a quadratic surface through the logarithm of its light and
/// colour, by least squares that leave out what sticks out (Tukey's biweight; Beaton and Tukey 1974), carries its uneven light over the
/// whole photo; the spread of what is left (1.4826 times the median deviation) is the table's texture. A shadow keeps the table's colour
/// and takes light away only. Cost: some passes over the reduced photo.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "burin/base/error.hpp"
#include "slice_parts.hpp"

namespace burin {
namespace {

constexpr int most_side = 1600;
constexpr float darkest = 0.005F;  // of full light: below it the logarithm tells grain only
constexpr std::array<float, 3> least_spread{0.03F, 0.02F, 0.02F};
constexpr int terms = 6;

[[nodiscard]] Error refused(const std::string& sentence) { return {Fault::refused, sentence}; }

/// Logarithm of light, and of red and blue beside it; row 0 lowest.
cv::Mat logarithms(const Picture& photo) {
    std::vector<float> light(65536);
    for (std::size_t v = 0; v < light.size(); ++v) {
        const double c = static_cast<double>(v) / 65535;
        const double linear = !photo.transfer.srgb ? std::pow(c, photo.transfer.gamma)
                              : c <= 0.04045       ? c / 12.92
                                                   : std::pow((c + 0.055) / 1.055, 2.4);  // IEC 61966-2-1
        light[v] = static_cast<float>(linear);
    }
    cv::Mat out(photo.height, photo.width, CV_32FC3);
    for (int j = 0; j < photo.height; ++j) {
        auto* row = out.ptr<cv::Vec3f>(photo.height - 1 - j);
        for (int i = 0; i < photo.width; ++i) {
            const std::size_t at = (static_cast<std::size_t>(j) * static_cast<std::size_t>(photo.width) + static_cast<std::size_t>(i)) *
                                   static_cast<std::size_t>(photo.channels);
            for (int c = 0; c < 3; ++c) row[i][c] = light[photo.samples[at + static_cast<std::size_t>(photo.channels == 3 ? c : 0)]];
        }
    }
    return out;
}

std::array<double, terms> powers(double u, double v) { return {1, u, v, u * u, u * v, v * v}; }

struct Place {
    std::array<double, terms> at;
    double value = 0;
};

double median_of(std::vector<double>& values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// Coefficients and the spread of what is left.
std::pair<cv::Vec<double, terms>, double> surface_through(const std::vector<Place>& places) {
    cv::Vec<double, terms> best;
    double spread = 1e9;
    std::vector<double> weights(places.size(), 1), left(places.size());
    for (int round = 0; round < 12; ++round) {
        cv::Matx<double, terms, terms> squares = cv::Matx<double, terms, terms>::zeros();
        cv::Vec<double, terms> right;
        for (std::size_t k = 0; k < places.size(); ++k)
            for (int a = 0; a < terms; ++a) {
                const double w = weights[k] * places[k].at[static_cast<std::size_t>(a)];
                right[a] += w * places[k].value;
                for (int b = 0; b < terms; ++b) squares(a, b) += w * places[k].at[static_cast<std::size_t>(b)];
            }
        for (int a = 0; a < terms; ++a) squares(a, a) += 1e-9;
        best = squares.solve(right, cv::DECOMP_CHOLESKY);
        for (std::size_t k = 0; k < places.size(); ++k) {
            double value = 0;
            for (int a = 0; a < terms; ++a) value += best[a] * places[k].at[static_cast<std::size_t>(a)];
            left[k] = places[k].value - value;
        }
        std::vector<double> away(left.size());
        std::transform(left.begin(), left.end(), away.begin(), [](double d) { return std::abs(d); });
        spread = 1.4826 * median_of(away);
        for (std::size_t k = 0; k < places.size(); ++k) {
            const double t = left[k] / (4.685 * std::max(spread, 1e-4));
            weights[k] = std::abs(t) < 1 ? (1 - t * t) * (1 - t * t) : 0;
        }
    }
    return {best, spread};
}

void fill_holes(cv::Mat& mask) {
    cv::Mat round;
    cv::copyMakeBorder(mask, round, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
    cv::floodFill(round, {0, 0}, cv::Scalar(128));
    mask = cv::Mat(round != 128)(cv::Rect(1, 1, mask.cols, mask.rows)).clone();
}

struct Pieces {
    cv::Mat largest;
    double area = 0, second = 0;
    cv::Rect box;
};

Pieces pieces_of(cv::Mat mask) {
    const cv::Mat small = cv::getStructuringElement(cv::MORPH_ELLIPSE, {5, 5}),
                  large = cv::getStructuringElement(cv::MORPH_ELLIPSE, {9, 9});
    cv::morphologyEx(mask, mask, cv::MORPH_CLOSE, small);
    fill_holes(mask);
    cv::morphologyEx(mask, mask, cv::MORPH_OPEN, large, {-1, -1}, 1, cv::BORDER_REPLICATE);
    cv::Mat labels, stats, middles;
    const int count = cv::connectedComponentsWithStats(mask, labels, stats, middles);
    Pieces out;
    int best = 0;
    for (int k = 1; k < count; ++k)
        if (const double area = stats.at<int>(k, cv::CC_STAT_AREA); area > out.area) out.area = area, best = k;
    for (int k = 1; k < count; ++k) {
        const double area = stats.at<int>(k, cv::CC_STAT_AREA);
        const double w = stats.at<int>(k, cv::CC_STAT_WIDTH), h = stats.at<int>(k, cv::CC_STAT_HEIGHT);
        const bool lath = area < 0.35 * w * h || std::max(w, h) > 5 * std::min(w, h);  // a ruler, a pencil, whichever way it lies
        if (k != best && !lath) out.second = std::max(out.second, area);
    }
    if (best == 0) return out;
    out.largest = labels == best;
    out.box = {stats.at<int>(best, cv::CC_STAT_LEFT), stats.at<int>(best, cv::CC_STAT_TOP), stats.at<int>(best, cv::CC_STAT_WIDTH),
               stats.at<int>(best, cv::CC_STAT_HEIGHT)};
    return out;
}

}  // namespace

AgainstTable against_table(const Picture& photo, const Crew& crew) {
    AgainstTable out;
    cv::Mat light = logarithms(photo);
    out.step = std::max(1.0, static_cast<double>(std::max(photo.width, photo.height)) / most_side);
    if (out.step > 1) cv::resize(light, light, cv::Size(), 1 / out.step, 1 / out.step, cv::INTER_AREA);
    out.step = static_cast<double>(photo.width) / light.cols;
    cv::GaussianBlur(light, light, cv::Size(), 1.0);
    crew.check();
    for (int j = 0; j < light.rows; ++j)
        for (auto *p = light.ptr<cv::Vec3f>(j), *end = p + light.cols; p != end; ++p) {
            const float r = std::log(std::max(darkest, (*p)[0])), g = std::log(std::max(darkest, (*p)[1])),
                        b = std::log(std::max(darkest, (*p)[2]));
            const float mean = (r + g + b) / 3;
            *p = {mean, r - mean, b - mean};
        }
    const int band = std::max(4, std::min(light.rows, light.cols) / 25);
    const int stride = std::max(1, static_cast<int>(2.0 * (light.rows + light.cols) * band / 6000));
    std::array<float, 3> units{};
    for (int c = 0; c < 3; ++c) {
        std::vector<Place> places;
        for (int j = 0, n = 0; j < light.rows; ++j)
            for (int i = 0; i < light.cols; ++i) {
                const bool rim = i < band || j < band || i >= light.cols - band || j >= light.rows - band;
                if (rim && n++ % stride == 0)
                    places.push_back(
                        {powers(2.0 * i / light.cols - 1, 2.0 * j / light.rows - 1), static_cast<double>(light.at<cv::Vec3f>(j, i)[c])});
            }
        const auto [fit, spread] = surface_through(places);
        const double unit = std::max(static_cast<double>(least_spread[static_cast<std::size_t>(c)]), spread);
        units[static_cast<std::size_t>(c)] = static_cast<float>(unit);
        for (int j = 0; j < light.rows; ++j)
            for (int i = 0; i < light.cols; ++i) {
                const auto at = powers(2.0 * i / light.cols - 1, 2.0 * j / light.rows - 1);
                double table = 0;
                for (int a = 0; a < terms; ++a) table += fit[a] * at[static_cast<std::size_t>(a)];
                float& value = light.at<cv::Vec3f>(j, i)[c];
                value = static_cast<float>((static_cast<double>(value) - table) / unit);
            }
    }
    out.planes = light;
    // A blurred edge is a mixture of light, and of its logarithm it is none: there it would lie too far on the dark side.
    out.light.create(light.size(), CV_32FC3);
    for (int j = 0; j < light.rows; ++j)
        for (int i = 0; i < light.cols; ++i) {
            const cv::Vec3f v = light.at<cv::Vec3f>(j, i);
            const float mean = v[0] * units[0], red = v[1] * units[1], blue = v[2] * units[2];
            out.light.at<cv::Vec3f>(j, i) = cv::Vec3f(std::exp(mean + red), std::exp(mean - red - blue), std::exp(mean + blue)) / units[0];
        }
    return out;
}

cv::Mat piece_mask(const AgainstTable& photo, std::vector<std::string>& warnings) {
    constexpr float other = 4.5F, other_colour = 3.5F;
    cv::Mat any(photo.planes.size(), CV_8U), no_shadow(photo.planes.size(), CV_8U);
    for (int j = 0; j < any.rows; ++j)
        for (int i = 0; i < any.cols; ++i) {
            const cv::Vec3f v = photo.planes.at<cv::Vec3f>(j, i);
            const float colour = std::sqrt(v[1] * v[1] + v[2] * v[2]), all = std::sqrt(v[0] * v[0] + colour * colour);
            any.at<uchar>(j, i) = all > other ? 255 : 0;
            no_shadow.at<uchar>(j, i) = all > other && (v[0] > 0 || colour > other_colour) ? 255 : 0;
        }
    const Pieces whole = pieces_of(any);
    Pieces found = pieces_of(no_shadow);
    if (found.area < 0.5 * whole.area) {
        found = whole;
        warnings.emplace_back(
            "The piece has the table's colour and is only darker: a shadow beside it would count as the piece. Look at the picture.");
    }
    const double picture = static_cast<double>(any.total());
    if (found.area < 0.004 * picture)
        throw refused(
            "No piece is seen in the photo: nothing large enough stands out from the table. Put it on plain paper of another colour, light "
            "it evenly, and come nearer; or draw its outline by hand with --outline.");
    if (found.box.x <= 1 || found.box.y <= 1 || found.box.br().x >= any.cols - 1 || found.box.br().y >= any.rows - 1)
        throw refused(
            "The piece touches the photo's edge, so its outline is not all there. Take the photo with plain table visible all round it; or "
            "draw its outline by hand with --outline.");
    if (found.second > 0.35 * found.area)
        throw refused(
            "Two pieces or more are seen in the photo, and which is meant is not clear. Take all but one away, cut the photo smaller, or "
            "draw "
            "the outline by hand with --outline.");
    return found.largest;
}

}  // namespace burin
