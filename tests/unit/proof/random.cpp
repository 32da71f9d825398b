// The replay, the reach and the comparison against slow and obvious ones, on random ways and designs from fixed seeds.
#include <random>

#include "check.hpp"
#include "jobs.hpp"

using namespace burin;
using namespace burin::test;

namespace {

const std::vector<const char*> bits{"flat:2.0",       "ball:1.0",           "ball:3.175",    "vee:60:0.2:3.175",
                                    "vee:30:0.1:2.0", "taper:0.5:10:3.175", "bull:3.175:0.5"};

/// A program of slanted, level, upright and arc moves in the stock's inner part.
Text random_text(std::mt19937& random) {
    std::uniform_real_distribution<double> x(3, 13), y(3, 9), z(-2.5, 0.3), share(0, 1);
    Text text;
    Point3 at{x(random), y(random), 3};
    text.add(fmt::format("G0 X{:.3f} Y{:.3f}", at.x, at.y));
    for (int k = 0; k < 25; ++k) {
        const double kind = share(random);
        if (kind < 0.15) {
            at.z = z(random);
            text.add(fmt::format("G1 Z{:.3f} F300", at.z));
        } else if (kind < 0.3) {
            at.x = x(random), at.y = y(random);
            text.add(fmt::format("G1 X{:.3f} Y{:.3f} F300", at.x, at.y));
        } else if (kind < 0.4) {
            text.add(fmt::format("G3 X{:.4f} Y{:.4f} Z{:.3f} I{:.4f} J0 F300", at.x, at.y, at.z = z(random), at.x > 8 ? -1.2 : 1.2));
        } else {
            at = {at.x + 4 * (share(random) - 0.5), at.y + 4 * (share(random) - 0.5), z(random)};
            at.x = std::clamp(at.x, 3.0, 13.0), at.y = std::clamp(at.y, 3.0, 9.0);
            text.add(fmt::format("G1 X{:.3f} Y{:.3f} Z{:.3f} F300", at.x, at.y, at.z));
        }
    }
    text.end();
    return text;
}

/// Heights after the tip has been at points 0.002 mm apart; `wider` makes the bit wider (below 0: narrower) all round.
HeightMap sampled(const Bit& bit, const Track& track, const HeightMap& grid, double wider) {
    HeightMap map = grid.like(0.0F);
    const double reach = bit.radius() + wider;
    const auto stamp = [&](const Point3& p) {
        if (p.z >= 0) return;
        const int i0 = std::max(0, static_cast<int>((p.x - reach) / map.cell())),
                  i1 = std::min(map.width() - 1, static_cast<int>((p.x + reach) / map.cell()));
        const int j0 = std::max(0, static_cast<int>((p.y - reach) / map.cell())),
                  j1 = std::min(map.height() - 1, static_cast<int>((p.y + reach) / map.cell()));
        for (int j = j0; j <= j1; ++j)
            for (int i = i0; i <= i1; ++i) {
                const double r = distance(map.centre(i, j), flat(p));
                if (r <= reach)
                    map(i, j) = std::min(map(i, j), static_cast<float>(p.z + bit.rise(std::clamp(r - wider, 0.0, bit.radius()))));
            }
    };
    Point3 at = track.start;
    const auto go = [&](const Point3& to) {
        const int steps = std::max(1, static_cast<int>(distance(at, to) / 0.002));
        for (int k = 0; k <= steps; ++k) {
            const double s = static_cast<double>(k) / steps;
            stamp({at.x + (to.x - at.x) * s, at.y + (to.y - at.y) * s, at.z + (to.z - at.z) * s});
        }
        at = to;
    };
    for (const Move& move : track.moves) {
        if (move.kind == MoveKind::arc_ccw || move.kind == MoveKind::arc_cw)
            for (const Point3& p : arc_points(at, move, track.arcs[move.arc], 0.0005)) go(p);
        else if (move.kind == MoveKind::rapid)
            at = move.to;
        else
            go(move.to);
    }
    return map;
}

}  // namespace

