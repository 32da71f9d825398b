// Where dots begin: at equal steps of mass along a Hilbert curve through the raster.
//
// Each square of the quadtree then holds its mass of dots to within one, so that no mass has to wander far: what is left to do for
// the rounds that follow is to even out neighbours. Within its cell a dot lies anywhere (a generator of our own from a fixed seed).
// Hilbert, "Über die stetige Abbildung einer Linie auf ein Flächenstück" (1891).
// Cost: the squares on the way down to the dots.
#include "stipple_cells.hpp"

namespace burin::dots {
namespace {

/// Numbers 0 … 1 that look like chance: a counter, well stirred (finalizer of a 64-bit hash; from memory).
class Chance {
public:
    double next() {
        std::uint64_t z = state_ += 0x9E3779B97F4A7C15U;
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
        return static_cast<double>((z ^ (z >> 31U)) >> 11U) * 0x1p-53;
    }

private:
    std::uint64_t state_ = 1854;
};

class Walk {
public:
    Walk(const Pyramid& raster, std::size_t count) : raster_(raster), count_(count) {
        const double all = raster.mass(raster.levels(), 0, 0).sum;
        step_ = all / static_cast<double>(count);
        places_.reserve(count);
        descend(raster.levels(), 0, 0, 0, 0);
        // The last may be lost to rounding of the sums.
        while (places_.size() < count && !places_.empty()) places_.push_back(last_in_cell());
    }
    std::vector<Point> take() { return std::move(places_); }

private:
    /// The curve through a square comes in at one corner of its side and goes out at the other: `turn` quarter turns, perhaps
    /// mirrored.
    void descend(int level, int i, int j, int turn, int mirrored) {
        const double sum = raster_.mass(level, i, j).sum;
        if (!(sum > 0)) return;
        if (done_ + sum <= next()) {
            done_ += sum;
            return;
        }
        if (level == 0) {
            done_ += sum;
            i_ = i, j_ = j;
            while (places_.size() < count_ && next() < done_) places_.push_back(last_in_cell());
            return;
        }
        // From lower left over upper left and upper right to lower right; the first and the last quarter turned the other way.
        static constexpr int qx[] = {0, 0, 1, 1}, qy[] = {0, 1, 1, 0};
        for (int k = 0; k < 4; ++k) {
            int x = 2 * qx[k] - 1, y = 2 * qy[k] - 1;
            if (mirrored != 0) x = -x;
            for (int t = 0; t < turn; ++t) {
                const int old = x;
                x = -y, y = old;
            }
            // The quarters' own turns: the first is the diagonal's mirror image, the last the other diagonal's.
            int t = turn, m = mirrored;
            if (k == 0) t = (turn + (mirrored != 0 ? 1 : 3)) % 4, m = 1 - mirrored;
            if (k == 3) t = (turn + (mirrored != 0 ? 3 : 1)) % 4, m = 1 - mirrored;
            descend(level - 1, 2 * i + (x + 1) / 2, 2 * j + (y + 1) / 2, t, m);
        }
    }
    [[nodiscard]] double next() const { return (static_cast<double>(places_.size()) + 0.5) * step_; }
    Point last_in_cell() {
        const double x = chance_.next();
        return {i_ + x, j_ + chance_.next()};
    }

    const Pyramid& raster_;
    std::size_t count_;
    double step_ = 1, done_ = 0;
    int i_ = 0, j_ = 0;
    Chance chance_;
    std::vector<Point> places_;
};

}  // namespace

std::vector<Point> places_by_mass(const Pyramid& raster, std::size_t count) { return Walk(raster, count).take(); }

}  // namespace burin::dots
