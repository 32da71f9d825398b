// A probing program is right when zero comes out right wherever the plate lies: so it is run on many. It shares nothing with what wrote it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "burin/proof/touch.hpp"
#include "touch_checks.hpp"
#include "touch_machine.hpp"

namespace burin {
namespace {

using namespace proving;

constexpr double zero_slack = 0.001;  // mm: three decimals
constexpr int by_chance = 24;

/// Numbers 0 … 1 that are the same everywhere: the standard's own distributions are not.
class Chance {
public:
    double operator()() { return static_cast<double>(engine_() >> 11U) / 9007199254740992.0; }

private:
    std::mt19937_64 engine_{1854};
};

std::vector<TouchScene> scenes_for(const TouchTask& task) {
    std::vector<TouchScene> scenes;
    Chance chance;
    const double least = 0.5, most = std::max(least, task.probe_travel - 0.5);
    for (int k = 0; k < 8 + by_chance; ++k) {
        const auto share = [&](int bit) { return k < 8 ? static_cast<double>(k >> bit & 1) : chance(); };
        const double x = share(0), y = share(1), z = share(2);
        TouchScene scene;
        scene.corner = {40 + 100 * chance(), 30 + 80 * chance(), -60 + 40 * chance()};
        scene.old_zero = {-50 + 100 * chance(), -50 + 100 * chance(), -50 + 100 * chance()};
        scene.start = scene.corner;
        if (task.kind == TouchKind::here) {
            scene.start[2] += task.plate;
        } else {
            scene.start[2] += task.plate + least + z * (most - least);
            if (task.kind == TouchKind::corner) {
                scene.start[0] += task.side_x * (task.wall - task.width / 2) + (2 * x - 1) * task.start_slack;
                scene.start[1] += task.side_y * (task.wall - task.width / 2) + (2 * y - 1) * task.start_slack;
            }
        }
        scenes.push_back(scene);
    }
    return scenes;
}

Check check_gentle(const TouchTask& task, const std::vector<TouchLine>& lines, const TouchRun& farthest) {
    std::vector<Breach> breaches;
    std::array<const TouchLine*, 3> last{};
    for (const TouchLine& line : lines) {
        if (line.verb != TouchVerb::probe) continue;
        if (!(line.feed > 0) || line.feed > task.probe_feed)
            breaches.push_back({line.line, {}, fmt::format("probes at F{:.0f}, and {:.0f} is the most.", line.feed, task.probe_feed)});
        for (std::size_t k = 0; k < 3; ++k)
            if (line.axes[k]) last[k] = &line;
    }
    for (const TouchLine* line : last)
        if (line && line->feed > task.probe_slow)
            breaches.push_back(
                {line->line, {}, fmt::format("is the touch that counts, at F{:.0f}; {:.0f} is the most.", line->feed, task.probe_slow)});
    if (farthest.longest_probe > task.probe_travel + 1e-6)
        breaches.push_back(
            {farthest.longest_at,
             {},
             fmt::format("looks for a touch over {:.2f} mm; {:.2f} is the most.", farthest.longest_probe, task.probe_travel)});
    return verdict("touches gently", task.file,
                   task.kind == TouchKind::here
                       ? std::string("Nothing is probed.")
                       : fmt::format("Touches run at {:.0f} mm/min at most, those that count at {:.0f}, and end after {:.1f} mm.",
                                     task.probe_feed, task.probe_slow, farthest.longest_probe),
                   std::move(breaches));
}

/// Where nothing is touched the zero must stay as it was: a wrong one is worse than none.
Check check_untouched(const TouchTask& task, const std::vector<TouchLine>& lines, TouchScene scene) {
    std::vector<Breach> breaches;
    if (task.kind != TouchKind::here) {
        scene.present = false;
        const TouchRun run = run_touch(lines, task, scene);
        if (!run.alarm || run.set[0] || run.set[1] || run.set[2])
            breaches.push_back({run.line, {}, "a zero is set though no touch was felt."});
    }
    return verdict("nothing touched, nothing set", task.file,
                   task.kind == TouchKind::here
                       ? "Nothing is probed: zero is set where the bit stands when the program begins."
                       : "Without a touch the program stops with the controller's alarm, and the zero stays as it was.",
                   std::move(breaches));
}

Check check_clear(const TouchTask& task, const std::vector<TouchRun>& runs) {
    std::vector<Breach> breaches;
    for (const TouchRun& run : runs) {
        if (run.ended && run.trouble.empty()) continue;
        breaches.push_back({run.line,
                            {},
                            !run.trouble.empty() ? run.trouble
                            : run.alarm          ? "a touch is not found within its way."
                                                 : "the program does not end."});
        break;
    }
    return verdict("keeps clear of the plate", task.file,
                   fmt::format("On {} plates and starts nothing is touched but by probing, and no rapid goes down.", runs.size() / 2),
                   std::move(breaches));
}

double error_of(const TouchTask& task, const TouchScene& scene, const TouchRun& run) {
    double error = 0;
    for (std::size_t k = 0; k < 3; ++k) {
        const bool wanted = task.kind != TouchKind::plate || k == 2;
        if (wanted && !run.set[k]) return 1e9;
        error = std::max(error, std::abs(run.zero[k] - (wanted ? scene.corner[k] : scene.old_zero[k])));
    }
    return error;
}

Check check_zero(const TouchTask& task, const std::vector<TouchLine>& lines, const TouchProof& proof) {
    std::vector<Breach> breaches;
    std::uint32_t last = 0;
    for (const TouchLine& line : lines)
        if (line.verb >= TouchVerb::set_l20 && line.verb <= TouchVerb::set_g92) last = line.line;
    if (!(proof.zero_error <= zero_slack))
        breaches.push_back({last,
                            {},
                            proof.zero_error > 1e6 ? std::string("zero is not set on every axis that it should be.")
                                                   : fmt::format("zero comes out {:.3f} mm beside where it should.", proof.zero_error)});
    return verdict(
        "zero comes out right", task.file,
        fmt::format(
            "On {} plates that lie anywhere, zero came out within {:.4f} mm where the machine stops at once, within {:.4f} where it "
            "runs on after a touch as its acceleration makes it.",
            proof.plates, std::max(proof.zero_error, 0.0), proof.zero_error_late),
        std::move(breaches));
}

Check check_travel(const TouchTask& task, const std::vector<TouchRun>& runs, ProgramFigures& figures) {
    std::vector<Breach> breaches;
    std::array<double, 3> most{};
    for (const TouchRun& run : runs)
        for (std::size_t k = 0; k < 3; ++k) most[k] = std::max(most[k], run.hi[k] - run.lo[k]);
    for (std::size_t k = 0; k < 3; ++k)
        if (most[k] > task.machine.travel[k])
            breaches.push_back({0,
                                {},
                                fmt::format("the program moves over {:.1f} mm in {}, and the machine's travel is {:.0f}.", most[k],
                                            "XYZ"[k], task.machine.travel[k])});
    figures.hi = {most[0], most[1], most[2]};
    figures.inside_travel = breaches.empty();
    return verdict("inside the travel", task.file,
                   fmt::format("It moves over {:.1f}, {:.1f} and {:.1f} mm in X, Y and Z at most.", most[0], most[1], most[2]),
                   std::move(breaches));
}

Check check_words(const TouchTask& task, const std::vector<TouchLine>& lines) {
    std::vector<Breach> breaches;
    const TouchVerb by = task.machine.zero_by == ZeroBy::g92      ? TouchVerb::set_g92
                         : task.machine.zero_by == ZeroBy::g10_l2 ? TouchVerb::set_l2
                                                                  : TouchVerb::set_l20;
    for (const TouchLine& line : lines) {
        const bool sets = line.verb >= TouchVerb::set_l20 && line.verb <= TouchVerb::set_g92;
        if (sets && line.verb != by)
            breaches.push_back(
                {line.line, {}, fmt::format("sets zero otherwise than the machine's file says ({}).", to_string(task.machine.zero_by))});
        if (line.verb == TouchVerb::clear_g92 && by != TouchVerb::set_l2)
            breaches.push_back({line.line, {}, "has G92.1, which nothing asks for."});
    }
    return check_touch_text(task.file, task.text, lines, fmt::format("G38.2, G91 and {}", to_string(task.machine.zero_by)),
                            std::move(breaches));
}

}  // namespace

bool TouchProof::holds() const { return all_hold(checks); }

TouchProof prove_touch(const TouchTask& task) {
    TouchProof proof;
    const std::vector<TouchLine> lines = touch_lines(task.text);
    const std::vector<TouchScene> scenes = scenes_for(task);
    std::vector<TouchRun> runs;
    TouchRun longest;
    for (TouchScene scene : scenes) {
        runs.push_back(run_touch(lines, task, scene));
        proof.zero_error = std::max(proof.zero_error, error_of(task, scene, runs.back()));
        scene.late = 1;
        runs.push_back(run_touch(lines, task, scene));
        proof.zero_error_late = std::max(proof.zero_error_late, error_of(task, scene, runs.back()));
        for (const TouchRun* run : {&runs[runs.size() - 2], &runs.back()}) {
            if (run->time_s > longest.time_s) proof.figures.cut_length = run->probed, proof.figures.rapid_length = run->moved;
            longest.time_s = std::max(longest.time_s, run->time_s);
            if (run->longest_probe > longest.longest_probe)
                longest.longest_probe = run->longest_probe, longest.longest_at = run->longest_at;
        }
    }
    proof.plates = static_cast<int>(scenes.size());
    proof.checks.push_back(check_touch_still(task.file, lines));
    proof.checks.push_back(check_gentle(task, lines, longest));
    proof.checks.push_back(check_untouched(task, lines, scenes.front()));
    proof.checks.push_back(check_clear(task, runs));
    proof.checks.push_back(check_zero(task, lines, proof));
    proof.checks.push_back(check_travel(task, runs, proof.figures));
    proof.checks.push_back(check_words(task, lines));
    proof.figures.file = task.file;
    proof.figures.bytes = task.text.size();
    proof.figures.lines = static_cast<std::uint32_t>(std::count(task.text.begin(), task.text.end(), '\n'));
    proof.figures.time_s = longest.time_s;
    return proof;
}

}  // namespace burin
