/// The piece's edge and its bark, in strips laid along the line: across an edge light and colour change most, and a path through the strip
/// gathers as much of that change as it can. Cost: places × depths.
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "slice_parts.hpp"

namespace burin {
namespace {

constexpr double column = 0.5;  // pixels of depth

Point along(const EdgeLine& line, std::size_t k, double out) {
    return {line.at[k].x + line.outward[k].x * out, line.at[k].y + line.outward[k].y * out};
}

/// Outward of a counter-clockwise line, from its neighbours.
void turn_outward(EdgeLine& line, double smooth) {
    const std::size_t n = line.at.size();
    std::vector<double> x(n), y(n);
    for (std::size_t k = 0; k < n; ++k) x[k] = line.at[k].x, y[k] = line.at[k].y;
    x = smoothed_round(x, smooth), y = smoothed_round(y, smooth);
    line.outward.resize(n);
    for (std::size_t k = 0; k < n; ++k) {
        const std::size_t a = (k + n - 1) % n, b = (k + 1) % n;
        const double dx = x[b] - x[a], dy = y[b] - y[a], length = std::max(1e-9, std::hypot(dx, dy));
        line.outward[k] = {dy / length, -dx / length};
    }
}

double median_of(std::vector<double> values) {
    if (values.empty()) return 0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

}  // namespace

cv::Vec3f plane_at(const cv::Mat& planes, double x, double y) {
    const double cx = std::clamp(x - 0.5, 0.0, planes.cols - 1.001), cy = std::clamp(y - 0.5, 0.0, planes.rows - 1.001);
    const int i = static_cast<int>(cx), j = static_cast<int>(cy);
    const auto u = static_cast<float>(cx - i), v = static_cast<float>(cy - j);
    const auto *low = planes.ptr<cv::Vec3f>(j) + i, *high = planes.ptr<cv::Vec3f>(j + 1) + i;
    return (1 - v) * ((1 - u) * low[0] + u * low[1]) + v * ((1 - u) * high[0] + u * high[1]);
}

std::vector<double> smoothed_round(const std::vector<double>& values, double sigma) {
    const int n = static_cast<int>(values.size()), reach = std::min(n / 2, static_cast<int>(std::ceil(4 * sigma)));
    if (!(sigma > 0.1) || reach < 1) return values;
    std::vector<double> weights, out(values.size());
    double sum = 0;
    for (int d = -reach; d <= reach; ++d) weights.push_back(std::exp(-d * d / (2 * sigma * sigma))), sum += weights.back();
    for (int k = 0; k < n; ++k) {
        double value = 0;
        for (int d = -reach; d <= reach; ++d)
            value += weights[static_cast<std::size_t>(d + reach)] * values[static_cast<std::size_t>(((k + d) % n + n) % n)];
        out[static_cast<std::size_t>(k)] = value / sum;
    }
    return out;
}

EdgeLine line_of(const cv::Mat& mask, double smooth) {
    std::vector<std::vector<cv::Point>> lines;
    cv::findContours(mask, lines, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
    const auto& contour =
        *std::max_element(lines.begin(), lines.end(), [](const auto& a, const auto& b) { return cv::contourArea(a) < cv::contourArea(b); });
    std::vector<double> reach{0};
    const auto at = [&](std::size_t k) { return Point{contour[k % contour.size()].x + 0.5, contour[k % contour.size()].y + 0.5}; };
    for (std::size_t k = 0; k < contour.size(); ++k) reach.push_back(reach.back() + distance(at(k), at(k + 1)));
    const auto count = static_cast<std::size_t>(std::clamp(reach.back() / 2, 180.0, 2400.0));
    EdgeLine line;
    std::size_t k = 0;
    for (std::size_t n = 0; n < count; ++n) {
        const double s = reach.back() * static_cast<double>(n) / static_cast<double>(count);
        while (reach[k + 1] < s) ++k;
        const double u = (s - reach[k]) / std::max(1e-9, reach[k + 1] - reach[k]);
        line.at.push_back({at(k).x + u * (at(k + 1).x - at(k).x), at(k).y + u * (at(k + 1).y - at(k).y)});
    }
    double area = 0;
    for (std::size_t n = 0; n < count; ++n) {
        const Point &a = line.at[n], &b = line.at[(n + 1) % count];
        area += a.x * b.y - b.x * a.y;
    }
    if (area < 0) std::reverse(line.at.begin(), line.at.end());
    turn_outward(line, smooth);
    return line;
}

std::vector<double> best_path(const cv::Mat& gain, double bend) {
    const int n = gain.rows, m = gain.cols, lap = n / 4;  // a quarter lap more at either end lets the end meet the beginning
    const int rows = n + 2 * lap;
    cv::Mat from(rows, m, CV_8S, cv::Scalar(0));
    std::vector<double> sum(static_cast<std::size_t>(m), 0), next(sum);
    for (int r = 0; r < rows; ++r) {
        const float* here = gain.ptr<float>((r - lap + n) % n);
        for (int c = 0; c < m; ++c) {
            double best = -1e30;
            for (const int d : {0, -1, 1}) {
                if (c + d < 0 || c + d >= m) continue;
                const double value = sum[static_cast<std::size_t>(c + d)] - std::abs(d) * bend;
                if (value > best) best = value, from.at<schar>(r, c) = static_cast<schar>(d);
            }
            next[static_cast<std::size_t>(c)] = best + static_cast<double>(here[c]);
        }
        std::swap(sum, next);
    }
    int c = static_cast<int>(std::max_element(sum.begin(), sum.end()) - sum.begin());
    std::vector<double> path(static_cast<std::size_t>(n));
    for (int r = rows - 1; r >= 0; --r) {
        if (r >= lap && r < lap + n) {
            // The top of a parabola through the neighbours lies between columns.
            const float* here = gain.ptr<float>(r - lap);
            double off = 0;
            if (c > 0 && c + 1 < m) {
                const double a = static_cast<double>(here[c - 1]), b = static_cast<double>(here[c]), e = static_cast<double>(here[c + 1]),
                             bent = a - 2 * b + e;
                if (bent < -1e-9) off = std::clamp((a - e) / (2 * bent), -0.5, 0.5);
            }
            path[static_cast<std::size_t>(r - lap)] = c + off;
        }
        c += from.at<schar>(r, c);
    }
    return path;
}

std::vector<double> settle_edge(const cv::Mat& planes, double reach, double smooth, EdgeLine& line) {
    constexpr double apart = 1.5;
    constexpr float full = 40;  // spreads: beyond it a change is only clearer than clear
    const int columns = static_cast<int>(std::ceil(2 * reach / column)) + 1;
    const std::size_t n = line.at.size();
    cv::Mat gain(static_cast<int>(n), columns, CV_32F);
    for (std::size_t k = 0; k < n; ++k) {
        float* row = gain.ptr<float>(static_cast<int>(k));
        for (int c = 0; c < columns; ++c) {
            const double out = c * column - reach;
            const Point a = along(line, k, out - apart), b = along(line, k, out + apart);
            row[c] = static_cast<float>(cv::norm(plane_at(planes, a.x, a.y) - plane_at(planes, b.x, b.y)));
        }
        // The form of each place's peak is kept, whatever its height.
        const float most = *std::max_element(row, row + columns);
        for (int c = 0; c < columns && most > full; ++c) row[c] *= full / most;
    }
    std::vector<double> path = best_path(gain, 2.0);
    std::vector<double> clear(n);
    for (std::size_t k = 0; k < n; ++k)
        clear[k] = static_cast<double>(gain.at<float>(static_cast<int>(k), static_cast<int>(std::lround(path[k]))));
    for (double& c : path) c = c * column - reach;
    path = smoothed_round(path, smooth);
    // The line that the path hangs on is a mask's, full of steps: it is what is smoothed in the end.
    std::vector<double> x(n), y(n);
    for (std::size_t k = 0; k < n; ++k) {
        const Point p = along(line, k, path[k]);
        x[k] = p.x, y[k] = p.y;
    }
    x = smoothed_round(x, smooth), y = smoothed_round(y, smooth);
    for (std::size_t k = 0; k < n; ++k) line.at[k] = {x[k], y[k]};
    turn_outward(line, 2 * smooth);
    return clear;
}

namespace {

struct Means {
    cv::Vec3d mean, spread;
};

/// Of the strip between depths (columns, by place), medians and spreads.
template <class From, class To>
Means means_between(const cv::Mat& strip, const From& from, const To& to) {
    std::array<std::vector<double>, 3> values;
    for (int k = 0; k < strip.rows; k += 2)
        for (int c = std::max(0, from(k)); c < std::min(strip.cols, to(k)); c += 2)
            for (int p = 0; p < 3; ++p) values[static_cast<std::size_t>(p)].push_back(static_cast<double>(strip.at<cv::Vec3f>(k, c)[p]));
    Means out;
    for (int p = 0; p < 3; ++p) {
        auto& list = values[static_cast<std::size_t>(p)];
        out.mean[p] = median_of(list);
        for (double& v : list) v = std::abs(v - out.mean[p]);
        out.spread[p] = 1.4826 * median_of(list);
    }
    return out;
}

}  // namespace

Bark find_bark(const cv::Mat& planes, const EdgeLine& line, double pixels_per_mm, double deepest, double smooth) {
    const auto columns_in = [&](double mm) { return static_cast<int>(std::lround(mm * pixels_per_mm / column)); };
    const int n = static_cast<int>(line.at.size()), depth = columns_in(deepest), skin = std::max(3, columns_in(0.6));
    cv::Mat strip(n, depth, CV_32FC3);
    for (int k = 0; k < n; ++k)
        for (int c = 0; c < depth; ++c) {
            const Point p = along(line, static_cast<std::size_t>(k), -c * column);
            strip.at<cv::Vec3f>(k, c) = plane_at(planes, p.x, p.y);
        }
    std::vector<double> path(static_cast<std::size_t>(n), skin + columns_in(0.5));
    double contrast = 0;
    const int apart = std::max(2, columns_in(0.35));
    for (int round = 0; round < 3; ++round) {
        const auto edge = [&](int k) { return static_cast<int>(path[static_cast<std::size_t>(k)]); };
        const Means ring = means_between(
            strip, [&](int) { return skin / 2; }, [&](int k) { return std::max(skin, edge(k) - apart); });
        const int first = round == 0 ? depth / 2 : 0;
        const Means wood = means_between(
            strip, [&](int k) { return std::max(first, edge(k) + apart); }, [&](int) { return depth; });
        cv::Vec3d weight;
        double square = 0;
        for (int p = 0; p < 3; ++p) {
            const double spread = ring.spread[p] * ring.spread[p] + wood.spread[p] * wood.spread[p] + 1;
            weight[p] = (wood.mean[p] - ring.mean[p]) / spread;
            square += (wood.mean[p] - ring.mean[p]) * weight[p];
        }
        contrast = std::sqrt(square);
        const double unit = 1 / std::max(1e-9, std::sqrt(square));
        cv::Mat gain(n, depth, CV_32F, cv::Scalar(-1));
        for (int k = 0; k < n; ++k)
            for (int c = skin; c < depth - apart; ++c) {
                const cv::Vec3f d = strip.at<cv::Vec3f>(k, std::min(depth - 1, c + apart)) - strip.at<cv::Vec3f>(k, std::max(0, c - apart));
                gain.at<float>(k, c) =
                    static_cast<float>(unit * (weight[0] * static_cast<double>(d[0]) + weight[1] * static_cast<double>(d[1]) +
                                               weight[2] * static_cast<double>(d[2])));
            }
        path = best_path(gain, 0.3);
    }
    Bark bark;
    bark.contrast = contrast;
    const double mean = median_of(path);
    if (contrast < 2 || mean < skin + 1) return bark;
    for (double& c : path) c *= column;
    bark.depth = smoothed_round(path, smooth);
    return bark;
}

}  // namespace burin
