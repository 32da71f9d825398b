// Random figures: the proof must measure what was put in, wherever lines and cells lie to each other. Seeds are fixed.
// Source of every check here: plane geometry; medial axis (Blum 1967); opening (Serra 1982).
#include <random>

#include "burin/shape/medial_axis.hpp"
#include "check.hpp"
#include "figures.hpp"

using namespace burin;
using namespace burin::test;

namespace {

/// A star of random points about the middle of the stock.
Loop random_star(std::mt19937& random, double least, double most) {
    std::uniform_real_distribution<double> radius(least, most), turn(0, 2 * std::numbers::pi);
    const int corners = 7 + static_cast<int>(random() % 6);
    const double first = turn(random);
    Loop loop;
    for (int k = 0; k < corners; ++k) {
        const double angle = first + 2 * std::numbers::pi * k / corners, r = radius(random);
        loop.push_back({15 + r * std::cos(angle), 15 + r * std::sin(angle)});
    }
    return loop;
}

double sharpest_corner(const Region& region) {
    double least = std::numbers::pi;
    for (const Loop& loop : region.loops())
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point &a = loop[k], &b = loop[(k + 1) % loop.size()], &c = loop[(k + 2) % loop.size()];
            const double angle =
                std::acos(std::clamp(((a.x - b.x) * (c.x - b.x) + (a.y - b.y) * (c.y - b.y)) / distance(a, b) / distance(b, c), -1.0, 1.0));
            if ((b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x) > 0) least = std::min(least, angle);
        }
    return least;
}

/// Loops from the middle to the wall, the last one `beside` mm farther from the line than the bit's radius.
FigureJob pocket_in(const Region& may, const Bit& bit, double beside) {
    FigureJob job;
    job.bit = bit;
    job.figure.may = job.figure.traced = may;
    job.figure.floor = -0.7;
    std::vector<Region> levels;
    for (double d = bit.radius() + beside;; d += bit.radius() * 0.7) {
        Region level = offset_by(may, -d, 0.0005);
        if (level.empty()) break;
        levels.push_back(std::move(level));
    }
    for (auto level = levels.rbegin(); level != levels.rend(); ++level)
        for (const Loop& loop : level->loops()) {
            job.start(loop.back().x, loop.back().y, job.figure.floor);
            for (const Point& p : loop) job.to(p.x, p.y);
        }
    job.text.end();
    return job;
}

}  // namespace

TEST_CASE("A pocket that stays beside its line, or goes over it, is measured") {
    std::mt19937 random(20261);
    std::uniform_real_distribution<double> beside(-0.08, 0.08);
    for (int n = 0; n < 24; ++n) {
        const Bit bit = Bit::parse(n % 2 == 0 ? "flat:1.0" : "flat:2.0");
        const Region may({random_star(random, 5, 12)});
        const double by = beside(random);
        const FigureJob job = pocket_in(may, bit, by);
        if (job.text.lines.size() < 12) continue;  // no bit enters
        const Proof proof = job.prove_it();
        INFO("case " << n << ", beside the line by " << by);
        for (const Check& check : proof.checks) INFO(check.name << ": " << check.detail);
        REQUIRE(proof.over_line_mm);
        CHECK(*proof.over_line_mm == Approx(std::max(0.0, -by)).margin(0.002));
        CHECK(check_named(proof, "nothing over the line").ok == (by > -0.03));
        // Along sides it stays as far as was asked; in corners 1 ⁄ sin of half their angle farther. Necks that the bit enters
        // only just may be missed altogether.
        if (by > 0.002) CHECK(*proof.short_of_line_mm > by - 0.002);
        if (by <= 0) CHECK(*proof.short_of_line_mm < 0.0035);
        if (by > 0.03) CHECK_FALSE(check_named(proof, "nothing short of the line").ok);
        if (by > 0.002 && *proof.short_of_line_mm > by / std::sin(sharpest_corner(may) / 2) + 0.003)
            CHECK(offset_by(may, -bit.radius()).figures().size() != offset_by(may, -bit.radius() - by).figures().size());
        CHECK(proof.deepest_gouge < 0.001);
    }
}

