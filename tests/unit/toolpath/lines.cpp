// Finishing lines: what they leave and take, against the replay of the written way; the order of cutting.
#include "../../../src/toolpath/lines.hpp"

#include <cmath>
#include <random>

#include "../../../src/toolpath/walls.hpp"
#include "burin/toolpath/offset.hpp"
#include "check.hpp"
#include "replay.hpp"

using namespace burin;
using namespace burin::test;

namespace {

constexpr double cell = 0.1;

/// A map of 14 × 11 mm, 0 within 2 mm of its border.
template <class Surface>
HeightMap design_of(const Surface& surface) {
    HeightMap map(140, 110, cell, {-2, -2}, 0.F);
    for (int j = 20; j < 90; ++j)
        for (int i = 20; i < 120; ++i) {
            const Point c = map.centre(i, j);
            map(i, j) = static_cast<float>(surface(c.x, c.y));
        }
    return map;
}

/// Cells marked more than 2 mm from the ends of the lines, where what lies before the bit is counted in as well.
std::size_t marked_inside(const LinesTaken& taken) {
    std::size_t count = 0;
    for (int j = 0; j < taken.too_much.height(); ++j)
        for (int i = 50; i < 90; ++i) count += taken.too_much(i, j);
    return count;
}

std::vector<double> lines_of(const HeightMap& map, double stepover) {
    std::vector<double> lines;
    for (double y = map.centre(0, 0).y; y <= map.centre(0, map.height() - 1).y + 1e-9; y += stepover) lines.push_back(y);
    return lines;
}

Crew hands(int threads) {
    Crew crew;
    crew.threads = threads;
    return crew;
}

HeightMap lowered(const HeightMap& design, float by) {
    HeightMap stock = design;
    for (float& z : stock.values()) z = std::min(0.F, z + by);
    return stock;
}

}  // namespace

TEST_CASE("the predicted stock is what a replay of the written lines leaves") {
    // Source: the replay in replay.cpp on the cells' own centres. On slopes the written way may run a tolerance above the
    // tips, between rows a hair (0.015, lines.hpp) either way, and in a wall's neighbourhood a cell aside: so a smooth design.
    const HeightMap design = design_of([](double x, double y) { return -1.0 + 0.5 * std::sin(0.8 * x) * std::cos(0.9 * y) - 0.02 * x; });
    HeightMap eased = design;  // the border's wall leant back
    for (int j = 0; j < eased.height(); ++j)
        for (int i = 0; i < eased.width(); ++i) {
            const double inside = cell * std::min(std::min(i - 19, 120 - i), std::min(j - 19, 90 - j));
            eased(i, j) = static_cast<float>(std::max(static_cast<double>(design(i, j)), std::min(0.0, -0.5 * inside)));
        }
    for (const char* name : {"ball:1.0", "ball:2.0", "bull:2.0:0.5"}) {
        const Bit bit = Bit::parse(name);
        const HeightMap tips = offset_for(bit, eased, hands(1)), stock = lowered(swept_by(bit, tips, hands(1)), 0.25F);
        for (const double stepover : {0.1, 0.23}) {
            const std::vector<double> lines = lines_of(tips, stepover);
            const LinesTaken taken = run_lines(bit, tips, stock, lines, {5.0, 0.3}, hands(1));
            CHECK(taken.count == 0);
            const LinesTaken by_two = run_lines(bit, tips, stock, lines, {5.0, 0.3}, hands(2));
            CHECK(taken.stock == by_two.stock);
            CHECK(taken.too_much == by_two.too_much);
            Pen pen(400, 120, 3);
            LinesOrder order;
            order.stepover = stepover;
            write_lines(pen, tips, offset_for(bit, stock, hands(1)), lines, nullptr, order);
            HeightMap left = stock;
            const Seen seen = replay(bit, pen.take().track, {5.0, 0.3, 120}, left);
            INFO(name << ", stepover " << stepover);
            CHECK(seen.rapid_in_stock < 1e-3);
            CHECK(seen.fast_descents == 0);
            double differs = 0;
            for (std::size_t k = 0; k < left.size(); ++k)
                differs = std::max(differs, std::abs(static_cast<double>(left.values()[k] - taken.stock.values()[k])));
            CHECK(differs < 0.02);
        }
    }
}

