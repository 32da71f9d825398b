// Programs on a stock that is not flat: a known top is measured at a few places, a program is bent onto it, and what it leaves of that top
// is looked at. The tops are formulas, so every height is known on paper.
#include "burin/proof/bent.hpp"

#include <fmt/format.h>

#include <cmath>
#include <functional>
#include <string>

#include "burin/motion/follow.hpp"
#include "burin/motion/timing.hpp"
#include "burin/program/respell.hpp"
#include "burin/shape/smooth_surface.hpp"
#include "check.hpp"

using namespace burin;

namespace {

using Top = std::function<double(const Point&)>;

/// Twisted and tilted: 0.6 mm over the corners.
double warped(const Point& p) { return 0.004 * p.x - 0.003 * p.y + 0.0001 * p.x * p.y; }
/// 0.3 mm up along x, 0.2 down along y.
double saddle(const Point& p) { return 3.3e-4 * (p.x - 30) * (p.x - 30) - 5e-4 * (p.y - 20) * (p.y - 20); }

SmoothSurface measured(const Top& top) {
    std::vector<Point3> points;
    for (int j = 0; j < 6; ++j)
        for (int i = 0; i < 8; ++i) {
            const Point p{i * 60.0 / 7, j * 40.0 / 5};
            points.push_back({p.x, p.y, top(p)});
        }
    return SmoothSurface(points);
}

/// Grooves to and fro over 60 x 40 mm in two passes, and a ring.
std::string grooves() {
    std::string text = "(Grooves)\nG21 G90 G17 G94 G54\nG0 Z3\nM3 S10000\nG4 P3\n";
    for (const double z : {-0.4, -0.8}) {
        text += fmt::format("G0 X5 Y5\nG0 Z0.5\nG1 Z{} F100\n", z);
        for (int k = 0; k < 5; ++k) text += fmt::format("G1 X{} Y{} F600\nG1 Y{}\n", k % 2 ? 5 : 55, 5 + 5 * k, 10 + 5 * k);
        text += "G0 Z3\n";
    }
    return text + "G0 X40 Y35\nG0 Z0.5\nG1 Z-0.4 F100\nG3 X40 Y35 I-5 J0 F500\nG0 Z3\nM5\nM2\n";
}

struct Bent {
    HeightMap top;  ///< beside 0
    double highest = 0;
    std::string text;
};
Bent bend(const std::string& text, const Top& top) {
    const SmoothSurface surface = measured(top);
    Bent bent{sampled(surface, {{0, 0}, {60, 40}}, 0.5, Crew{}), 0, {}};
    bent.highest = -1e9;
    for (const float z : bent.top.values()) bent.highest = std::max(bent.highest, static_cast<double>(z));
    const ReadProgram read = read_program(text);
    REQUIRE(read.faults.empty());
    bent.text = respell(text, read, follow_top(read.track, bent.top), {.header = {"Bent"}, .stale = {}, .plunge = 100});
    return bent;
}

Machine machine() {
    Machine machine;
    machine.travel = {250, 160, 60};
    machine.rapid = {2000, 2000, 800};
    machine.acceleration = {100, 100, 60};
    return machine;
}

ProofTask task_of(const std::string& text, const Bit& bit) {
    ProofTask task;
    task.machine = machine();
    task.stock = make_stock(Outline::rectangle, 60, 40, 12, Anchor::lower_left);
    task.programs.push_back(
        {.file = "1-cut.nc", .text = text, .bit = bit, .feed = 600, .plunge = 100, .most_at_once = 0.5, .spin_up_s = 0, .pass_lines = {}});
    return task;
}

struct Seen {
    Proof flat, bent;
    BentSeen compared;
};
Seen look(const std::string& flat, const Bent& bent, const Bit& bit) {
    Seen seen;
    ProofTask task = task_of(flat, bit);
    seen.flat = prove(task, Crew{});
    HeightMap uneven = bent.top;
    for (float& z : uneven.values()) z -= static_cast<float>(bent.highest);
    ProofTask on_top = task_of(bent.text, bit);
    on_top.top = bent.highest;
    on_top.uneven = &uneven;
    seen.bent = prove(on_top, Crew{});
    seen.compared = compare_bent(
        {.flat = &seen.flat.surface, .bent = &seen.bent.surface, .top = &uneven, .bit_radius = bit.radius(), .task = &on_top}, Crew{});
    return seen;
}

Bit ball() { return Bit::parse("ball:1.0"); }

}  // namespace

