// Programs of a beam whose light is known on paper, and the same damaged in every way that the promises forbid. Where no other source is
// named, the check is Burin's own promise.
#include "beam.hpp"

#include "check.hpp"

using namespace burin;
using namespace burin::test;

namespace {

BeamProof proved(const BeamText& text, const Grid<float>* wanted, const std::vector<BeamFigure>& figures = {}) {
    const std::string all = text.text();
    BeamTask task = beam_task(all);
    task.exposure = wanted;
    task.figures = figures;
    return prove_beam(task, Crew{});
}
/// That check is broken at that line.
void names(const BeamProof& proof, std::string_view check, std::uint32_t line) {
    INFO(check_named(proof, check).detail);
    CHECK_FALSE(check_named(proof, check).ok);
    CHECK(check_named(proof, check).line == line);
    CHECK_FALSE(proof.proof.holds);
}

}  // namespace

TEST_CASE("rows of constant light have the light known on paper") {
    // Exposure = power ÷ (speed × line spacing), the definition; 5 W · 0.4 ÷ (50 mm/s · 0.1 mm) = 0.4 J/mm².
    const Grid<float> wanted = rows_exposure(400, 800);
    const BeamProof proof = proved(rows_of(400, 800), &wanted);
    CHECK(broken(proof) == kept);
    CHECK(proof.proof.holds);
    CHECK(proof.proof.beam);
    CHECK(proof.worst_tone < 0.005);
    const Grid<float>& light = proof.exposure;
    CHECK(light.cell() == Approx(0.05));
    const auto mean = [&](double x0, double x1) {
        double sum = 0;
        int count = 0;
        for (int j = 0; j < light.height(); ++j)
            for (int i = 0; i < light.width(); ++i) {
                const Point p = light.centre(i, j);
                if (p.x > x0 && p.x < x1 && p.y > 10.5 && p.y < 11.5) sum += static_cast<double>(light(i, j)), ++count;
            }
        return sum / count;
    };
    CHECK(mean(11, 19) == Approx(0.4).epsilon(0.003));
    CHECK(mean(21, 29) == Approx(0.8).epsilon(0.003));
    // All of it: 20 rows of 10 mm at 2 W and 10 mm at 4 W, at 50 mm/s each 0.2 s: 24 J.
    double joules = 0;
    for (const float v : light.values()) joules += static_cast<double>(v) * light.cell() * light.cell();
    CHECK(joules == Approx(24).epsilon(0.001));
    REQUIRE(proof.programs.size() == 1);
    CHECK(proof.programs[0].energy_j == Approx(24).epsilon(0.001));
    CHECK(proof.programs[0].burnt_length == Approx(400));
    CHECK(proof.programs[0].dark_length == Approx(2 * 20 * run_up));
    CHECK(proof.programs[0].most_power == 800);
    CHECK_FALSE(proof.programs[0].constant_power);
}

TEST_CASE("constant power is kept where run-ups are dark and long enough, and broken where one is too short") {
    // Run-up of a beam line: v²/(2a), kinematics; 50 mm/s at 500 mm/s²: 2.5 mm.
    const Grid<float> wanted = rows_exposure(400, 800);
    BeamText text = rows_of(400, 800);
    text.line(4) = "M3 S0";
    const BeamProof good = proved(text, &wanted);
    CHECK(broken(good) == kept);
    CHECK(good.programs[0].constant_power);

    BeamText shorter = text;
    shorter.line(first_of_row(3) - 1) = fmt::format("G0 X{:.3f} Y{:.3f}", 30 + 2.2, 10 + spacing * 3.5);
    shorter.line(first_of_row(3)) = "G4 P0.1";  // from rest: a rapid would bring its speed along
    names(proved(shorter, &wanted), "steady speed", first_of_row(3) + 2);
    // Too fast for its run-up: at 60 mm/s it wants 3.6 mm.
    BeamText faster = text;
    for (std::uint32_t n = first_of_row(5); n < first_of_row(6); ++n)
        if (const auto at = faster.line(n).find("F3000"); at != std::string::npos) faster.line(n).replace(at, 5, "F3600");
    names(proved(faster, &wanted), "steady speed", first_of_row(5) + 2);
    // Scaled power by a controller that scales it nothing is the matter with, by one that does not there is.
    BeamText scaled = shorter;
    scaled.line(4) = "M4 S0";
    CHECK(broken(proved(scaled, &wanted)) == kept);
    const std::string all = scaled.text();
    BeamTask task = beam_task(all);
    task.machine.laser->scales_with_speed = false;
    names(prove_beam(task, Crew{}), "steady speed", first_of_row(3) + 2);
}

