#pragma once
// Small figures whose cut is known on paper, with programs written by hand.
#include <cmath>
#include <numbers>

#include "jobs.hpp"

namespace burin::test {

inline Loop rectangle(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }

/// A figure, its bit, and a program that cuts it right.
struct FigureJob {
    FigureDesign figure;
    Stock stock = make_stock(Outline::rectangle, 30, 30, 8, Anchor::lower_left);
    Bit bit = Bit::parse("flat:2.0");
    Text text;
    double z_now = 3;

    /// Over to a place and down to z, straight.
    void start(double x, double y, double z) {
        if (z_now != 3) text.add("G0 Z3");
        text.add(fmt::format("G0 X{:.4f} Y{:.4f}", x, y));
        text.add(fmt::format("G1 Z{:.4f} F100", z));
        z_now = z;
    }
    /// Returns the line's number.
    std::uint32_t to(double x, double y) {
        text.add(fmt::format("G1 X{:.4f} Y{:.4f} F500", x, y));
        return text.last();
    }
    std::uint32_t to(double x, double y, double z) {
        text.add(fmt::format("G1 X{:.4f} Y{:.4f} Z{:.4f} F100", x, y, z));
        z_now = z;
        return text.last();
    }
    std::uint32_t down(double z) {
        text.add(fmt::format("G1 Z{:.4f} F100", z));
        z_now = z;
        return text.last();
    }
    /// An arc of 90 degrees to the left about a centre.
    std::uint32_t turn(double x, double y, double i, double j) {
        text.add(fmt::format("G3 X{:.4f} Y{:.4f} I{:.4f} J{:.4f} F500", x, y, i, j));
        return text.last();
    }
    [[nodiscard]] ProofTask task(const std::string& all) const {
        ProofTask t;
        t.figure = &figure;
        t.machine = workshop_machine();
        t.stock = stock;
        t.programs.push_back(program_of("1-cut.nc", all, bit));
        return t;
    }
    [[nodiscard]] Proof prove_it(const Crew& crew = {}) const { return prove_text(text, crew); }
    [[nodiscard]] Proof prove_text(const Text& damaged, const Crew& crew = {}) const {
        const std::string all = damaged.text();
        return prove(task(all), crew);
    }
};

/// A square of 10 mm, 1 mm deep, in two levels of loops 0.8 mm apart from the middle outwards.
struct SquarePocket : FigureJob {
    static constexpr double lo = 10, hi = 20;
    std::vector<std::uint32_t> first_wall, last_wall;  ///< the four sides of the last loop of either level
    std::uint32_t inner_first = 0, inner_last = 0;     ///< lines of the loop 2.6 from the wall, last level
    explicit SquarePocket(double shift = 0) {
        figure.traced = figure.may = Region({rectangle(lo, lo, hi, hi)});
        figure.floor = -1;
        for (const double z : {-0.5, -1.0}) {
            start(15 + shift, 15, z);
            for (const double d : {4.2, 3.4, 2.6, 1.8, 1.0}) {
                const bool inner = z == -1.0 && d == 2.6, wall = z == -1.0 && d == 1.0;
                const double a = lo + d, b = hi - d;
                const std::uint32_t first = to(a + shift, a);
                if (inner) inner_first = first;
                for (const std::uint32_t line : {to(b + shift, a), to(b + shift, b), to(a + shift, b), to(a + shift, a)}) {
                    if (d == 1.0) (wall ? last_wall : first_wall).push_back(line);
                    if (inner) inner_last = line;
                }
            }
        }
        text.end();
    }
};

/// A square of 10 mm cut round outside, once, 0.8 mm deep; arcs about its corners.
struct OutsideLine : FigureJob {
    std::uint32_t right = 0;  ///< the side at x 21
    OutsideLine() {
        const Region body({rectangle(10, 10, 20, 20)});
        figure.traced = body;
        figure.may = without(Region({rectangle(2, 2, 28, 28)}), body);
        figure.floor = -0.8;
        figure.band = 2;
        start(15, 9, -0.8);
        round_once();
        text.end();
    }
    void round_once() {
        to(20, 9);
        turn(21, 10, 0, 1);
        right = to(21, 20);
        turn(20, 21, -1, 0);
        to(10, 21);
        turn(9, 20, 0, -1);
        to(9, 10);
        turn(10, 9, 1, 0);
        to(15, 9);
    }
};

/// A bar of 20 × 2 mm incised by a vee of 60 degrees with a tip of 0.1 mm: along its middle and into its four corners.
struct Bar : FigureJob {
    std::uint32_t ridge = 0;
    static double depth(double r) { return (r - 0.05) / std::tan(std::numbers::pi / 6); }
    Bar() {
        bit = Bit::parse("vee:60:0.1:3.175");
        figure.traced = figure.may = Region({rectangle(5, 14, 25, 16)});
        figure.floor = -(3.175 - 0.1) / 2 / std::tan(std::numbers::pi / 6);
        figure.half_angle = std::numbers::pi / 6;
        start(5.05, 14.05, -0.0001);
        to(6, 15, -depth(1));
        to(5.05, 15.95, 0);
        to(6, 15, -depth(1));
        ridge = to(24, 15);
        to(24.95, 14.05, 0);
        to(24, 15, -depth(1));
        to(24.95, 15.95, 0);
        text.end();
    }
};

/// A square of 10 mm cut out of 3 mm with 0.2 mm of breakthrough; tabs of 4 × 1 mm in the middle of its right and left sides.
struct TabbedSquare : FigureJob {
    static constexpr double top = -2.0, floor = -3.2;
    std::uint32_t over_tab = 0;  ///< the last level's line over the right tab
    explicit TabbedSquare(bool tabs = true) {
        stock = make_stock(Outline::rectangle, 30, 30, 3, Anchor::lower_left);
        const Region body({rectangle(10, 10, 20, 20)});
        figure.traced = body;
        figure.may = without(Region({rectangle(2, 2, 28, 28)}), body);
        figure.floor = floor;
        figure.band = 2;
        figure.breakthrough = 0.2;
        figure.tabs = {{Region({rectangle(20, 13, 22, 17)}), top}, {Region({rectangle(8, 13, 10, 17)}), top}};
        start(15, 9, -1.1);
        for (const double z : {-1.1, -2.2, floor}) {
            down(z);
            const double over = tabs ? std::max(z, top) : z;
            to(20, 9);
            turn(21, 10, 0, 1);
            to(21, 12);
            down(over);
            over_tab = to(21, 18);
            down(z);
            to(21, 20);
            turn(20, 21, -1, 0);
            to(10, 21);
            turn(9, 20, 0, -1);
            to(9, 18);
            down(over);
            to(9, 12);
            down(z);
            to(9, 10);
            turn(10, 9, 1, 0);
            to(15, 9);
        }
        text.end();
    }
};

/// A bent line 0.5 mm deep by a vee of 60 degrees.
struct BentGroove : FigureJob {
    std::uint32_t second = 0;
    BentGroove() {
        bit = Bit::parse("vee:60:0.1:3.175");
        figure.grooves = {{{{5, 5, -0.5}, {15, 5, -0.5}, {22, 20, -0.8}}, false}};
        figure.floor = -0.8;
        start(5, 5, -0.5);
        to(15, 5);
        second = to(22, 20, -0.8);
        text.end();
    }
};

}  // namespace burin::test
