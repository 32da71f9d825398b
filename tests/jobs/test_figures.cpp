/// Drawings as a person has them cut: commands, job files, what can be got wrong. No source: the program's own contract.
#include <filesystem>
#include <nlohmann/json.hpp>
#include <random>

#include "burin/job/options.hpp"
#include "burin/picture/picture.hpp"
#include "check.hpp"
#include "program.hpp"

using namespace jobs;
namespace fs = std::filesystem;

namespace {

const std::vector<std::string> commands{"incise", "outline", "pocket", "stroke", "cutout"};

std::string drawing(int pixels, const auto& grey_at) {
    std::vector<std::uint16_t> grey;
    for (int j = 0; j < pixels; ++j)
        for (int i = 0; i < pixels; ++i) grey.push_back(static_cast<std::uint16_t>(grey_at(i, j)));
    return burin::write_png_grey16(grey, pixels, pixels, 0, {});
}

Outcome cut(const std::string& command, const std::string& picture, const std::vector<std::string>& more, const std::string& folder) {
    std::vector<std::string> words{command, picture};
    words.insert(words.end(), more.begin(), more.end());
    words.insert(words.end(), {"-o", folder});
    return call(words);
}

}  // namespace

TEST_CASE("the demo's drawings are cut in every way, and again from their job files") {
    const Scratch scratch;
    for (const std::string& command : commands) {
        const std::string picture =
            command == "incise" || command == "stroke" ? BURIN_SOURCE "/images/gull-ink.png" : BURIN_SOURCE "/images/crest.png";
        std::vector<std::string> words{"--width", "60"};
        if (command == "cutout") words.insert(words.end(), {"--stock", "80x90x4"});
        if (command == "stroke") words.insert(words.end(), {"--bit", "vee:60:0.1:3.175", "--depth", "0.5"});
        const Outcome outcome = cut(command, picture, words, scratch / command);
        INFO(command << ": " << outcome.err);
        REQUIRE(outcome.status == 0);
        const auto report = nlohmann::json::parse(text_of(scratch / command + "/report.json"));
        CHECK(report["command"] == command);
        CHECK(report["proof"]["over_line_mm"].get<double>() <= 0.03);
        CHECK(report["proof"]["short_of_line_mm"].get<double>() <= 0.03);
        const Outcome again = call({"make", scratch / command + "/job.toml", "-o", scratch / command + "-again", "--threads", "1"});
        INFO(again.err);
        REQUIRE(again.status == 0);
        CHECK((contents(scratch / command) == contents(scratch / command + "-again")));
    }
}