TEST_CASE("a slot 1.5 mm wide and 3 mm deep is too much for one line, a skin is not") {
    // Source: promise 3: m is 0.8 here; the line down the slot's middle would take all 3 mm.
    const Bit bit = Bit::parse("ball:1.0");
    const HeightMap slot = design_of([](double, double y) { return std::abs(y - 3.5) < 0.75 ? -3.0 : 0.0; });
    const HeightMap tips = offset_for(bit, slot, hands(1)), whole = slot.like(0.F);
    const std::vector<double> lines = lines_of(tips, 0.1);
    const LinesTaken taken = run_lines(bit, tips, whole, lines, {0.8, 0.3}, hands(2));
    std::size_t marked = 0, outside = 0;
    for (int j = 0; j < slot.height(); ++j)
        for (int i = 0; i < slot.width(); ++i) {
            const Point c = slot.centre(i, j);
            const bool in = std::abs(c.y - 3.5) < 0.75 && c.x > 0 && c.x < 10;
            marked += in && taken.too_much(i, j);
            outside += !in && taken.too_much(i, j);
        }
    CHECK(marked > 300);  // of 100 × 15 cells
    CHECK(outside == 0);
    CHECK(taken.count == marked);
    // The same slot, opened all but a skin of 0.15 mm: nothing is too much.
    HeightMap opened = slot;
    for (int j = 0; j < slot.height(); ++j)
        for (int i = 0; i < slot.width(); ++i) {
            const Point c = slot.centre(i, j);
            opened(i, j) = std::abs(c.y - 3.5) < 0.6 && c.x > 0.15 && c.x < 9.85 ? -2.85F : 0.F;
        }
    CHECK(marked_inside(run_lines(bit, tips, opened, lines, {0.8, 0.3}, hands(2))) == 0);
}

TEST_CASE("a wide step is marked just when it is higher than allowed") {
    // Source: promise 3. A floor of 8 × 5 mm, lowered by h everywhere: the first line takes a strip as wide as the bit at h.
    const Bit bit = Bit::parse("ball:1.0");
    const HeightMap design = design_of([](double x, double y) { return x > 1 && x < 9 && y > 1 && y < 6 ? -1.0 : 0.0; });
    const HeightMap tips = offset_for(bit, design, hands(1));
    const std::vector<double> lines = lines_of(tips, 0.1);
    for (const float h : {0.3F, 0.6F, 0.75F, 0.9F, 1.0F}) {
        HeightMap stock = design;
        for (float& z : stock.values())
            if (z < 0) z += h;
        INFO(h);
        CHECK((marked_inside(run_lines(bit, tips, stock, lines, {0.8, 0.3}, hands(1))) > 0) == (h > 0.8F));
    }
}

TEST_CASE("sections beyond a slot of the allowed depth are marked") {
    // Source: promise 3: stock removed ÷ way is at most m × the diameter at work. A flat bit of 2 mm in a full slot takes
    // 2 h a mm: h of 0.75 is allowed by m = 0.8, 0.9 is not, however the height limit is set.
    const Bit bit = Bit::parse("flat:2.0");
    for (const double h : {0.75, 0.9}) {
        const HeightMap slot = design_of([&](double, double y) { return std::abs(y - 3.5) < 1 ? -h : 0.0; });
        const HeightMap tips = offset_for(bit, slot, hands(1));
        const LinesTaken taken = run_lines(bit, tips, slot.like(0.F), lines_of(tips, 0.1), {0.8, 0.3}, hands(1));
        INFO(h);
        CHECK((marked_inside(taken) > 0) == (h > 0.8));
    }
}

