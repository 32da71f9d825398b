/// What is set up at the machine, from the command line to the files. No source: the program's own contract (exit status, files).
#include <filesystem>

#include "check.hpp"
#include "program.hpp"

using namespace jobs;
namespace fs = std::filesystem;

TEST_CASE("machine, zero and pace run as a person runs them, one after the other") {
    const Scratch scratch;
    put(scratch / "tower.txt", "$110=1500\n$120=150\n$22=1\nok\n");
    const Outcome machine = call({"machine", scratch / "tower.txt", "-o", scratch / "tower"});
    INFO(machine.err);
    CHECK(machine.status == 0);
    CHECK_THAT(machine.out, ContainsSubstring("1500 mm/min") && ContainsSubstring("Use it as --machine"));
    const std::string own = scratch / "tower/tower.toml";
    CHECK(call({"zero", "--plate", "15.2", "--machine", own, "--datum-dots", "4,4:60,40", "-o", scratch / "zero"}).status == 0);
    CHECK((fs::exists(scratch / "zero/1-zero.nc") && fs::exists(scratch / "zero/2-dots.nc") && fs::exists(scratch / "zero/report.json")));
    // The dots are what is cut: their outline is the box from one to the other.
    const Outcome pace = call({"pace", scratch / "zero/2-dots.nc", "--machine", own, "--json", "-o", scratch / "walk"});
    INFO(pace.err);
    CHECK(pace.status == 0);
    CHECK_THAT(pace.out, ContainsSubstring("\"by\": \"box\""));
    CHECK_THAT(text_of(scratch / "walk/1-pace.nc"), ContainsSubstring("X60 "));
    // A program that probes is checked like any other: what it does after the touch is followed from there.
    const Outcome check = call({"check", scratch / "zero/1-zero.nc", "--bit", "flat:3.175"});
    INFO(check.err);
    CHECK(check.status == 0);
    CHECK_THAT(check.out + check.err, ContainsSubstring("sets the zero where the probe touched"));
    CHECK(call({"level", "--stock", "90x70x12", "--machine", own, "-o", scratch / "level"}).status == 0);
    const Outcome grid = call({"check", scratch / "level/1-level.nc", "--stock", "90x70x12", "--bit", "flat:3.175", "--machine", own});
    INFO(grid.err);
    CHECK(grid.status == 0);
}

TEST_CASE("what is wrong with a list, a plate or a walk has its status and changes nothing") {
    const Scratch scratch;
    put(scratch / "odd.txt", "$110=-4\n");
    put(scratch / "bytes.txt", std::string("\x7f\0\1\2", 4));
    const auto status = [&](std::vector<std::string> words) {
        words.insert(words.end(), {"-o", scratch / "none"});
        const Outcome outcome = call(words);
        CHECK(outcome.out.empty());
        CHECK_FALSE(outcome.err.empty());
        return outcome.status;
    };
    CHECK(status({"machine", scratch / "odd.txt"}) == 3);
    CHECK(status({"machine", scratch / "bytes.txt"}) == 3);
    CHECK(status({"machine", scratch / "absent.txt"}) == 3);
    CHECK(status({"machine", "/dev/zero"}) == 3);
    CHECK(status({"machine"}) == 2);
    CHECK(status({"machine", scratch / "odd.txt", "--controller", "none"}) == 2);
    CHECK(status({"zero", "--plate", "0"}) == 2);
    CHECK(status({"zero", "--plate", "12", "--machine", "laser-240x150"}) == 1);
    CHECK(status({"zero", "--datum-dots", "4,4"}) == 2);
    CHECK(status({"pace"}) == 2);
    CHECK(status({"pace", scratch / "bytes.txt"}) == 3);
    CHECK(status({"pace", scratch / "odd.txt", "--by", "square"}) == 2);
    CHECK_FALSE(fs::exists(scratch / "none"));
    CHECK(call({"list", "controllers"}).out == "numbered-settings\n");
    CHECK(call({"zero", "--plate", "12"}).status == 2);  // no folder
}

TEST_CASE("a carved job goes on after a stop, in parts, on a top that is not flat, and round its clamps") {
    const Scratch scratch;
    const std::string lighthouse = std::string(BURIN_SOURCE) + "/images/lighthouse-depth.png";
    const std::vector<std::string> picture{"relief", lighthouse,   "--heights", "map",      "--width",   "36",   "--depth", "1.5",
                                           "--bit",  "flat:3.175", "--bit",     "ball:1.5", "--scallop", "0.02", "--stock", "50x40x12"};
    const auto carve = [&](std::vector<std::string> more) {
        std::vector<std::string> words = picture;
        words.insert(words.end(), more.begin(), more.end());
        return call(words);
    };
    const std::string job = scratch / "job";
    const Outcome made = carve({"-o", job});
    INFO(made.err);
    REQUIRE(made.status == 0);
    const std::string rough = job + "/1-rough.nc", finish = job + "/2-finish.nc";
    const auto done = [&](std::vector<std::string> words, const std::string& folder, const std::string& file) {
        words.insert(words.end(), {"--stock", "50x40x12", "-o", scratch / folder});
        const Outcome outcome = call(words);
        INFO(words.front() << ": " << outcome.err);
        CHECK(outcome.status == 0);
        CHECK((fs::exists(scratch / (folder + "/" + file)) && fs::exists(scratch / (folder + "/report.json"))));
    };
    done({"resume", rough, finish, "--share", "40"}, "rest", "2-finish-rest.nc");
    done({"resume", rough, finish, "--below", "-0.8"}, "deep", "2-finish-rest.nc");
    done({"split", rough, finish, "--parts", "2"}, "parts", "2-finish-b.nc");
    put(scratch / "points.txt", "3 3 0.1\n47 3 0.2\n47 37 -0.1\n3 37 0\n25 20 0.05\n");
    done({"bend", rough, finish, "--points", scratch / "points.txt"}, "bent", "2-finish.nc");
    // A clamp beside the design is passed over; one on it is refused, and drawn, and no program is written.
    CHECK(carve({"--keep-out", "box:-5,10,4,30:8", "-o", scratch / "clamped"}).status == 0);
    const Outcome refused = carve({"--keep-out", "circle:25,20,6:8:screw", "-o", scratch / "refused"});
    CHECK(refused.status == 1);
    CHECK_THAT(refused.err, ContainsSubstring("'screw'") && ContainsSubstring("refused.svg"));
    CHECK(fs::exists(scratch / "refused/refused.svg"));
    CHECK_FALSE(fs::exists(scratch / "refused/1-rough.nc"));
}
