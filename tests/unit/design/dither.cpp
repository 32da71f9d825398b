// Dots for greys: weights and matrices as published, named beside each; that the mean tone is kept follows from weights that sum to 1
// (ordered 4 × 4: to 1/32, Bayer 1973). Half a per cent, and the same on any number of threads, are our own, no source.
#include "burin/design/dither.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <opencv2/core.hpp>

#include "check.hpp"

namespace {

using namespace burin;

constexpr Dither all[] = {Dither::floyd_steinberg, Dither::jarvis,       Dither::stucki,
                          Dither::ordered,         Dither::ordered_fine, Dither::blue_noise};

double mean_of(const Grid<std::uint8_t>& dots) {
    const auto v = dots.values();
    return std::accumulate(v.begin(), v.end(), 0.0) / static_cast<double>(v.size());
}

/// Power at each whole frequency from the middle of the spectrum, a mean over the ring: Ulichney's radially averaged spectrum, in
/// shares of what dots strewn at random would have at that grey, g(1 − g).
std::vector<double> spectrum_of(const Grid<std::uint8_t>& dots, double grey) {
    const int n = dots.width();
    cv::Mat samples(n, n, CV_64F), out;
    for (int j = 0; j < n; ++j)
        for (int i = 0; i < n; ++i) samples.at<double>(j, i) = dots(i, j) - grey;
    cv::dft(samples, out, cv::DFT_COMPLEX_OUTPUT);
    std::vector<double> power(static_cast<std::size_t>(n * 7 / 10), 0), count(power);
    for (int j = 0; j < n; ++j)
        for (int i = 0; i < n; ++i) {
            const double f = std::hypot(std::min(i, n - i), std::min(j, n - j));
            const auto ring = static_cast<std::size_t>(std::lround(f));
            if (ring == 0 || ring >= power.size()) continue;
            const auto c = out.at<cv::Vec2d>(j, i);
            power[ring] += (c[0] * c[0] + c[1] * c[1]) / (n * n * grey * (1 - grey));
            count[ring] += 1;
        }
    for (std::size_t k = 1; k < power.size(); ++k) power[k] /= count[k];
    return power;
}

}  // namespace

TEST_CASE("The shares of the error are as published") {
    // Floyd and Steinberg 1976; Jarvis, Judice and Ninke 1976; Stucki 1981.
    const struct {
        Dither method;
        int divisor;
        std::vector<int> weights;  // the rest of the row, then the rows below from the left
    } published[] = {{Dither::floyd_steinberg, 16, {7, 3, 5, 1}},
                     {Dither::jarvis, 48, {7, 5, 3, 5, 7, 5, 3, 1, 3, 5, 3, 1}},
                     {Dither::stucki, 42, {8, 4, 2, 4, 8, 4, 2, 1, 2, 4, 2, 1}}};
    for (const auto& p : published) {
        const auto shares = diffused_shares(p.method);
        REQUIRE(shares.size() == p.weights.size());
        const int wide = shares.size() == 4 ? 1 : 2;
        int right = 1, down = 0;
        double sum = 0;
        for (std::size_t k = 0; k < shares.size(); ++k) {
            CHECK(shares[k].right == right);
            CHECK(shares[k].down == down);
            CHECK(shares[k].share * static_cast<float>(p.divisor) == Approx(p.weights[k]));
            sum += static_cast<double>(shares[k].share);
            if (++right > wide) right = -wide, ++down;
        }
        CHECK(sum == Approx(1).margin(1e-6));  // nothing of the error is lost: the same papers
    }
}

TEST_CASE("A single cell hands its error on, to the other side where the row runs back") {
    // By hand: 0.4 is below the half, so 0.4 · 7/16 = 0.175 goes to the next one: 0.34 + 0.175 > 0.5 is a dot, 0.32 + 0.175 is none.
    for (const float next : {0.34F, 0.32F}) {
        Grid<float> g(2, 1, 1);
        g(0, 0) = 0.4F, g(1, 0) = next;
        const auto dots = dithered(g, Dither::floyd_steinberg);
        CHECK(dots(0, 0) == 0);
        CHECK(dots(1, 0) == (next > 0.33F ? 1 : 0));
    }
    // The second row runs from right to left: the cell on the right is asked first and hands its error to the left.
    Grid<float> g(2, 2, 1);
    g(1, 0) = 0.45F, g(0, 0) = 0.32F;  // row 0 is the lower, second one; 0.32 + 0.45 · 7/16 = 0.517
    CHECK(dithered(g, Dither::floyd_steinberg, true)(0, 0) == 1);
    CHECK(dithered(g, Dither::floyd_steinberg, false)(0, 0) == 0);
}

