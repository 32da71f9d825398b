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
    // A program that probes is checked like any other, and told for what it is.
    const Outcome check = call({"check", scratch / "zero/1-zero.nc", "--bit", "flat:3.175"});
    CHECK_THAT(check.err, ContainsSubstring("G38.2"));
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
