/// A square of thresholds without low frequencies: void and cluster.
///
/// Ulichney, *The void-and-cluster method for dither array generation* (1993). A Gaussian over the square, which goes on beyond
/// its edges from the other side, says how crowded each place is. A few dots strewn at random are made even: the one in the
/// tightest cluster moves into the largest void until it would come back. Then the dots are numbered: these by taking the
/// tightest away one after the other, all others by setting them one after the other into the largest void. (The paper
/// changes to the tightest cluster of bare places in the second half; as all weights sum to the same everywhere, that is the
/// same place.) Weights are whole numbers, ties go to the first place: the same square on every machine.
/// Cost: side² dots, each a look at side² places.
#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <limits>

#include "burin/base/error.hpp"
#include "burin/design/dither.hpp"

namespace burin {
namespace {

constexpr double sigma = 1.5;  // cells; the paper's choice
constexpr int radius = 8;      // beyond five sigma the weight is below one part of 2¹⁶
constexpr double unit = 65536;

struct Square {
    int side;
    std::vector<std::uint8_t> dot;
    std::vector<std::int32_t> crowd;  ///< sum of the weights of the dots around

    explicit Square(int n) : side(n), dot(static_cast<std::size_t>(n) * static_cast<std::size_t>(n), 0), crowd(dot.size(), 0) {}

    void set(std::size_t place, bool there, const std::vector<std::int32_t>& weights) {
        dot[place] = there ? 1 : 0;
        const int x = static_cast<int>(place) % side, y = static_cast<int>(place) / side, wide = 2 * radius + 1;
        for (int dy = -radius; dy <= radius; ++dy) {
            std::int32_t* row = crowd.data() + static_cast<std::ptrdiff_t>((y + dy + 4 * side) % side) * side;
            for (int dx = -radius; dx <= radius; ++dx) {
                const std::int32_t w = weights[static_cast<std::size_t>((dy + radius) * wide + dx + radius)];
                row[(x + dx + 4 * side) % side] += there ? w : -w;
            }
        }
    }
};

std::vector<std::int32_t> gaussian() {
    std::vector<std::int32_t> weights;
    for (int dy = -radius; dy <= radius; ++dy)
        for (int dx = -radius; dx <= radius; ++dx)
            weights.push_back(static_cast<std::int32_t>(std::lround(unit * std::exp(-(dx * dx + dy * dy) / (2 * sigma * sigma)))));
    return weights;
}

/// The bare place that is least crowded.
std::size_t largest_void(const Square& square) {
    std::int32_t least = std::numeric_limits<std::int32_t>::max();
    std::size_t at = 0;
    for (std::size_t k = 0; k < square.dot.size(); ++k)
        if (square.dot[k] == 0 && square.crowd[k] < least) least = square.crowd[k], at = k;
    return at;
}

/// The dot that is most crowded.
std::size_t tightest_cluster(const Square& square) {
    std::int32_t most = -1;
    std::size_t at = 0;
    for (std::size_t k = 0; k < square.dot.size(); ++k)
        if (square.dot[k] != 0 && square.crowd[k] > most) most = square.crowd[k], at = k;
    return at;
}

/// A tenth of the places, strewn by a fixed sequence (a linear congruence, Knuth's constants), then made even.
Square even_start(int side, const std::vector<std::int32_t>& weights) {
    Square square(side);
    std::uint64_t state = 1854;
    for (std::size_t left = square.dot.size() / 10 + 1; left > 0;) {
        state = state * 6364136223846793005U + 1442695040888963407U;
        const std::size_t place = static_cast<std::size_t>(state >> 33U) % square.dot.size();
        if (square.dot[place] != 0) continue;
        square.set(place, true, weights);
        --left;
    }
    // Each move that is kept makes the whole less crowded; the bound only guards against a tie that goes round for ever.
    for (std::size_t moves = 0; moves < square.dot.size(); ++moves) {
        const std::size_t from = tightest_cluster(square);
        square.set(from, false, weights);
        const std::size_t to = largest_void(square);
        square.set(to, true, weights);
        if (from == to) break;
    }
    return square;
}

}  // namespace

std::vector<std::uint16_t> void_and_cluster(int side) {
    if (side < 4 || side > 256)
        throw Error(Fault::usage, fmt::format("A square for blue noise has a side of 4 to 256 cells, not {}.", side));
    const auto weights = gaussian();
    const Square start = even_start(side, weights);
    std::vector<std::uint16_t> order(start.dot.size());
    std::size_t dots = 0;
    for (const std::uint8_t d : start.dot) dots += d;
    Square square = start;
    for (std::size_t left = dots; left-- > 0;) {
        const std::size_t place = tightest_cluster(square);
        square.set(place, false, weights);
        order[place] = static_cast<std::uint16_t>(left);
    }
    square = start;
    for (std::size_t next = dots; next < order.size(); ++next) {
        const std::size_t place = largest_void(square);
        square.set(place, true, weights);
        order[place] = static_cast<std::uint16_t>(next);
    }
    return order;
}

}  // namespace burin
