/// Batches as a person runs them. No source: each finished row is a whole job, done once; a bad one stops no other.
#include <csignal>
#include <filesystem>

#include "check.hpp"
#include "program.hpp"

using namespace jobs;
namespace fs = std::filesystem;

namespace {

constexpr const char* tag = R"(material = "basswood"
stock = "{width}x12x3"
[[cut]]
make = "stroke"
shape = "line"
length = "{length}"
depth = 0.5
bit = "vee:60:0.1:3.175"
)";

std::vector<std::string> batch(const Scratch& scratch, const std::vector<std::string>& more = {}) {
    std::vector<std::string> words{"make", scratch / "tag.toml", "--each", scratch / "tags.csv", "-o", scratch / "out"};
    words.insert(words.end(), more.begin(), more.end());
    return words;
}

}  // namespace

TEST_CASE("three rows, one of them bad; done once; one page") {
    const Scratch scratch;
    put(scratch / "tag.toml", tag);
    put(scratch / "tags.csv", "name,width,length\n../Ada (1),30,20\n\"Bo \"\"x\"\"\",30,40\nÉmile,30,22\n");
    const Outcome first = call(batch(scratch));
    INFO(first.err << first.out);
    CHECK(first.status == 1);
    CHECK_THAT(first.err, ContainsSubstring("row 2, line 3 of tags.csv"));
    CHECK_THAT(first.err, ContainsSubstring("larger than the stock"));
    CHECK_THAT(first.out, ContainsSubstring("2 of 3 pieces proved"));
    CHECK_FALSE(fs::exists(scratch / "Ada (1)"));
    const std::string page = text_of(scratch / "out/index.html");
    CHECK_THAT(page, ContainsSubstring("Ada%20-1/preview.png"));
    CHECK_THAT(page, ContainsSubstring("%C3%89mile/report.html"));
    CHECK_THAT(page, ContainsSubstring("larger than the stock"));
    const Contents ada = contents(scratch / "out/Ada -1"), emile = contents(scratch / "out/Émile");
    CHECK(ada.count("report.json") == 1);
    CHECK(ada.count("row.json") == 1);
    CHECK(contents(scratch / "out/Bo -x").count("report.json") == 0);

    // Mended: only that row is made; what was finished keeps its very files.
    const auto before = fs::last_write_time(scratch / "out/Émile/report.json");
    put(scratch / "tags.csv", "name,width,length\n../Ada (1),30,21\n\"Bo \"\"x\"\"\",50,40\nÉmile,30,22\n");
    const Outcome again = call(batch(scratch, {"--threads", "3"}));
    INFO(again.err << again.out);
    CHECK(again.status == 0);
    CHECK_THAT(again.out, ContainsSubstring("1 were finished before"));
    CHECK(fs::last_write_time(scratch / "out/Émile/report.json") == before);
    CHECK((contents(scratch / "out/Émile") == emile));
    CHECK(contents(scratch / "out/Ada -1").at("job.toml") != ada.at("job.toml"));
    CHECK(contents(scratch / "out/Bo -x").count("not-made.json") == 0);
    CHECK(text_of(scratch / "out/index.html").find("Not made") == std::string::npos);

    // Shares of the rows elsewhere, the page afterwards.
    fs::remove_all(scratch / "out");
    CHECK(call(batch(scratch, {"--only", "3"})).status == 0);
    CHECK(call(batch(scratch, {"--only", "1-2"})).status == 0);
    CHECK((contents(scratch / "out/Émile") == emile));
    fs::remove(scratch / "out/index.html");
    CHECK_THAT(call(batch(scratch, {"--only", "0"})).out, ContainsSubstring("3 of 3 pieces proved"));
    CHECK(fs::exists(scratch / "out/index.html"));
}

TEST_CASE("nested: pieces on one board, a bad one left out") {
    const Scratch scratch;
    put(scratch / "tag.toml", tag);
    put(scratch / "tags.csv", "name,width,length\nAda,30,20\nBo,30,40\nÉmile,30,22\n");
    const Outcome outcome = call(batch(scratch, {"--nest", "50x40x3", "--gap-between", "2"}));
    INFO(outcome.err << outcome.out);
    CHECK(outcome.status == 1);
    CHECK_THAT(outcome.err, ContainsSubstring("Bo (row 2, line 3 of tags.csv)"));
    const Contents board = contents(scratch / "out/board-1");
    REQUIRE(board.count("report.json") == 1);
    CHECK_THAT(board.at("job.toml"), ContainsSubstring("Émile stroke"));
    CHECK_FALSE(fs::exists(scratch / "out/board-2"));
    CHECK(call(batch(scratch, {"--nest", "50x40x4"})).status == 2);
}