TEST_CASE("Any figure incised along its medial axis keeps to its line, and lowered by a tenth is over it") {
    std::mt19937 random(20262);
    const double tan = std::tan(std::numbers::pi / 6);
    for (int n = 0; n < 12; ++n) {
        const double tip = n % 3 == 0 ? 0 : n % 3 == 1 ? 0.1 : 0.4, floor = n % 2 == 0 ? -20 : -1.2;
        Loop star = random_star(random, 3, 8);
        FigureJob job;
        job.bit = Bit(BitSpec{BitShape::vee, 12, tip, std::numbers::pi / 3, 20, 30, 3.175, 2, true}, "vee");
        job.figure.may = job.figure.traced = Region({star});
        job.figure.floor = floor;
        job.figure.half_angle = std::numbers::pi / 6;
        const MedialAxis axis = medial_axis(job.figure.may, 0.0005, {});
        for (const AxisEdge& edge : axis.edges) {
            const Point a = axis.nodes[edge.from].at, b = axis.nodes[edge.to].at;
            const double ra = axis.nodes[edge.from].radius, rb = axis.nodes[edge.to].radius;
            if (std::max(ra, rb) < tip / 2) continue;
            // Only where the tip has room, and on one side of where the floor begins.
            const double most = tip / 2 - floor * tan;
            std::vector<double> shares{0, 1};
            for (const double r : {tip / 2, most})
                if ((ra - r) * (rb - r) < 0) shares.push_back((r - ra) / (rb - ra));
            std::sort(shares.begin(), shares.end());
            for (std::size_t k = 1; k < shares.size(); ++k) {
                const auto at = [&](double t) { return Point3{a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t, ra + (rb - ra) * t}; };
                const Point3 p = at(shares[k - 1]), q = at(shares[k]);
                if ((p.z + q.z) / 2 < tip / 2) continue;
                job.start(p.x, p.y, std::max(floor, -std::max(0.0, p.z - tip / 2) / tan));
                job.to(q.x, q.y, std::max(floor, -std::max(0.0, q.z - tip / 2) / tan));
            }
        }
        // Where the depth is limited a flat bit clears the floor first.
        std::string floor_text;
        Text rough;
        ProofTask task;
        if (floor > -10) {
            FigureJob flat;
            flat.bit = Bit::parse("flat:0.6");
            for (double d = -floor * tan + 0.3 + 0.02;; d += 0.25) {
                const Region level = offset_by(job.figure.may, -d, 0.0005);
                if (level.empty()) break;
                for (const Loop& loop : level.loops()) {
                    flat.start(loop.back().x, loop.back().y, floor);
                    for (const Point& p : loop) flat.to(p.x, p.y);
                }
            }
            // The vee along the foot of the wall, and so far from it that it meets the flat bit in corners.
            for (int k = 0; k < 10; ++k)
                for (const Loop& loop : offset_by(job.figure.may, -(-floor * tan + tip / 2 + 0.03 * k), 0.0005).loops()) {
                    job.start(loop.back().x, loop.back().y, floor);
                    for (const Point& p : loop) job.to(p.x, p.y);
                }
            rough = flat.text;
        }
        job.text.end(), rough.end();
        floor_text = rough.text();
        const auto proved = [&](const Text& text) {
            const std::string all = text.text();
            task = job.task(all);
            if (floor > -10) task.programs.insert(task.programs.begin(), program_of("1-rough.nc", floor_text, Bit::parse("flat:0.6")));
            return prove(task, {});
        };
        const Proof proof = proved(job.text);
        INFO("case " << n << " tip " << tip << " floor " << floor);
        std::string why;
        for (const Check& check : proof.checks)
            if (!check.ok && check.name.starts_with("nothing")) why += check.name + ": " + check.detail + "\n";
        INFO(why);
        CHECK(*proof.over_line_mm < 0.003);
        CHECK(*proof.short_of_line_mm < 0.02);
        CHECK(check_named(proof, "nothing below the design").ok);
        CHECK(check_named(proof, "nothing left standing").ok);

        Text deeper = job.text;
        for (std::string& words : deeper.lines)
            if (const auto z = words.find(" Z-"); z != std::string::npos && words.starts_with("G1")) {
                const auto end = words.find(' ', z + 1);
                words = words.substr(0, z) + fmt::format(" Z{:.4f}", std::stod(words.substr(z + 2)) - 0.1) + words.substr(end);
            }
        const Proof over = proved(deeper);
        CHECK(*over.over_line_mm == Approx(0.1 * tan).margin(0.003));
        CHECK_FALSE(check_named(over, "nothing over the line").ok);
    }
}

TEST_CASE("Any text is held against a figure without harm, and none damaged at random passes") {
    // Source: common practice, no source: a proof reads what anyone may have written.
    std::mt19937 random(20263);
    const Region may({random_star(random, 6, 12)});
    const FigureJob good = pocket_in(may, Bit::parse("flat:1.0"), 0);
    REQUIRE(good.prove_it().holds);
    const std::string whole = good.text.text();
    const std::vector<std::string> words{"G1 X1000000 Y-1000000 Z-1 F100",
                                         "G2 X5 Y5 I900000 J0 F100",
                                         "G0 Z-99999",
                                         "G1 Z-0",
                                         "M5",
                                         "G91",
                                         "G20",
                                         "X",
                                         "(",
                                         "G1 X15 Y29 Z-5"};
    for (int kind = 0; kind < 3; ++kind)
        for (int n = 0; n < 12; ++n) {
            // Half of it is missing, whatever else happened.
            std::string text = whole.substr(0, whole.size() / 2);
            for (int k = 0; k < 3; ++k) {
                const std::size_t at = random() % text.size();
                switch (random() % 3) {
                    case 0:
                        text[at] = static_cast<char>(random() % 256);
                        break;
                    case 1:
                        text.erase(at, random() % 50);
                        break;
                    default:
                        text.insert(std::min(text.size(), text.find('\n', at)), "\n" + words[random() % words.size()]);
                }
            }
            FigureJob job = good;
            if (kind == 1) job.figure.half_angle = 0.5;
            if (kind == 2) {
                Groove groove;
                groove.closed = true;
                for (const Point& p : may.figures()[0].outer) groove.tip.push_back({p.x, p.y, -0.5});
                job.figure.grooves = {groove};
            }
            const Proof proof = prove(job.task(text), {});
            CHECK_FALSE(proof.holds);
            CHECK(proof.checks.size() == 9);
        }
}
