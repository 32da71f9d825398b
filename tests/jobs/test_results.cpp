/// What a finished job leaves, and that it is the same every time. No source: promise 6, the same job gives the same bytes.
#include <filesystem>
#include <nlohmann/json.hpp>

#include "burin/job/options.hpp"
#include "check.hpp"
#include "program.hpp"

using namespace jobs;
namespace fs = std::filesystem;

namespace {

Contents made(const std::vector<std::string>& words, const std::string& folder, const Circumstances& circumstances = {}) {
    const Outcome outcome = call(words, circumstances);
    INFO(outcome.err);
    REQUIRE(outcome.status == 0);
    return contents(folder, true);
}

void same(const Contents& a, const Contents& b) {
    REQUIRE(a.size() == b.size());
    for (const auto& [name, text] : a) {
        INFO(name);
        REQUIRE(b.count(name) == 1);
        CHECK((b.at(name) == text));
    }
}

}  // namespace

TEST_CASE("the same bytes twice, on one thread and two, in another locale, and from the job file") {
    const Scratch scratch;
    const Contents first = made(small_job(scratch, {}, scratch / "a"), scratch / "a");
    CHECK(first.size() == 8);
    for (const char* name :
         {"1-rough.nc", "2-finish.nc", "job.toml", "report.html", "report.json", "preview.png", "surface.png", "paths.svg"}) {
        INFO(name);
        REQUIRE(first.count(name) == 1);
        CHECK(first.at(name).size() > 200);
    }
    same(first, made(small_job(scratch, {}, scratch / "a"), scratch / "a"));
    same(first, made(small_job(scratch, {"--threads", "1"}, scratch / "b"), scratch / "b"));
    same(first, made(small_job(scratch, {"--threads", "2"}, scratch / "c"), scratch / "c", {{}, {}, 0, {}, {"LC_ALL=de_DE.UTF-8"}}));
    same(first, made({"make", scratch / "a/job.toml", "-o", scratch / "d"}, scratch / "d"));
    same(first, made({"make", scratch / "d/job.toml", "-o", scratch / "e", "--threads", "1"}, scratch / "e"));
}

TEST_CASE("a job with everything said comes back from its job file too") {
    const Scratch scratch;
    const std::vector<std::string> more{"--bit",      "ball:2",        "--bit",     "taper:0.5:10:3.175",
                                        "--material", "walnut",        "--stock",   "round:40x15",
                                        "--at",       "-1.5,2",        "--rotate",  "30",
                                        "--mirror",   "--gamma",       "1.3",       "--feed",
                                        "400",        "--scallop",     "0.01",      "--name",
                                        "Bell & Co.", "--inch",        "--one-way", "--angle",
                                        "45",         "--cell",        "0.1",       "--border",
                                        "blend:1",    "--safe-height", "5"};
    const Contents first = made(small_job(scratch, more, scratch / "a"), scratch / "a");
    same(first, made({"make", scratch / "a/job.toml", "-o", scratch / "b"}, scratch / "b"));
    const auto report = nlohmann::json::parse(first.at("report.json"));
    CHECK(report["job"] == "Bell & Co.");
    CHECK(report["programs"].back()["tool"] == "taper:0.5:10:3.175");
}

TEST_CASE("an option that takes one value lets a picture follow, and numbers may be negative") {
    const Scratch scratch;
    const Outcome outcome = call({"relief", "--bit", "ball:1.0", "--at", "-2,-.5", scratch / "bowl.png", "--heights=map", "--width", "14",
                                  "--stock", "40x40x12", "--zero", "centre", "--depth", "1", "-o", scratch / "a", "--quiet"});
    INFO(outcome.err);
    CHECK(outcome.status == 0);
    CHECK(outcome.out.empty());
    CHECK(outcome.err.empty());
    const auto report = nlohmann::json::parse(text_of(scratch / "a/report.json"));
    CHECK(report["programs"].size() == 1);
    CHECK(report["programs"][0]["file"] == "1-cut.nc");
    CHECK(report["programs"][0]["bounds"]["x"][0].get<double>() < -2);
}

