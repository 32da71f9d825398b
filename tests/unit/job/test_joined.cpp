/// Joined programs: the proof is of the joined text, and names its lines. No source: the contract of joined.hpp.
#include <functional>

#include "../../../src/job/joined.hpp"
#include "../../../src/job/place.hpp"
#include "../../../src/job/settle.hpp"
#include "burin/base/files.hpp"
#include "burin/motion/timing.hpp"
#include "check.hpp"
#include "hill.hpp"

using namespace burin;
using namespace tried;

namespace {

/// A planned job of two bits and its joined text.
struct Joined {
    SettledRelief relief;
    HeightMap design;
    std::vector<Program> programs;
    std::string text;

    explicit Joined(const Hill& hill) {
        const Job job = hill.job(12);
        const Bytes bytes = read_file(hill.path, "picture");
        Source source;
        source.name = "hill.png";
        source.picture = read_picture(bytes, "hill.png", {});
        relief = settle_relief(job, find_workshop(job, presets), source);
        const HeightMap heights = turned(make_heights(source.picture, relief.heights, {}).heights, 0, false, {});
        design = on_stock(heights, relief.job.at, relief.job.stock);
        ReliefOrder order;
        for (const SettledBit& bit : relief.job.bits)
            order.bits.push_back({bit.bit, bit.feeds.feed, bit.feeds.plunge, bit.feeds.depth_per_pass});
        order.stepover = relief.stepover;
        order.scallop = relief.job.scallop;
        ReliefPlan plan = plan_relief(design, order, {});
        relief.job.one_file = true;
        Programs written = write_programs(relief.job, std::move(plan.paths), {});
        text = written.joined->text;
        programs = std::move(written.each);
    }
    [[nodiscard]] Proof proof_of(const std::string& changed) const {
        return prove_joined(relief.job, {&design, nullptr}, changed, programs, 0, {});
    }

    /// The joined text with the first line at or after `from` that `is` it replaced; `at` becomes its number.
    [[nodiscard]] std::string damaged(std::uint32_t from, const std::function<bool(const std::string&)>& is, const std::string& by,
                                      std::uint32_t& at) const {
        std::string out;
        std::uint32_t line = 0;
        at = 0;
        for (std::size_t k = 0; k < text.size();) {
            const std::size_t end = text.find('\n', k);
            const std::string one = text.substr(k, end - k);
            k = end + 1;
            if (++line >= from && at == 0 && is(one)) {
                at = line;
                if (!by.empty()) out += by + '\n';
            } else {
                out += one + '\n';
            }
        }
        return out;
    }
};

const Check* broken(const Proof& proof, const std::string& name) {
    for (const Check& check : proof.checks)
        if (!check.ok && check.name == name) return &check;
    return nullptr;
}

std::function<bool(const std::string&)> line_is(const std::string& words) {
    return [words](const std::string& line) { return line == words; };
}
std::function<bool(const std::string&)> begins(const std::string& words) {
    return [words](const std::string& line) { return line.rfind(words, 0) == 0; };
}

}  // namespace

TEST_CASE("a joined text is proved as it stands, and each damage is named by its line in it") {
    const Hill hill;
    const Joined joined(hill);
    REQUIRE(joined.programs.size() == 2);
    std::uint32_t pause = 0, at = 0;
    (void)joined.damaged(1, line_is("M0"), "", pause);
    REQUIRE(pause > 10);

    const Proof whole = joined.proof_of(joined.text);
    REQUIRE(whole.holds);
    const ReadProgram read = read_program(joined.text);
    CHECK(whole.programs[0].lines + whole.programs[1].lines == read.lines);
    CHECK(whole.programs[0].bytes + whole.programs[1].bytes == joined.text.size());
    CHECK(whole.programs[0].time_s + whole.programs[1].time_s == Approx(reckon_time(read.track, joined.relief.job.machine).total_s));
    CHECK(whole.programs[1].passes.front().first_line > pause);
    for (const Check& check : whole.checks) CHECK((check.file.empty() || check.file == "1-cut.nc"));

    SECTION("the pause is missing") {
        const Proof proof = joined.proof_of(joined.damaged(1, line_is("M0"), "", at));
        CHECK_FALSE(proof.holds);
        const Check* check = broken(proof, "a pause for every bit");
        REQUIRE(check);
        CHECK(check->line == pause - 2);  // M5, then the message; here the pause belongs
    }
    SECTION("the pause comes with the spindle on") {
        std::uint32_t off = 0;
        const Proof proof = joined.proof_of(joined.damaged(1, line_is("M5"), "", off));
        REQUIRE(broken(proof, "a pause for every bit"));
        CHECK(broken(proof, "a pause for every bit")->line == pause - 1);
    }
    SECTION("a second pause") {
        const Proof proof = joined.proof_of(joined.damaged(
            pause + 20, [](const std::string&) { return true; }, "M0", at));
        CHECK_FALSE(proof.holds);
        CHECK(broken(proof, "a pause for every bit"));
    }
    SECTION("no spindle after the pause") {
        const Proof proof = joined.proof_of(joined.damaged(pause, begins("M3"), "", at));
        const Check* check = broken(proof, "no crash");
        REQUIRE(check);
        CHECK(check->line > pause);
        CHECK(check->file == "1-cut.nc");
    }
    SECTION("no spin-up after the pause") {
        const Proof proof = joined.proof_of(joined.damaged(pause, begins("G4"), "G4 P0.5", at));
        const Check* check = broken(proof, "no crash");
        REQUIRE(check);
        CHECK(check->line == at - 1);  // M3, whose spin-up this is
    }
    SECTION("units and modes are not said again") {
        const Proof proof = joined.proof_of(joined.damaged(pause, begins("G21"), "", at));
        CHECK_FALSE(proof.holds);
        CHECK(broken(proof, "plain text for any controller"));
    }
    SECTION("a plunge at full feed") {
        const Proof proof = joined.proof_of(joined.damaged(pause, begins("G1 Z"), "G1 Z-0.1 F900", at));
        const Check* check = broken(proof, "no crash");
        REQUIRE(check);
        CHECK(check->line == at);
    }
    SECTION("Z lowered in the second part") {
        // In the middle of the bowl, where every other line is higher.
        const auto low = [](const std::string& line) { return line.find("Z-0.9") != std::string::npos && line[0] == 'X'; };
        std::string found;
        (void)joined.damaged(
            pause, [&](const std::string& line) { return low(line) && (found = line, true); }, "", at);
        REQUIRE(at > pause);
        const std::size_t z = found.find("Z-0.9");
        const std::string lower = found.substr(0, z) + "Z-1.3" + found.substr(z + 5);
        const Proof proof = joined.proof_of(joined.damaged(at, line_is(found), lower, at));
        const Check* check = broken(proof, "nothing below the design");
        REQUIRE(check);
        CHECK(check->line >= at);  // the way to that point, or the way from it
        CHECK(check->line <= at + 1);
    }
}