TEST_CASE("lines pass over what needs no cutting and keep to where they are asked") {
    // Source: lines.hpp. Stock stands 0.2 above the design on the right half only, and only the upper rows are wanted.
    const Bit bit = Bit::parse("ball:1.0");
    const HeightMap design = design_of([](double, double) { return -0.5; });
    const HeightMap tips = offset_for(bit, design, hands(1)), reach = swept_by(bit, tips, hands(1));
    HeightMap stock = reach;
    for (int j = 0; j < stock.height(); ++j)
        for (int i = 70; i < 120; ++i) stock(i, j) = std::min(0.F, stock(i, j) + 0.2F);
    Grid<std::uint8_t> where = design.like(std::uint8_t{0});
    for (int j = 60; j < 90; ++j)
        for (int i = 0; i < 140; ++i) where(i, j) = 1;
    Pen pen(400, 120, 3);
    write_lines(pen, tips, offset_for(bit, stock, hands(1)), lines_of(tips, 0.1), &where, {});
    const Toolpath path = pen.take();
    REQUIRE(path.track.moves.size() > 10);
    double left = 1e9, low = 1e9, lowest = 0;
    for (const Move& move : path.track.moves)
        if (move.kind == MoveKind::feed) {
            left = std::min(left, move.to.x), low = std::min(low, move.to.y);
            lowest = std::min(lowest, move.to.z);
        }
    CHECK(left > 5 - 0.5 - 0.25);  // the first column with stock, the bit's radius and two cells before it
    CHECK(low > 4 - 1e-6);
    CHECK(lowest == Approx(-0.5).margin(1e-6));
    // Nothing stands: nothing is written.
    Pen idle(400, 120, 3);
    write_lines(idle, tips, offset_for(bit, reach, hands(1)), lines_of(tips, 0.1), nullptr, {});
    CHECK(idle.take().track.moves.empty());
}

TEST_CASE("the tip between two rows lies between them, and near the higher one where it is the nearer") {
    // Source: lines.hpp.
    HeightMap tips(3, 2, 0.1);
    for (int i = 0; i < 3; ++i) tips(i, 0) = -2.F, tips(i, 1) = i == 0 ? -2.F : i == 1 ? -1.99F : -0.5F;
    std::vector<float> row;
    tip_row(tips, tips.centre(0, 0).y, row);
    CHECK(row == std::vector<float>{-2.F, -2.F, -2.F});
    tip_row(tips, tips.centre(0, 1).y, row);
    CHECK(row == std::vector<float>{-2.F, -1.99F, -0.5F});
    tip_row(tips, tips.centre(0, 0).y + 0.03, row);
    CHECK(static_cast<double>(row[1]) == Approx(-1.997).margin(1e-6));
    CHECK(static_cast<double>(row[2]) == Approx(-1.55).margin(1e-5));
    tip_row(tips, tips.centre(0, 0).y + 0.07, row);
    CHECK(static_cast<double>(row[1]) == Approx(-1.993).margin(1e-6));
    CHECK(static_cast<double>(row[2]) >= -0.515 - 1e-6);
    CHECK(row[2] <= -0.5F);
}