TEST_CASE("A bent program follows a warped plane and a saddle within 0.01 mm", "[bent]") {
    // Every place of the bent way must lie as far below the true top as the flat way lies below 0: both are formulas.
    for (const Top& top : {Top(warped), Top(saddle)}) {
        const Bent bent = bend(grooves(), top);
        const ReadProgram read = read_program(bent.text);
        REQUIRE(read.faults.empty());
        REQUIRE(plain_text_faults(read).empty());
        Point3 from = read.track.start;
        double worst = 0;
        for (const Move& move : read.track.moves) {
            for (int k = 0; k <= 4 && move.kind == MoveKind::feed; ++k) {
                const Point p{from.x + (move.to.x - from.x) * k / 4, from.y + (move.to.y - from.y) * k / 4};
                const double z = from.z + (move.to.z - from.z) * k / 4 - top(p);
                const bool across = distance(flat(from), flat(move.to)) > 0.01;
                if (!across) continue;
                worst = std::max(worst, std::min(std::abs(z + 0.4), std::abs(z + 0.8)));
            }
            from = move.to;
        }
        CHECK(worst < 0.01);
        CHECK(worst > 0);  // it did look at something
    }
}

TEST_CASE("What a bent program leaves of its uneven stock is what the flat one leaves of a flat one", "[bent]") {
    for (const Top& top : {Top(warped), Top(saddle)}) {
        const Bent bent = bend(grooves(), top);
        const Seen seen = look(grooves(), bent, ball());
        for (const Check& check : seen.bent.checks) INFO(check.name << ": " << check.detail);
        REQUIRE(seen.flat.holds);
        CHECK(seen.bent.holds);
        CHECK(seen.bent.rapids_in_stock == 0);
        CHECK(seen.compared.check.ok);
        CHECK(seen.compared.worst < 0.02);
        // The steepest place of the warped plane that is cut, X 55 Y 30: slopes 0.004 + 0.003 and -0.003 + 0.0055, under a radius of 0.5.
        if (top(Point{1, 0}) == warped({1, 0})) CHECK(seen.compared.worst_tilt < 0.5 * std::hypot(0.007, 0.003) + 1e-3);
    }
}

TEST_CASE("A flat program on the uneven stock is refused", "[bent]") {
    Bent bent = bend(grooves(), warped);
    bent.text = grooves();
    const Seen seen = look(grooves(), bent, ball());
    CHECK_FALSE(seen.compared.check.ok);
}

TEST_CASE("A bent program that is damaged is named by its line", "[bent]") {
    Bent bent = bend(grooves(), saddle);
    // One height in the last pass of the grooves goes 0.06 mm too deep.
    std::vector<std::string> lines;
    for (std::size_t at = 0; at < bent.text.size();) {
        const std::size_t end = bent.text.find('\n', at);
        lines.push_back(bent.text.substr(at, end - at));
        at = end + 1;
    }
    std::size_t hit = lines.size() / 2;
    while (hit < lines.size() && (lines[hit].find(" Z-") == std::string::npos || lines[hit].find('F') != std::string::npos)) ++hit;
    REQUIRE(hit < lines.size());
    const std::size_t z = lines[hit].find('Z');
    lines[hit] = lines[hit].substr(0, z) + fmt::format("Z{:.3f}", std::stod(lines[hit].substr(z + 1)) - 0.06);
    bent.text.clear();
    for (const std::string& line : lines) bent.text += line + '\n';
    const Seen seen = look(grooves(), bent, ball());
    CHECK_FALSE(seen.compared.check.ok);
    CHECK(seen.compared.check.file == "1-cut.nc");
    // The way to the damaged height and the way from it are both too deep.
    CHECK(seen.compared.check.line >= hit + 1);
    CHECK(seen.compared.check.line <= hit + 2);
}