TEST_CASE("The ordered matrix is Bayer's") {
    // Bayer 1973.
    CHECK(bayer_matrix(4) == std::vector<std::uint16_t>{0, 8, 2, 10, 12, 4, 14, 6, 3, 11, 1, 9, 15, 7, 13, 5});
    // The upper left cell is set first, its row at the highest y: only there is 1/16 above (0 + ½)/16.
    Grid<float> g(4, 4, 1, {}, 1.0F / 16);
    const auto dots = dithered(g, Dither::ordered);
    CHECK(mean_of(dots) == 1.0 / 16);
    CHECK(dots(0, 3) == 1);
    CHECK_THROWS_AS(bayer_matrix(5), Error);
}

TEST_CASE("The mean tone is kept") {
    // Within 0.5 %, the 4 × 4 matrix within half a level of its 17: our own promise.
    for (const Dither method : all)
        for (const bool serpentine : {false, true})
            for (const double grey : {0.0, 0.03, 0.11, 0.25, 0.333, 0.5, 0.71, 0.9, 1.0}) {
                const Grid<float> g(512, 384, 1, {}, static_cast<float>(grey));
                const double room = method == Dither::ordered ? 1.0 / 32 : method == Dither::ordered_fine ? 1.0 / 128 : 0.005;
                INFO("method " << static_cast<int>(method) << " grey " << grey);
                CHECK(std::abs(mean_of(dithered(g, method, serpentine)) - grey) <= room + 1e-9);
            }
    // A ramp, in bands of 32 columns; what is beyond 0 … 1 counts as bare or full.
    Grid<float> ramp(512, 256, 1);
    for (int j = 0; j < 256; ++j)
        for (int i = 0; i < 512; ++i) ramp(i, j) = static_cast<float>(i + 0.5) / 400 - 0.1F;
    for (const Dither method : all) {
        const auto dots = dithered(ramp, method);
        for (int band = 0; band < 16; ++band) {
            double wanted = 0, got = 0;
            for (int j = 0; j < 256; ++j)
                for (int i = 32 * band; i < 32 * band + 32; ++i) wanted += std::clamp(ramp(i, j), 0.0F, 1.0F), got += dots(i, j);
            INFO("method " << static_cast<int>(method) << " band " << band);
            CHECK(std::abs(wanted - got) / (32 * 256) <= (method == Dither::ordered ? 1.0 / 32 : 0.01));
        }
    }
}

TEST_CASE("Blue noise has no energy at low frequencies") {
    // Ulichney 1993: well below the principal frequency, √g cycles a cell for few dots (½, where the net's cells are its limit), there is
    // next to nothing; dots strewn at random have 1 everywhere.
    for (const double grey : {0.05, 0.1, 0.25, 0.4, 0.5, 0.75, 0.9}) {
        const Grid<float> g(64, 64, 1, {}, static_cast<float>(grey));
        const auto dots = dithered(g, Dither::blue_noise);
        const auto power = spectrum_of(dots, mean_of(dots));
        const auto principal = static_cast<std::size_t>(64 * std::min(std::sqrt(std::min(grey, 1 - grey)), 0.5));
        const auto mean = [&](std::size_t first, std::size_t last) {
            return std::accumulate(power.begin() + static_cast<std::ptrdiff_t>(first), power.begin() + static_cast<std::ptrdiff_t>(last),
                                   0.0) /
                   static_cast<double>(last - first);
        };
        INFO("grey " << grey);
        CHECK(mean(1, principal / 2) < 0.12);
        CHECK(mean(principal, std::min<std::size_t>(principal + 6, power.size())) > 0.8);
    }
}

TEST_CASE("The square of blue noise holds every number once, and tiles") {
    for (const int side : {4, 16, 64}) {
        auto order = void_and_cluster(side);
        std::sort(order.begin(), order.end());
        bool each = true;
        for (std::size_t k = 0; k < order.size(); ++k) each = each && order[k] == k;
        CHECK(each);
    }
    CHECK_THROWS_AS(void_and_cluster(3), Error);
    // Any place may be the corner: the first dots keep apart across the edges too. 64 dots on 64 × 64 cells lie at best 8.6 apart
    // (a triangular net: √(2/√3 · 64)); a random strewing has pairs that touch.
    const auto order = void_and_cluster(64);
    std::vector<int> first;
    for (int k = 0; k < 4096; ++k)
        if (order[static_cast<std::size_t>(k)] < 64) first.push_back(k);
    double nearest = 1e9;
    for (const int a : first)
        for (const int b : first)
            if (a != b) {
                const int dx = std::abs(a % 64 - b % 64), dy = std::abs(a / 64 - b / 64);
                nearest = std::min(nearest, std::hypot(std::min(dx, 64 - dx), std::min(dy, 64 - dy)));
            }
    CHECK(nearest > 4.5);
}

TEST_CASE("Dots do not depend on the number of threads") {
    Grid<float> g(300, 200, 1);
    for (int j = 0; j < 200; ++j)
        for (int i = 0; i < 300; ++i) g(i, j) = static_cast<float>((i * 7 + j * 13) % 101) / 100;
    Crew two;
    two.threads = 2;
    for (const Dither method : all) CHECK(dithered(g, method, true, two) == dithered(g, method, true));
}