TEST_CASE("Random ways leave what dense samples of them leave", "[long]") {
    // Source: the definition: the surface is the least height of the bit over all places of its tip.
    std::mt19937 random(20240611);
    for (const char* name : bits) {
        const Bit bit = Bit::parse(name);
        const Text text = random_text(random);
        const std::string all = text.text();
        ProofTask task;
        task.machine = workshop_machine();
        task.stock = make_stock(Outline::rectangle, 16, 12, 6, Anchor::lower_left);
        task.programs.push_back(program_of("1-cut.nc", all, bit));
        const Proof proof = prove(task, {});
        const Track track = read_program(all).track;
        const HeightMap upper = sampled(bit, track, proof.surface, -0.0002), lower = sampled(bit, track, proof.surface, 0.0015);
        double volume = 0, above = 0, below = 0;
        for (std::size_t k = 0; k < upper.size(); ++k) {
            above = std::max(above, static_cast<double>(proof.surface.values()[k] - upper.values()[k]));
            below = std::max(below, static_cast<double>(lower.values()[k] - proof.surface.values()[k]));
            volume -= static_cast<double>(proof.surface.values()[k]) * 0.01;
        }
        INFO(name);
        CHECK(above < 1e-3);  // samples of a bit a hair narrower can only miss, never cut deeper
        CHECK(below < 1e-3);
        CHECK(proof.programs[0].removed_mm3 == Approx(volume).epsilon(1e-4));
    }
}

TEST_CASE("Reach is the closing of the design, and the comparison is what it says") {
    // Source: grey-scale closing (Serra 1982, ch. XII), written out cell by cell; heights along the normal, plane geometry.
    std::mt19937 random(77);
    for (const char* name : bits) {
        const Bit bit = Bit::parse(name);
        HeightMap design(83, 61, 0.1, {0, 0}, 0.0F);
        std::uniform_real_distribution<float> height(-2.0F, 0.0F);
        std::uniform_int_distribution<int> left(5, 60), low(5, 40), size(2, 45);
        for (int n = 0; n < 12; ++n) {
            const int i0 = left(random), j0 = low(random), w = size(random), h = size(random);
            const float z = height(random), lean = 0.02F * height(random);
            for (int j = j0; j < std::min(56, j0 + h); ++j)
                for (int i = i0; i < std::min(78, i0 + w); ++i) design(i, j) = std::min(0.0F, z + lean * static_cast<float>(i - i0));
        }
        Text text;
        text.add("G0 X1.05 Y1.05");
        for (int n = 0; n < 30; ++n)
            text.add(
                fmt::format("G1 X{:.3f} Y{:.3f} Z{:.3f} F300", 0.1 * left(random), 0.1 * low(random), static_cast<double>(height(random))));
        text.end();
        const std::string all = text.text();
        ProofTask task;
        task.design = &design;
        task.machine = workshop_machine();
        task.stock = make_stock(Outline::rectangle, 8.3, 6.1, 6, Anchor::lower_left);
        task.programs.push_back(program_of("1-cut.nc", all, bit));
        Crew two;
        two.threads = 2;
        const Proof proof = prove(task, two);

        const int r = static_cast<int>(bit.radius() / 0.1 + 1e-9);
        const auto over_disc = [&](int i, int j, const auto& act) {
            for (int b = -r; b <= r; ++b)
                for (int a = -r; a <= r; ++a) {
                    const double d = 0.1 * std::sqrt(a * a + b * b);
                    if (d < bit.radius() - 1e-6 && design.holds(i + a, j + b)) act(i + a, j + b, static_cast<float>(bit.rise(d)));
                }
        };
        HeightMap tips = design.like(-1e9F), reach = design.like(1e9F);
        for (int j = 0; j < design.height(); ++j)
            for (int i = 0; i < design.width(); ++i)
                over_disc(i, j, [&](int a, int b, float up) { tips(i, j) = std::max(tips(i, j), design(a, b) - up); });
        for (int j = 0; j < design.height(); ++j)
            for (int i = 0; i < design.width(); ++i)
                over_disc(i, j, [&](int a, int b, float up) { reach(i, j) = std::min(reach(i, j), tips(a, b) + up); });
        float differs = 0;
        for (std::size_t k = 0; k < reach.size(); ++k) differs = std::max(differs, std::fabs(reach.values()[k] - proof.reach.values()[k]));
        INFO(name);
        CHECK(differs < 1e-6F);

        const auto at = [](const HeightMap& m, int i, int j) {
            return static_cast<double>(m(std::clamp(i, 0, m.width() - 1), std::clamp(j, 0, m.height() - 1)));
        };
        const auto slope2 = [&](int i, int j) {
            const double gx =
                (at(reach, i + 1, j) - at(reach, i - 1, j)) / (0.1 * (std::min(i + 1, reach.width() - 1) - std::max(i - 1, 0)));
            const double gy =
                (at(reach, i, j + 1) - at(reach, i, j - 1)) / (0.1 * (std::min(j + 1, reach.height() - 1) - std::max(j - 1, 0)));
            return gx * gx + gy * gy;
        };
        double gouge = 0, standing = 0, squares = 0, cells = 0;
        for (int j = 0; j < design.height(); ++j)
            for (int i = 0; i < design.width(); ++i) {
                double lowest = 1e9, left_low = 1e9, steepest = 0;
                for (int b = -1; b <= 1; ++b)
                    for (int a = -1; a <= 1; ++a) {
                        lowest = std::min(lowest, at(design, i + a, j + b));
                        left_low = std::min(left_low, at(proof.surface, i + a, j + b));
                        steepest =
                            std::max(steepest, slope2(std::clamp(i + a, 0, design.width() - 1), std::clamp(j + b, 0, design.height() - 1)));
                    }
                gouge = std::max(gouge, lowest - at(proof.surface, i, j));
                const double stands = std::max(0.0, (left_low - at(reach, i, j)) / std::sqrt(1 + steepest));
                standing = std::max(standing, stands);
                if (at(reach, i, j) < -1e-6) squares += stands * stands, cells += 1;
            }
        CHECK(proof.deepest_gouge == Approx(gouge).margin(1e-5));
        CHECK(proof.left_standing == Approx(standing).margin(1e-5));
        CHECK(proof.left_standing_rms == Approx(cells > 0 ? std::sqrt(squares / cells) : 0).margin(1e-5));
    }
}

