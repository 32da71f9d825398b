/// What a person can get wrong: the exit status, a sentence that names the thing, and nothing written. No source: the
/// program's own contract (0 done, 1 refused, 2 usage, 3 input, 4 output).
#include <sys/stat.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>

#include "burin/picture/picture.hpp"
#include "check.hpp"
#include "program.hpp"

using namespace jobs;
namespace fs = std::filesystem;

namespace {

/// Runs "relief" with these words and a folder that must not come into being.
void expect(const Scratch& scratch, int status, const std::string& says, const std::vector<std::string>& words) {
    const std::string folder = scratch / "never";
    std::vector<std::string> all{"relief"};
    all.insert(all.end(), words.begin(), words.end());
    all.insert(all.end(), {"-o", folder});
    const Outcome outcome = call(all);
    std::string line;
    for (const std::string& word : all) line += word + ' ';
    INFO(line << "-> " << outcome.err);
    CHECK(outcome.status == status);
    CHECK_THAT(outcome.err, ContainsSubstring(says));
    CHECK(outcome.err.rfind("burin: ", 0) == 0);
    CHECK(outcome.out.empty());
    CHECK_FALSE(fs::exists(folder));
}

/// The same on the bowl, 14 mm wide.
void expect_bowl(const Scratch& scratch, int status, const std::string& says, const std::vector<std::string>& more) {
    std::vector<std::string> words{scratch / "bowl.png", "--width", "14"};
    words.insert(words.end(), more.begin(), more.end());
    expect(scratch, status, says, words);
}

}  // namespace

TEST_CASE("values that are wrong in themselves are usage errors") {
    const Scratch scratch;
    for (const char* text : {"nan", "inf", "-inf", "1e999", "1e-3", "40mm", "", "0x10", "1,5", "."})
        expect_bowl(scratch, 2, "plain decimal", {"--stepover", text});
    expect_bowl(scratch, 2, "--stepover: 0", {"--stepover", "0"});
    expect_bowl(scratch, 2, "--depth: 0", {"--depth", "0"});
    expect_bowl(scratch, 2, "--depth: -2", {"--depth", "-2"});
    expect_bowl(scratch, 2, "--at", {"--at", "3"});
    expect_bowl(scratch, 2, "between 0 and 0.02", {"--tolerance", "0.021"});
    expect_bowl(scratch, 2, "above 0 and at most 100", {"--stepover", "101"});
    expect(scratch, 2, "--width wants a value", {scratch / "bowl.png", "--width"});  // "-o" follows
    expect_bowl(scratch, 2, "--gamma wants a value", {"--gamma", "--invert"});
    expect_bowl(scratch, 2, "did you mean 'tone'", {"--heights", "tonne"});
    expect_bowl(scratch, 2, "did you mean 'centre'", {"--zero", "center"});
    expect_bowl(scratch, 2, "--bit", {"--bit", "ball:-1"});
    expect_bowl(scratch, 2, "--bit", {"--bit", "vee:190:0.1:3"});
    expect_bowl(scratch, 2, "100x80x12", {"--stock", "30x30"});
    expect_bowl(scratch, 2, "--stock", {"--at", "3,4"});
    expect_bowl(scratch, 2, "--trial", {"--trial-at", "3,4"});
    expect_bowl(scratch, 2, "one of them", {"--stepover", "0.1", "--scallop", "0.01"});
    expect(scratch, 2, "--width", {scratch / "bowl.png"});
    expect(scratch, 2, "above 0", {scratch / "bowl.png", "--width", "-5"});
}

TEST_CASE("names that do not exist come with the nearest that does") {
    const Scratch scratch;
    expect_bowl(scratch, 2, "did you mean 'walnut'", {"--material", "wallnut"});
    expect_bowl(scratch, 2, "did you mean 'desk-300x200'", {"--machine", "desk-30x200"});
    expect_bowl(scratch, 2, "did you mean", {"--bit", "ball-11"});
    expect_bowl(scratch, 2, "Did you mean '--stepover'", {"--stepovr", "0.1"});
    expect_bowl(scratch, 2, "2 times", {"--depth", "1", "--depth", "1"});
    expect_bowl(scratch, 2, "one argument too many", {scratch / "bowl.png"});
    expect_bowl(scratch, 2, "takes no value", {"--invert=yes"});
    const auto words = [](const std::vector<std::string>& given, int status, const std::string& says) {
        const Outcome outcome = call(given);
        INFO(outcome.err);
        CHECK(outcome.status == status);
        CHECK_THAT(outcome.err, ContainsSubstring(says));
    };
    words({}, 2, "No command");
    words({"releif", "x.png"}, 2, "Did you mean 'relief'");
    words({"relief"}, 2, "PICTURE");
    words({"relief", scratch / "bowl.png", "--width", "14"}, 2, "-o FOLDER");
    words({"relief", scratch / "bowl.png", "--width"}, 2, "--width wants a value");
    words({"list", "bit"}, 2, "did you mean 'bits'");
    words({"show", "wallnut"}, 2, "'wallnut'. Did you mean 'walnut'?");
    words({"completion", "csh"}, 2, "bash");
    words({"make", scratch / "none.toml", "-o", scratch / "never"}, 3, "none.toml");
    words({"make", scratch / "bowl.png", "-o", scratch / "never"}, 2, "bowl.png");
    CHECK_FALSE(fs::exists(scratch / "never"));
}