TEST_CASE("a beam that is not dark where it must be is named with its line") {
    BeamText text = rows_of(400, 800);
    SECTION("before a rapid") {
        text.line(first_of_row(2) + 4) = "X32.6";  // the S0 of the run-out is gone
        names(proved(text, nullptr), "dark but while burning", first_of_row(3));
    }
    SECTION("before a dwell, under M3 too") {
        text.line(first_of_row(2) + 5) = "G4 P0.5";
        CHECK(broken(proved(text, nullptr)) == kept);
        text.line(first_of_row(2) + 4) = "X32.6";
        names(proved(text, nullptr), "dark but while burning", first_of_row(2) + 5);
        text.line(first_of_row(2) + 4) = "X32.6 S0";
        text.line(4) = "M3 S0";
        CHECK(broken(proved(text, nullptr)) == kept);
    }
    SECTION("before a pause") {
        text.line(first_of_row(2) + 4) = "X32.6 M0";
        names(proved(text, nullptr), "dark but while burning", first_of_row(2) + 4);
    }
    SECTION("before the end") {
        const auto last = static_cast<std::uint32_t>(text.lines.size());
        text.line(last - 3) = "X7.400";
        text.drop(last - 1);
        const BeamProof proof = proved(text, nullptr);
        names(proof, "dark but while burning", last - 1);
        CHECK_FALSE(check_named(proof, "plain text for any controller").ok);  // no M5
    }
}

TEST_CASE("a beam that stands still is named with its line") {
    BeamText text = rows_of(400, 800);
    SECTION("switched on lit") {
        text.line(4) = "M4 S100";
        names(proved(text, nullptr), "no standing beam", 4);
    }
    SECTION("lit between moves") {
        text.line(first_of_row(1) + 5) = "S300";
        names(proved(text, nullptr), "no standing beam", first_of_row(1) + 5);
    }
    SECTION("a move that goes nowhere") {
        text.line(first_of_row(1) + 3) = "X20 S300";
        names(proved(text, nullptr), "no standing beam", first_of_row(1) + 3);
    }
    SECTION("a move of the head alone") {
        text.line(first_of_row(1) + 5) = "Z-1 S300";
        names(proved(text, nullptr), "no standing beam", first_of_row(1) + 5);
    }
}

TEST_CASE("power above the scale is named with its line, the pilot beam's too") {
    BeamText text = rows_of(400, 800);
    text.line(first_of_row(7) + 2) = "X20 S1001";
    names(proved(text, nullptr), "power within the scale", first_of_row(7) + 2);
    text.line(first_of_row(7) + 2) = "X20 S800";
    text.line(3) = "M5 S2000";  // said while it is off
    names(proved(text, nullptr), "power within the scale", 3);

    BeamText border;
    border.add("G0 X10 Y10");
    border.add("G1 X30 F1000 S20");
    const std::uint32_t up = border.add("Y12");
    border.add("S0");
    border.end();
    const std::string all = border.text();
    BeamTask task = beam_task(all);
    const Grid<float> wanted = rows_exposure(0, 0);
    task.exposure = &wanted;
    task.programs[0].border = true;
    CHECK(broken(prove_beam(task, Crew{})) == kept);  // it counts for no tone
    border.line(up) = "Y12 S21";
    const std::string brighter = border.text();
    task.programs[0].text = brighter;
    names(prove_beam(task, Crew{}), "power within the scale", up);
}