TEST_CASE("pictures that are no drawings end in a sentence, soon") {
    const Scratch scratch;
    std::mt19937 random(7);
    put(scratch / "white.png", drawing(300, [](int, int) { return 65535; }));
    put(scratch / "black.png", drawing(300, [](int, int) { return 0; }));
    put(scratch / "noise.png", drawing(300, [&](int, int) { return random() % 65536; }));
    put(scratch / "pixel.png", drawing(300, [](int i, int j) { return i == 150 && j == 150 ? 0 : 65535; }));
    put(scratch / "specks.png", drawing(1200, [&](int i, int j) { return i % 4 == 0 && j % 4 == 0 && random() % 9 != 0 ? 0 : 65535; }));
    const auto start = std::chrono::steady_clock::now();
    for (const std::string& command : commands)
        for (const auto& [name, says] : std::initializer_list<std::pair<const char*, const char*>>{
                 {"white", "nothing to cut"}, {"black", "nothing to cut"}, {"noise", "relief"}, {"pixel", "speck"}, {"specks", ""}}) {
            const Outcome outcome = cut(command, scratch / std::string(name) + ".png", {"--width", "60"}, scratch / "never");
            INFO(command << " " << name << ": " << outcome.err);
            CHECK(outcome.status == 1);
            CHECK_THAT(outcome.err, ContainsSubstring(says));
            CHECK_FALSE(fs::exists(scratch / "never"));
        }
    // A hundred thousand specks, each large enough to be a figure; a figure larger than the machine.
    put(scratch / "dots.png", drawing(1600, [](int i, int j) { return i % 5 < 3 && j % 5 < 3 ? 0 : 65535; }));
    put(scratch / "bar.png", drawing(200, [](int i, int j) { return i > 20 && i < 180 && j > 60 && j < 140 ? 0 : 65535; }));
    for (const std::string& command : commands) {
        const Outcome dots = cut(command, scratch / "dots.png", {"--width", "140", "--despeckle", "0"}, scratch / "never");
        INFO(command << " dots: " << dots.err);
        CHECK(dots.status == 1);
        CHECK_THAT(dots.err, ContainsSubstring("relief"));
        CHECK(dots.peak_mb < 500);
        const Outcome large = cut(command, scratch / "bar.png", {"--width", "900"}, scratch / "never");
        INFO(command << " large: " << large.err);
        CHECK(large.status == 1);
        CHECK_THAT(large.err, ContainsSubstring("larger than the machine"));
        CHECK_FALSE(fs::exists(scratch / "never"));
    }
    const Outcome photo = cut("incise", BURIN_SOURCE "/images/lighthouse.png", {"--width", "60"}, scratch / "never");
    CHECK(photo.status == 1);
    CHECK_THAT(photo.err, ContainsSubstring("photo") && ContainsSubstring("relief"));
    CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds(60));  // a machine with other work to do
}

TEST_CASE("what is wrong with a drawing's options is said by name") {
    const Scratch scratch;
    put(scratch / "bar.png", drawing(200, [](int i, int j) { return i > 20 && i < 180 && j > 60 && j < 140 ? 0 : 65535; }));
    const auto wrong = [&](const std::string& command, const std::vector<std::string>& more, int status, const std::string& says) {
        std::vector<std::string> words{"--width", "30"};
        words.insert(words.end(), more.begin(), more.end());
        const Outcome outcome = cut(command, scratch / "bar.png", words, scratch / "never");
        INFO(command << ": " << outcome.err);
        CHECK(outcome.status == status);
        CHECK_THAT(outcome.err, ContainsSubstring(says));
        CHECK_FALSE(fs::exists(scratch / "never"));
    };
    wrong("outline", {"--side", "outsid"}, 2, "did you mean 'outside'");
    wrong("pocket", {"--part", "floor"}, 2, "--part");
    wrong("pocket", {"--tabs", "3"}, 2, "--tabs");
    wrong("incise", {"--gamma", "3"}, 2, "--gamma");
    wrong("incise", {"--fill", "blue"}, 2, "--fill");
    wrong("incise", {"--ink", "#12345"}, 2, "--ink");
    wrong("incise", {"--threshold", "2"}, 2, "--threshold");
    wrong("cutout", {"--tabs", "2.5"}, 2, "whole number");
    wrong("cutout", {"--tab-width", "0"}, 2, "--tab-width");
    wrong("cutout", {"--stock", "40x40x12"}, 1, "flat:2.0");  // cuts on 8 mm of its length only
    wrong("incise", {"--bit", "flat:2.0"}, 1, "no vee bit");
    wrong("pocket", {"--bit", "flat:14"}, 1, "flat:14");
    wrong("pocket", {"--stock", "20x20x5"}, 1, "larger than the stock");
    wrong("stroke", {"--depth", "13"}, 1, "thickness");
}

TEST_CASE("help of the figures' commands shows their own options and no others") {
    for (const std::string& command : commands) {
        const Outcome help = call({command, "--help"});
        CHECK(help.status == 0);
        for (const burin::Option& option : burin::option_table()) {
            const bool own = option.commands & burin::command_named(command)->command;
            INFO(command << " " << option.name);
            CHECK((help.out.find("--" + std::string(option.name) + (option.sign.empty() ? "\n" : " ")) != std::string::npos ||
                   help.out.find("--" + std::string(option.name) + " ") != std::string::npos) == own);
        }
    }
}
