/// Poisson's equation with no flow through the border, by cosine transform.
///
/// The five-point Laplacian with mirrored borders has the cosines cos(π k (i + ½) / n) as its eigenvectors, with
/// eigenvalues 2 cos(π k / n) − 2 per axis; so: transform, divide, transform back (Strang, The Discrete Cosine
/// Transform, 1999). Cost: two transforms, n log n. The library's transform throws at odd sizes and is fifteen times
/// slower at sizes with other factors than 2, 3 and 5, so the map is put on a larger one with its border mirrored.
#include "burin/shape/poisson.hpp"

#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>
#include <vector>

namespace burin {
namespace {

bool quick(int n) {
    if (n % 2) return false;
    for (const int p : {2, 3, 5})
        while (n % p == 0) n /= p;
    return n == 1;
}

/// Index k ≥ n of the mirrored map, back in 0 … n − 1.
int mirrored(int k, int n) {
    k %= 2 * n;
    return k < n ? k : 2 * n - 1 - k;
}

std::vector<float> eigenvalues(int n) {
    std::vector<float> values(static_cast<std::size_t>(n));
    for (int k = 0; k < n; ++k) {
        const double s = std::sin(std::numbers::pi * k / (2.0 * n));
        values[static_cast<std::size_t>(k)] = static_cast<float>(-4 * s * s);
    }
    return values;
}

void divide_row(float* row, const float* across, float along, int n) {
    for (int i = 0; i < n; ++i) row[i] /= across[i] + along;
}

}  // namespace

int quick_size(int n) {
    n = std::max(n + n % 2, 2);
    while (!quick(n)) n += 2;
    return n;
}

HeightMap nearly_solve_poisson(const HeightMap& bend, const Crew& crew) {
    const int w = bend.width(), h = bend.height(), pw = quick_size(w), ph = quick_size(h);
    cv::Mat plane(ph, pw, CV_32F);
    double sum = 0;
    for (int j = 0; j < ph; ++j) {
        const float* from = bend.row(mirrored(j, h));
        float* to = plane.ptr<float>(j);
        std::copy(from, from + w, to);
        for (int i = w; i < pw; ++i) to[i] = from[mirrored(i, w)];
        double row_sum = 0;
        for (int i = 0; i < pw; ++i) row_sum += to[i];
        sum += row_sum;
    }
    plane -= static_cast<float>(sum / (static_cast<double>(pw) * ph));
    crew.check();
    cv::dct(plane, plane);
    const auto across = eigenvalues(pw), along = eigenvalues(ph);
    plane.at<float>(0, 0) = 0;
    over_rows(crew, ph, 128, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const int skip = j == 0 ? 1 : 0;  // the mean is free
            divide_row(plane.ptr<float>(j) + skip, across.data() + skip, along[static_cast<std::size_t>(j)], pw - skip);
        }
    });
    crew.check();
    cv::idct(plane, plane);
    HeightMap u = bend.like(0.0F);
    double mean = 0;
    for (int j = 0; j < h; ++j) {
        const float* from = plane.ptr<float>(j);
        std::copy(from, from + w, u.row(j));
        double row_sum = 0;
        for (int i = 0; i < w; ++i) row_sum += from[i];
        mean += row_sum;
    }
    mean /= static_cast<double>(u.size());
    for (float& v : u.values()) v -= static_cast<float>(mean);
    return u;
}

HeightMap solve_poisson(const HeightMap& bend, const Crew& crew) {
    HeightMap u = nearly_solve_poisson(bend, crew);
    if (quick(bend.width()) && quick(bend.height())) return u;
    double sum = 0;
    for (const float v : bend.values()) sum += v;
    const auto mean = static_cast<float>(sum / static_cast<double>(bend.size()));
    HeightMap source = bend;
    for (float& v : source.values()) v = mean - v;
    const Net net{bend.like(1.0F), bend.like(1.0F), {}};
    solve_net(net, std::move(source), u, 1e-4, 20, crew);
    return u;
}

}  // namespace burin
