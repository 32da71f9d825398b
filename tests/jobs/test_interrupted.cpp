/// Jobs that are stopped, killed, or run out of room. No source: an earlier result is either whole or gone, never a mixture
/// that passes for a job; Ctrl-C is status 130.
#include <chrono>
#include <csignal>
#include <filesystem>
#include <random>

#include "check.hpp"
#include "program.hpp"

using namespace jobs;
namespace fs = std::filesystem;
using std::chrono::microseconds;

namespace {

/// Two jobs whose programs have different names, as they lie in a folder of their own.
struct TwoJobs {
    Scratch scratch;
    std::vector<std::string> first_words{"--depth=2"}, second_words{"--bit", "ball:1.0"};
    Contents first, second;
    microseconds lasts{};

    [[nodiscard]] std::vector<std::string> job(bool second_one, const std::string& folder) const {
        std::vector<std::string> words{"relief", scratch / "bowl.png", "--heights", "map", "--width", "14", "--threads", "1"};
        for (const std::string& word : second_one ? second_words : first_words) words.push_back(word);
        words.insert(words.end(), {"-o", folder});
        return words;
    }
    TwoJobs() {
        REQUIRE(call(job(false, scratch / "first")).status == 0);
        const auto start = std::chrono::steady_clock::now();
        REQUIRE(call(job(true, scratch / "second")).status == 0);
        lasts = std::chrono::duration_cast<microseconds>(std::chrono::steady_clock::now() - start);
        first = contents(scratch / "first", true);
        second = contents(scratch / "second", true);
        REQUIRE(first.count("1-rough.nc") == 1);
        REQUIRE(second.count("1-cut.nc") == 1);
    }
};

}  // namespace

TEST_CASE("killed at any moment, a folder with a report holds one whole job") {
    const TwoJobs jobs;
    const unsigned seed = 20240611;
    INFO("seed " << seed);
    std::mt19937 random(seed);
    int cut_short = 0, whole = 0;
    for (int attempt = 0; attempt < 16; ++attempt) {
        const std::string folder = jobs.scratch / "card";
        // Half of the kills fall near the end, where the files are put in place.
        const double chance = static_cast<double>(random() % 1000) / 1000;
        const double share = attempt % 2 ? 0.85 + 0.2 * chance : chance;
        Circumstances kill;
        kill.signal = SIGKILL;
        kill.signal_after = microseconds(static_cast<long>(share * static_cast<double>(jobs.lasts.count())));
        const bool second_one = attempt / 2 % 2 == 0;
        const Outcome outcome = call(jobs.job(second_one, folder), kill);
        const Contents left = contents(folder);
        INFO("attempt " << attempt << ", killed at " << share << ", status " << outcome.status);
        if (outcome.status != 0) ++cut_short;
        if (left.count("report.json")) {
            ++whole;
            CHECK((left == jobs.first || left == jobs.second));
        } else {
            CHECK((left.count("1-cut.nc") == 0 || left.count("1-rough.nc") == 0));  // never programs of both
        }
        // The next run is not troubled by what lies there.
        if (attempt % 4 == 3) {
            REQUIRE(call(jobs.job(!second_one, folder)).status == 0);
            CHECK((contents(folder, true) == (second_one ? jobs.first : jobs.second)));
        }
    }
    CHECK(cut_short > 4);
    CHECK(whole > 0);
}

TEST_CASE("Ctrl-C changes nothing") {
    const TwoJobs jobs;
    const std::string folder = jobs.scratch / "first";
    Circumstances stop;
    stop.signal = SIGINT;
    int stopped = 0;
    for (const double share : {0.1, 0.3, 0.5, 0.7}) {
        stop.signal_after = microseconds(static_cast<long>(share * static_cast<double>(jobs.lasts.count())));
        const Outcome outcome = call(jobs.job(true, folder), stop);
        INFO("at " << share << ": " << outcome.status << " " << outcome.err);
        if (outcome.status == 0) break;   // the machine ran faster this time
        if (outcome.status == -SIGINT) {  // on a busy machine it comes before the program has begun, as to any program
            CHECK((contents(folder, true) == jobs.first));
            continue;
        }
        ++stopped;
        CHECK(outcome.status == 130);
        CHECK_THAT(outcome.err, ContainsSubstring("Stopped"));
        CHECK((contents(folder, true) == jobs.first));
    }
    CHECK(stopped > 0);
}

TEST_CASE("a medium without room keeps the earlier job") {
    const TwoJobs jobs;
    const std::string folder = jobs.scratch / "first";
    std::size_t largest = 0;
    for (const auto& [name, text] : jobs.second) largest = std::max(largest, text.size());
    for (const std::size_t limit : {std::size_t{0}, std::size_t{1000}, largest - 1}) {
        Circumstances full;
        full.largest_file = limit;
        const Outcome outcome = call(jobs.job(true, folder), full);
        INFO(limit << ": " << outcome.err);
        CHECK(outcome.status == 4);
        CHECK_THAT(outcome.err, ContainsSubstring("first"));
        CHECK((contents(folder, true) == jobs.first));
        const Outcome fresh = call(jobs.job(true, jobs.scratch / "new/deep"), full);
        CHECK(fresh.status == 4);
        CHECK_FALSE(fs::exists(jobs.scratch / "new"));
    }
}