TEST_CASE("nested, a design as large as its piece stays within it") {
    const Scratch scratch;
    put(scratch / "tag.toml",
        "stock = '{width}x20x3'\n[[cut]]\nmake = 'pocket'\nshape = 'rectangle'\nwidth = 10\nheight = 4\nfit = 2\ndepth = 0.5\n");
    put(scratch / "tags.csv", "name,width\nAda,44\nBo,24\n");
    const Outcome outcome = call(batch(scratch, {"--nest", "90x40x3", "--gap-between", "2"}));
    INFO(outcome.err << outcome.out);
    REQUIRE(outcome.status == 0);
    const std::string job = contents(scratch / "out/board-1").at("job.toml");
    CHECK_THAT(job, ContainsSubstring("width = 40\n"));
    CHECK_THAT(job, ContainsSubstring("width = 20\n"));
}

TEST_CASE("stopped or killed in the middle, the same command does the rest") {
    const Scratch scratch;
    put(scratch / "tag.toml", tag);
    std::string csv = "name,width,length\n";
    for (int k = 0; k < 12; ++k) csv += "tag" + std::to_string(k) + ",60," + std::to_string(20 + k) + "\n";
    put(scratch / "tags.csv", csv);
    const auto start = std::chrono::steady_clock::now();
    REQUIRE(call(batch(scratch)).status == 0);
    const auto lasts = std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - start);
    const Contents whole = contents(scratch / "out/tag7", true);
    int cut_short = 0;
    for (const int signal : {SIGKILL, SIGINT, SIGKILL}) {
        fs::remove_all(scratch / "out");
        Circumstances stop;
        stop.signal = signal;
        stop.signal_after = lasts / 2;
        const Outcome outcome = call(batch(scratch), stop);
        if (outcome.status == 0) continue;  // the machine ran faster this time
        ++cut_short;
        CHECK(outcome.status == (signal == SIGINT ? 130 : -signal));
        std::size_t finished = 0;
        for (int k = 0; k < 12; ++k) finished += fs::exists(scratch / ("out/tag" + std::to_string(k) + "/report.json")) ? 1 : 0;
        const Outcome rest = call(batch(scratch));
        CHECK(rest.status == 0);
        CHECK_THAT(rest.out, ContainsSubstring("12 of 12 pieces proved"));
        if (finished > 0) CHECK_THAT(rest.out, ContainsSubstring(std::to_string(finished) + " were finished before"));
        CHECK((contents(scratch / "out/tag7", true) == whole));
    }
    CHECK(cut_short > 0);
}

TEST_CASE("batches that cannot be") {
    const Scratch scratch;
    put(scratch / "tag.toml", tag);
    const auto told = [&](const std::string& csv, const std::vector<std::string>& more, int status) {
        put(scratch / "tags.csv", csv);
        const Outcome outcome = call(batch(scratch, more));
        CHECK(outcome.status == status);
        CHECK_FALSE(fs::exists(scratch / "out"));
        return outcome.err;
    };
    const std::string good = "name,width,length\nAda,30,20\n";
    CHECK_THAT(told("name,width\nAda,30\n", {}, 2), ContainsSubstring("cut.length: there is no column 'length'"));
    CHECK_THAT(told("name,width,length\n", {}, 3), ContainsSubstring("no rows"));
    CHECK_THAT(told("name,width,length\nAda,30\n", {}, 3), ContainsSubstring("line 2"));
    CHECK_THAT(told(good, {"--only", "9"}, 2), ContainsSubstring("has 1"));
    CHECK_THAT(told(good, {"--json"}, 2), ContainsSubstring("--json"));
    CHECK_THAT(told(good, {"--nest", "round:90x3"}, 2), ContainsSubstring("rectangular"));
    CHECK_THAT(told(good, {"--gap-between", "3"}, 2), ContainsSubstring("--nest"));
    CHECK(call({"make", scratch / "tag.toml", "--only", "1", "-o", scratch / "out"}).status == 2);
    CHECK(call({"make", scratch / "tag.toml", "--each", scratch / "missing.csv", "-o", scratch / "out"}).status == 3);
}