TEST_CASE("what is true of all bits is said once") {
    const Scratch scratch;
    const Outcome outcome = call(small_job(scratch, {"--speed", "4000"}, scratch / "a"));
    INFO(outcome.err);
    const std::size_t first = outcome.err.find("4000 rpm was asked for");
    REQUIRE(first != std::string::npos);
    CHECK(outcome.err.find("4000 rpm was asked for", first + 1) == std::string::npos);
}

TEST_CASE("--json prints the report, and nothing else goes to standard output") {
    const Scratch scratch;
    const Outcome outcome = call(small_job(scratch, {"--json"}, scratch / "a"));
    CHECK(outcome.status == 0);
    CHECK(outcome.out == text_of(scratch / "a/report.json"));
    CHECK(nlohmann::json::parse(outcome.out)["proof"]["rapids_in_stock"] == 0);
    // No terminal, no progress line: neither carriage returns nor escapes.
    CHECK(outcome.err.find('\r') == std::string::npos);
    CHECK(outcome.err.find('\033') == std::string::npos);
}

TEST_CASE("a report that cannot be printed is an error of the output, the job itself is done") {
    const Scratch scratch;
    Circumstances full;
    full.out_to = "/dev/full";
    for (const char* more : {"--json", "--inch"}) {  // the second prints the summary
        const Outcome outcome = call(small_job(scratch, {more}, scratch / "a"), full);
        CHECK(outcome.status == 4);
        CHECK_THAT(outcome.err, ContainsSubstring("Standard output") && ContainsSubstring(scratch / "a"));
        CHECK(fs::exists(scratch / "a/report.json"));
    }
    CHECK(call({"list", "bits"}, full).status == 4);
}

TEST_CASE("another job in the same folder leaves no program of the first, and other files alone") {
    const Scratch scratch;
    fs::create_directory(scratch / "card");
    put(scratch / "card/holiday.jpg", "photo");
    REQUIRE(call(small_job(scratch, {}, scratch / "card")).status == 0);
    REQUIRE(call(small_job(scratch, {"--bit", "ball:1.0"}, scratch / "card")).status == 0);
    const Contents left = contents(scratch / "card", true);
    CHECK(left.count("1-cut.nc") == 1);
    CHECK(left.count("1-rough.nc") == 0);
    CHECK(left.count("2-finish.nc") == 0);
    CHECK(left.at("holiday.jpg") == "photo");
    CHECK(left.size() == 8);
}

TEST_CASE("help, version, presets, manual and completion") {
    CHECK_THAT(call({"--help"}).out, ContainsSubstring("relief PICTURE"));
    CHECK_THAT(call({"--version"}).out, ContainsSubstring("burin "));
    const Outcome help = call({"relief", "--help"});
    CHECK(help.status == 0);
    for (const burin::Option* option : burin::options_of(burin::command_relief))
        CHECK_THAT(help.out, ContainsSubstring("--" + std::string(option->name)));
    CHECK_THAT(call({"list", "machines"}).out, ContainsSubstring("desk-240x150\n"));
    CHECK_THAT(call({"list", "materials"}).out, ContainsSubstring("ash-slice\n"));
    CHECK_THAT(call({"list", "bits"}).out, ContainsSubstring("\n"));
    CHECK(call({"show", "desk-240x150"}).out == text_of(BURIN_SOURCE "/presets/machines/desk-240x150.toml"));
    CHECK(call({"manual"}).out.rfind(".TH BURIN 1", 0) == 0);
    const Scratch scratch;
    put(scratch / "completion", call({"completion", "bash"}).out);
    CHECK(std::system(("bash -n '" + (scratch / "completion") + "'").c_str()) == 0);
    // What bash would offer after "burin relief --heights t".
    put(scratch / "ask", ". '" + (scratch / "completion") +
                             "'; COMP_WORDS=(burin relief --heights t); COMP_CWORD=3; _burin; echo \"${COMPREPLY[*]}\" > '" +
                             (scratch / "answer") + "'\n");
    CHECK(std::system(("bash '" + (scratch / "ask") + "'").c_str()) == 0);
    CHECK(text_of(scratch / "answer") == "tone transmit\n");
}