TEST_CASE("what conflicts with stock or machine is refused") {
    const Scratch scratch;
    expect_bowl(scratch, 1, "thickness", {"--depth", "5.1", "--stock", "30x30x5"});
    expect_bowl(scratch, 1, "thickness", {"--depth", "12.1"});
    expect_bowl(scratch, 1, "larger than the stock", {"--stock", "13x30x5"});
    expect_bowl(scratch, 1, "sticks out", {"--stock", "30x30x5", "--at", "5,5"});
    expect(scratch, 1, "larger than the machine", {scratch / "bowl.png", "--width", "400"});
    expect(scratch, 1, "wider than the job", {scratch / "bowl.png", "--width", "3"});
    expect_bowl(scratch, 1, "no spindle", {"--machine", "laser-240x150"});
    expect_bowl(scratch, 1, "Leather", {"--material", "leather"});
    expect_bowl(scratch, 1, "stepover", {"--stepover", "1.2"});
    expect_bowl(scratch, 1, "can move Z", {"--plunge", "900"});
    expect_bowl(scratch, 1, "half of the roughing bit", {"--allowance", "2"});
}

TEST_CASE("pictures that cannot be read") {
    const Scratch scratch;
    const std::string whole = text_of(scratch / "bowl.png");
    put(scratch / "short.png", whole.substr(0, whole.size() / 2));
    put(scratch / "empty.png", "");
    put(scratch / "letter.png", "Dear museum,\nthe lamp is out again.\n");
    put(scratch / "file", "x");
    expect(scratch, 3, "none.png", {scratch / "none.png", "--width", "14"});
    expect(scratch, 3, "short.png", {scratch / "short.png", "--width", "14"});
    expect(scratch, 3, "empty.png", {scratch / "empty.png", "--width", "14"});
    expect(scratch, 3, "letter.png", {scratch / "letter.png", "--width", "14"});
    expect(scratch, 3, "folder", {scratch / "", "--width", "14"});
    expect(scratch, 3, "file/bowl.png", {scratch / "file/bowl.png", "--width", "14"});
    expect(scratch, 3, "--megapixels", {scratch / "bowl.png", "--width", "14", "--megapixels", "0.001"});
    expect(scratch, 3, "0.0049 megapixels", {scratch / "bowl.png", "--width", "14", "--megapixels", "0.001"});
    // A first sentence is wanted fast; the bound is ten times the wanted 0.1 s, for machines with other work to do.
    const auto start = std::chrono::steady_clock::now();
    expect(scratch, 3, "short.png", {scratch / "short.png", "--width", "14"});
    CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds(1));
}

TEST_CASE("a blank picture leaves nothing to cut") {
    const Scratch scratch;
    const std::vector<std::uint16_t> white(40 * 40, 65535), grey(40 * 40, 30000);
    put(scratch / "white.png", burin::write_png_grey16(white, 40, 40, 0, {}));
    put(scratch / "grey.png", burin::write_png_grey16(grey, 40, 40, 0, {}));
    expect(scratch, 1, "", {scratch / "white.png", "--width", "14", "--heights", "map"});
    for (const char* kind : {"tone", "sculpt"}) expect(scratch, 1, "", {scratch / "grey.png", "--width", "14", "--heights", kind});
}

