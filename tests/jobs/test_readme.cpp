/// README.md tells the truth: its commands run as they are printed, its options and files exist. No source: what is printed
/// for people must work.
#include <algorithm>
#include <filesystem>
#include <sstream>

#include "burin/job/manual.hpp"
#include "burin/job/options.hpp"
#include "check.hpp"
#include "program.hpp"

using namespace jobs;
namespace fs = std::filesystem;

namespace {

/// Lines of all fenced blocks of that kind.
std::vector<std::string> fenced(const std::string& page, const std::string& kind) {
    std::istringstream in(page);
    std::vector<std::string> lines;
    bool inside = false;
    for (std::string line; std::getline(in, line);) {
        if (line.starts_with("```"))
            inside = line == "```" + kind;
        else if (inside)
            lines.push_back(line);
    }
    return lines;
}

std::vector<std::string> words_of(const std::string& line) {
    std::istringstream in(line);
    std::vector<std::string> words;
    for (std::string word; in >> word;) {
        std::erase(word, '\'');  // as a shell takes them off
        words.push_back(word);
    }
    return words;
}

/// Pictures come from the source folder, everything else lies in the scratch folder.
std::string placed(const std::string& word, const Scratch& scratch) {
    if (word.starts_with("images/")) return BURIN_SOURCE "/" + word;
    const bool made_before = word.ends_with(".toml") || word.ends_with(".jpg") || word.ends_with(".nc");
    return made_before ? scratch / word : word;
}

const std::string& readme() {
    static const std::string page = text_of(BURIN_SOURCE "/README.md");
    return page;
}

}  // namespace

TEST_CASE("every command of README.md does what it says") {
    const Scratch scratch;
    std::string job;
    for (const std::string& line : fenced(readme(), "toml")) job += line + '\n';
    const std::string pictures = "\"images/";
    const std::size_t at = job.find(pictures);
    REQUIRE(at != std::string::npos);
    put(scratch / "gull.toml", job.replace(at, pictures.size(), "\"" BURIN_SOURCE "/images/"));
    put(scratch / "tray.nc", "G21 G90 G17 G94 G54\nG0 Z3\nM3 S10000\nG4 P3\nG0 X10 Y10\nG1 Z-0.5 F80\nX40 F200\nG0 Z3\nM5\nM2\n");
    int run = 0;
    for (const std::string& line : fenced(readme(), "sh")) {
        std::vector<std::string> words = words_of(line);
        if (words.empty() || words.front() != "build/burin") continue;
        words.erase(words.begin());
        for (std::string& word : words) word = placed(word, scratch);
        REQUIRE(words.size() > 2);
        if (const auto remark = std::find(words.begin(), words.end(), "#"); remark != words.end()) words.erase(remark, words.end());
        REQUIRE(words[words.size() - 2] == "-o");
        const std::string folder = words.back() = scratch / words.back();
        INFO(line);
        const Outcome outcome = call(words);
        INFO(outcome.err);
        REQUIRE(outcome.status == 0);
        const bool batch = std::find(words.begin(), words.end(), "--each") != words.end();
        CHECK(fs::exists(folder + (batch ? "/index.html" : words.front() == "tone" ? "/beech.toml" : "/report.json")));
        // The preview of the card stands for the photo of it.
        if (words.front() == "card") fs::copy_file(folder + "/preview.png", scratch / "beech-card.jpg");
        ++run;
    }
    CHECK(run >= 12);
}

TEST_CASE("every option and every file that README.md names exists") {
    const std::string& page = readme();
    for (std::size_t at = page.find("--"); at != std::string::npos; at = page.find("--", at + 2)) {
        std::size_t end = at + 2;
        while (end < page.size() && ((page[end] >= 'a' && page[end] <= 'z') || page[end] == '-')) ++end;
        const std::string name = page.substr(at + 2, end - at - 2);
        const char before = at > 0 ? page[at - 1] : ' ';
        if (name.empty() || name.find_first_not_of('-') == std::string::npos || (before != ' ' && before != '`' && before != '\n'))
            continue;
        if (name == "help" || name == "install") continue;  // of every command; of CMake
        INFO(name);
        CHECK(burin::option_named(name) != nullptr);
    }
    int links = 0;
    for (std::size_t at = page.find("]("); at != std::string::npos; at = page.find("](", at + 2)) {
        const std::string target = page.substr(at + 2, page.find(')', at) - at - 2);
        INFO(target);
        CHECK(fs::exists(BURIN_SOURCE "/" + target));
        ++links;
    }
    CHECK(links > 5);
}

TEST_CASE("the options in README.md are those of the program") {
    const std::string& page = readme();
    const std::string begin = "manual --markdown` -->\n", end = "<!-- end of options -->";
    const std::size_t from = page.find(begin) + begin.size(), to = page.find(end);
    REQUIRE(from != std::string::npos);
    REQUIRE(to > from);
    CHECK(page.substr(from, to - from) == burin::option_reference());
}