TEST_CASE("tones that are not the wanted ones are named at the move that makes them") {
    const Grid<float> wanted = rows_exposure(400, 800);
    BeamText text = rows_of(400, 800);
    SECTION("a run is left out") {
        text.line(first_of_row(8) + 2) = "X20 S0";
        names(proved(text, &wanted), "tone as wanted", first_of_row(8) + 2);
    }
    SECTION("a run's line is left out: the next goes on over its place") {
        text.drop(first_of_row(8) + 2);
        names(proved(text, &wanted), "tone as wanted", first_of_row(8) + 2);
    }
    SECTION("a run is too dark") {
        text.line(first_of_row(8) + 3) = "X30 S1000";
        names(proved(text, &wanted), "tone as wanted", first_of_row(8) + 3);
    }
    SECTION("a row is too slow") {
        text.line(first_of_row(8) + 1) = "G1 X10 F2000 S0";
        const Check seen = check_named(proved(text, &wanted), "tone as wanted");
        CHECK_FALSE(seen.ok);
        CHECK(seen.line >= first_of_row(8) + 2);  // F is modal: all that follows is too slow
    }
    SECTION("a row runs twice") {
        text.line(first_of_row(8) + 5) = "G1 X10 S400";
        CHECK_FALSE(check_named(proved(text, &wanted), "tone as wanted").ok);
    }
    SECTION("everything too dark by three in a hundred, and by one") {
        const Grid<float> paler = rows_exposure(376, 776), little = rows_exposure(392, 792);
        CHECK_FALSE(check_named(proved(text, &paler), "tone as wanted").ok);
        CHECK(check_named(proved(text, &little), "tone as wanted").ok);
    }
}

TEST_CASE("what burns outside the design or the stock is named with its line") {
    const Grid<float> wanted = rows_exposure(400, 800);
    BeamText text = rows_of(400, 800);
    SECTION("beyond the picture") {
        text.line(first_of_row(4) + 3) = "X30.3 S800";
        names(proved(text, &wanted), "nothing burnt outside", first_of_row(4) + 3);
    }
    SECTION("half a spot beyond it is kept") {
        for (int k = 0; k < 20; k += 2) text.line(first_of_row(k) + 3) = "X30.045 S800";
        CHECK(check_named(proved(text, &wanted), "nothing burnt outside").ok);
    }
    SECTION("where the picture is bare, however faint") {
        const Grid<float> bare = rows_exposure(0, 800);
        for (int k = 0; k < 20; ++k) text.line(first_of_row(k) + (k % 2 == 0 ? 2 : 3)) = k % 2 == 0 ? "X20 S0" : "X10 S0";
        CHECK(broken(proved(text, &bare)) == kept);
        text.line(first_of_row(6) + 2) = "X20 S1";
        names(proved(text, &bare), "nothing burnt outside", first_of_row(6) + 2);
    }
    SECTION("beside the stock") {
        text.line(first_of_row(4) + 4) = "X50.2 S800";
        const BeamProof proof = proved(text, nullptr);
        names(proof, "inside stock and travel", first_of_row(4) + 4);
        CHECK(proof.proof.inside_travel);
    }
    SECTION("dark run-ups may leave the stock, not the travel") {
        text.line(first_of_row(4) + 4) = "X52.6 S0";
        CHECK(check_named(proved(text, nullptr), "inside stock and travel").ok);
        text.line(first_of_row(4) + 4) = "X401 S0";
        const BeamProof proof = proved(text, nullptr);
        names(proof, "inside stock and travel", first_of_row(4) + 4);
        CHECK_FALSE(proof.proof.inside_travel);
    }
}

TEST_CASE("a machine without a laser proves nothing") {
    BeamTask task = beam_task("M2\n");
    task.machine.laser.reset();
    CHECK_THROWS_AS(prove_beam(task, Crew{}), Error);
    task.machine = laser_machine();
    task.machine.laser->scale = 70000;
    CHECK_THROWS_AS(prove_beam(task, Crew{}), Error);
    task.machine = laser_machine();
    CHECK_FALSE(prove_beam(task, Crew{}).proof.holds);  // a text that moves nothing is no program
}