TEST_CASE("walls are followed level by level") {
    // Source: walls.hpp; a cone of 75° down to 2.5 mm, cut by levels alone: each cell of its flank is left within the scallop
    // that the drop leaves along the normal, drop · cos 75° apart … measured by the replay as what stands above the reach.
    const Bit bit = Bit::parse("ball:1.0");
    const double steep = std::tan(75 * 3.14159265358979 / 180);
    const HeightMap design =
        design_of([&](double x, double y) { return std::max(-2.5, -0.05 - steep * std::max(0.0, std::hypot(x - 5, y - 3.5) - 0.5)); });
    const HeightMap tips = offset_for(bit, design, hands(1)), reach = swept_by(bit, tips, hands(1));
    Grid<std::uint8_t> where = design.like(std::uint8_t{0});
    for (int j = 0; j < design.height(); ++j)
        for (int i = 0; i < design.width(); ++i) where(i, j) = std::hypot(design.centre(i, j).x - 5, design.centre(i, j).y - 3.5) < 1.9;
    Pen pen(400, 120, 3);
    HeightMap reached = tips.like(1e6F), stock = lowered(reach, 0.3F);
    CHECK(follow_walls(pen, tips, offset_for(bit, stock, hands(1)), where, {0.1, 0.005, 0.5}, reached) > 10);
    HeightMap left = halved(stock);
    const Seen seen = replay(bit, pen.take().track, {5, 0.3, 120}, left);
    CHECK(seen.rapid_in_stock < 1e-3);
    CHECK(seen.slanted_rapids == 0);
    CHECK(seen.fast_descents == 0);
    CHECK(gouge(left, design) <= 0.02);
    double most = 0;
    for (int j = 0; j < design.height(); ++j)
        for (int i = 0; i < design.width(); ++i)
            if (const double r = std::hypot(design.centre(i, j).x - 5, design.centre(i, j).y - 3.5); r > 0.7 && r < 0.95) {
                float lowest = 0;
                for (int b = 2 * j - 2; b < 2 * j + 4; ++b)
                    for (int a = 2 * i - 2; a < 2 * i + 4; ++a) lowest = std::min(lowest, left(a, b));
                most = std::max(most, static_cast<double>(lowest - reach(i, j)) / std::hypot(1.0, steep));
            }
    CHECK(most <= scallop_height(0.5, 0.1 * std::hypot(1.0, 1 / steep)) + 0.02);
    // What it says it reached is what the replay finds, to the half cell of the marks.
    std::size_t marked = 0;
    for (const float z : reached.values()) marked += z < 1e5F;
    CHECK(marked > 100);
}

TEST_CASE("what stands is seen along the normal") {
    // Source: walls.hpp, plane geometry. On a slope of 3 in 1 that stands h higher, the lowest within a cell is h − 0.3 above
    // the reach: along the normal what counts lies between (h − 0.3) ⁄ √10 and h ⁄ √10, as much of the cell as is allowed.
    HeightMap reach(60, 40, 0.1);
    for (int j = 0; j < 40; ++j)
        for (int i = 0; i < 60; ++i) reach(i, j) = -0.3F * static_cast<float>(i);
    HeightMap stock = reach;
    for (float& z : stock.values()) z += 0.55F;
    const auto count = [&](const Grid<std::uint8_t>& marks) {
        std::size_t n = 0;
        for (int j = 2; j < 38; ++j)
            for (int i = 2; i < 58; ++i) n += marks(i, j);
        return n;
    };
    CHECK(count(left_standing(stock, reach, 0.55 / std::sqrt(10.0) + 0.002, hands(2))) == 0);
    CHECK(count(left_standing(stock, reach, 0.25 / std::sqrt(10.0) - 0.002, hands(2))) == 36 * 56);
    CHECK(count(left_standing(reach, reach, 0.001, hands(1))) == 0);
    // A wall may stand a cell aside; one three cells thick is seen in its middle. A floor is a floor up to the wall's foot.
    HeightMap floor(60, 40, 0.1, {}, -2.F);
    for (int j = 0; j < 40; ++j)
        for (int i = 40; i < 60; ++i) floor(i, j) = 0.F;
    HeightMap wall = floor;
    for (int j = 0; j < 40; ++j) wall(30, j) = wall(31, j) = wall(32, j) = 0.F;
    const Grid<std::uint8_t> marks = left_standing(wall, floor, 0.02, hands(1));
    for (int j = 0; j < 40; ++j) CHECK((marks(31, j) == 1 && marks(29, j) == 0 && marks(33, j) == 0));
    HeightMap raised = floor;
    for (int j = 0; j < 40; ++j)
        for (int i = 0; i < 40; ++i) raised(i, j) += 0.03F;
    const Grid<std::uint8_t> all = left_standing(raised, floor, 0.02, hands(2));
    for (int j = 0; j < 40; ++j) CHECK((all(39, j) == 1 && all(20, j) == 1 && all(40, j) == 0));
}