TEST_CASE("A channel exactly as wide as the bit is reached and cut, a narrower one is not") {
    // Source: promise 2.
    for (const auto& [cells, floor] : {std::pair{20, -1.0F}, std::pair{18, 0.0F}}) {
        HeightMap design(120, 60, 0.1, {0, 0}, 0.0F);
        for (int j = 20; j < 20 + cells; ++j)
            for (int i = 20; i < 100; ++i) design(i, j) = -1.0F;
        Text text;
        text.add("G0 X3 Y3").add("G1 Z-1 F100").add("X9 F300").end();
        const std::string all = text.text();
        ProofTask task;
        task.design = &design;
        task.machine = workshop_machine();
        task.stock = make_stock(Outline::rectangle, 12, 6, 6, Anchor::lower_left);
        task.programs.push_back(program_of("1-cut.nc", all, Bit::parse("flat:2.0")));
        const Proof proof = prove(task, {});
        for (int j = 20; j < 20 + cells; ++j) CHECK(proof.reach(60, j) == floor);
        CHECK(proof.reach(60, 19) == 0.0F);
        CHECK(proof.reach(60, 20 + cells) == 0.0F);
        // Its tip runs in the middle, 1 mm from both walls.
        CHECK(check_named(proof, "nothing below the design").ok == (cells == 20));
        CHECK(check_named(proof, "nothing left standing").ok);
    }
}

TEST_CASE("The bit never goes deeper than its cutting length, so that is no fault of reach") {
    BitSpec spec = Bit::parse("ball:1.0").spec();
    spec.cutting_length = 1.5;
    HeightMap design(80, 60, 0.1, {0, 0}, 0.0F);
    for (int j = 10; j < 50; ++j)
        for (int i = 10; i < 70; ++i) design(i, j) = -2.5F;
    Text text;
    text.add("G0 X2 Y2").end();
    const std::string all = text.text();
    ProofTask task;
    task.design = &design;
    task.machine = workshop_machine();
    task.stock = make_stock(Outline::rectangle, 8, 6, 6, Anchor::lower_left);
    task.programs.push_back(program_of("1-cut.nc", all, Bit(spec, "short")));
    const Proof proof = prove(task, {});
    CHECK(proof.reach(40, 30) == -1.5F);
    CHECK(proof.left_standing == Approx(1.5).margin(1e-6));
}