TEST_CASE("job files with mistakes name file, line and key") {
    const Scratch scratch;
    const auto wrong = [&](const std::string& text, const std::string& says) {
        put(scratch / "job.toml", text);
        const Outcome outcome = call({"make", scratch / "job.toml", "-o", scratch / "never"});
        INFO(outcome.err);
        CHECK(outcome.status == 2);
        CHECK_THAT(outcome.err, ContainsSubstring("job.toml, line ") && ContainsSubstring(says));
        CHECK_FALSE(fs::exists(scratch / "never"));
    };
    const std::string head = "[[cut]]\nmake = \"relief\"\npicture = \"bowl.png\"\nwidth = 14\n";
    wrong(head + "detph = 2\n", "line 5: cut.detph");
    wrong(head + "detph = 2\n", "'depth'");
    wrong(head + "depth = \"2\"\n", "line 5: cut.depth");
    wrong(head + "depth = 0\n", "line 5: cut.depth");
    wrong(head + "depth = nan\n", "line 5: cut.depth");
    wrong("stok = \"30x30x5\"\n" + head, "line 1: stok");
    wrong("[[cut]\n", "line 1");
    wrong("zero = \"centre\"\n[[cut]]\npicture = \"bowl.png\"\nwidth = 14\n", "line 2: cut.make");
    // What only shows later speaks of the file's keys, not of options that nobody gave.
    put(scratch / "job.toml", head + "allowance = 2\n");
    const Outcome later = call({"make", scratch / "job.toml", "-o", scratch / "never"});
    CHECK(later.status == 1);
    CHECK_THAT(later.err, ContainsSubstring("'allowance'") && !ContainsSubstring("--"));
}

TEST_CASE("folders that cannot be written") {
    const Scratch scratch;
    put(scratch / "file", "x");
    for (const std::string& folder : {scratch / "file", scratch / "file/deeper"}) {
        const Outcome outcome = call(small_job(scratch, {}, folder));
        INFO(outcome.err);
        CHECK(outcome.status == 4);
        CHECK_THAT(outcome.err, ContainsSubstring("file"));
    }
    CHECK(text_of(scratch / "file") == "x");
    // Where even root may not write.
    const Outcome nowhere = call(small_job(scratch, {}, "/proc/burin"));
    CHECK(nowhere.status == 4);
    CHECK_THAT(nowhere.err, ContainsSubstring("'/proc/burin' could not be made") && !ContainsSubstring("exist"));
    if (::geteuid() != 0) {
        fs::create_directory(scratch / "locked");
        ::chmod((scratch / "locked").c_str(), 0500);
        CHECK(call(small_job(scratch, {}, scratch / "locked")).status == 4);
        ::chmod((scratch / "locked").c_str(), 0700);
    }
}

TEST_CASE("results never take the place of what they are made from") {
    const Scratch scratch;
    fs::rename(scratch / "bowl.png", scratch / "preview.png");
    const std::string picture = text_of(scratch / "preview.png");
    const Outcome over_picture = call({"relief", scratch / "preview.png", "--width", "14", "-o", scratch / ""});
    INFO(over_picture.err);
    CHECK(over_picture.status == 4);
    CHECK(text_of(scratch / "preview.png") == picture);
    const std::string job = "# the museum's own\n[[cut]]\nmake = \"relief\"\npicture = \"preview.png\"\nwidth = 14\nheights = \"map\"\n";
    fs::create_directory(scratch / "card");
    put(scratch / "card/job.toml", job);
    fs::rename(scratch / "preview.png", scratch / "card/bowl.png");
    const std::string right = std::string(job).replace(job.find("preview"), 7, "bowl");
    put(scratch / "card/job.toml", right);
    CHECK(call({"make", scratch / "card/job.toml", "-o", scratch / "card"}).status == 4);
    CHECK(text_of(scratch / "card/job.toml") == right);
    REQUIRE(call({"make", scratch / "card/job.toml", "-o", scratch / "results"}).status == 0);
    CHECK(call({"make", scratch / "results/job.toml", "-o", scratch / "results"}).status == 0);  // the program's own may be
}

TEST_CASE("names that are no text") {
    const Scratch scratch;
    fs::copy(scratch / "bowl.png", scratch / "b\xffwl.png");
    expect(scratch, 3, "UTF-8", {scratch / "b\xffwl.png", "--width", "14"});
    expect_bowl(scratch, 2, "UTF-8", {"--name", "\xff"});
    fs::copy(scratch / "bowl.png", scratch / "Möwe (\"neu\")\n.png");
    CHECK(call({"relief", scratch / "Möwe (\"neu\")\n.png", "--heights", "map", "--width", "14", "-o", scratch / "a"}).status == 0);
    CHECK(call({"make", scratch / "a/job.toml", "-o", scratch / "b"}).status == 0);
    CHECK((contents(scratch / "a") == contents(scratch / "b")));
}
