// Probing of a top at many places: right when every place is touched, nothing is run into, and no zero is changed. O(lines).
#include "burin/proof/grid_touch.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "touch_checks.hpp"

namespace burin {
namespace {

using namespace proving;

constexpr double beside = 0.0006, no_motion = 1e-9;  // mm

struct Run {
    std::size_t touched = 0;
    std::string trouble;
    std::uint32_t line = 0;
    bool ended = false;
    double time_s = 0, probed = 0, moved = 0;
    std::array<double, 3> lo{}, hi{};
};

/// The bit over a level top, from rest to rest with every move.
class Runner {
public:
    Runner(const GridTouchTask& task, double top) : task_(task), top_(top), at_{0, 0, top} { run_.lo = run_.hi = at_; }

    Run run(const std::vector<TouchLine>& lines) {
        for (const TouchLine& line : lines) {
            step(line);
            if (!run_.trouble.empty()) run_.line = line.line;
            run_.ended = line.ends;
            if (line.ends || !run_.trouble.empty()) break;
        }
        return run_;
    }

private:
    void step(const TouchLine& line) {
        if (line.relative) return fail("counts from where the bit stands (G91), which nothing asks for.");
        if (line.verb == TouchVerb::none) return;
        if (line.verb != TouchVerb::rapid && line.verb != TouchVerb::probe) return fail("neither moves in a rapid nor probes.");
        std::array<double, 3> to = at_;
        for (std::size_t k = 0; k < 3; ++k)
            if (line.axes[k]) {
                if (!line.axes[k]->plus.empty()) return fail("reckons with parameters, which nothing asks for.");
                to[k] = line.axes[k]->number;
            }
        const bool across = std::abs(to[0] - at_[0]) > no_motion || std::abs(to[1] - at_[1]) > no_motion;
        line.verb == TouchVerb::rapid ? rapid(to, across) : probe(line, to, across);
    }
    void rapid(const std::array<double, 3>& to, bool across) {
        if (across && std::abs(to[2] - at_[2]) > no_motion) return fail("moves Z together with X or Y.");
        if (across && at_[2] < task_.safe_z - no_motion) return fail("goes across below the safe height.");
        if (to[2] < at_[2] - no_motion && to[2] < task_.safe_z - no_motion) return fail("goes down below the safe height in a rapid.");
        double t = 0;
        for (std::size_t k = 0; k < 3; ++k) t = std::max(t, time(std::abs(to[k] - at_[k]), k, task_.machine.rapid[k]));
        run_.time_s += t;
        run_.moved += std::hypot(to[0] - at_[0], to[1] - at_[1], to[2] - at_[2]);
        go(to);
    }
    void probe(const TouchLine& line, std::array<double, 3> to, bool across) {
        if (across || to[2] >= at_[2]) return fail("probes otherwise than straight down.");
        if (to[2] < task_.lowest - beside) return fail(fmt::format("probes below Z {:.3f}.", task_.lowest));
        if (run_.touched == task_.places.size()) return fail("touches one place too many.");
        const Point& place = task_.places[run_.touched];
        if (std::abs(at_[0] - place.x) > beside || std::abs(at_[1] - place.y) > beside)
            return fail(
                fmt::format("probes at X {:.3f} Y {:.3f}, and X {:.3f} Y {:.3f} is the next place.", at_[0], at_[1], place.x, place.y));
        if (to[2] > top_) return fail("stops before the lowest top that was asked for.");
        if (at_[2] <= top_) return fail("begins to probe where it touches already.");
        ++run_.touched;
        run_.time_s += time(at_[2] - top_, 2, line.feed);
        run_.probed += at_[2] - top_;
        to[2] = top_;
        go(to);
    }
    [[nodiscard]] double time(double way, std::size_t axis, double per_minute) const {
        const double v = std::min(per_minute, task_.machine.rapid[axis]) / 60, a = task_.machine.acceleration[axis];
        return way >= v * v / a ? way / v + v / a : 2 * std::sqrt(way / a);
    }
    void go(const std::array<double, 3>& to) {
        at_ = to;
        for (std::size_t k = 0; k < 3; ++k) run_.lo[k] = std::min(run_.lo[k], to[k]), run_.hi[k] = std::max(run_.hi[k], to[k]);
    }
    void fail(std::string why) { run_.trouble = std::move(why); }

    const GridTouchTask& task_;
    double top_;
    std::array<double, 3> at_;
    Run run_;
};

Check check_gentle(const GridTouchTask& task, const std::vector<TouchLine>& lines) {
    std::vector<Breach> breaches;
    for (const TouchLine& line : lines)
        if (line.verb == TouchVerb::probe && !(line.feed > 0 && line.feed <= task.probe_feed))
            breaches.push_back({line.line, {}, fmt::format("probes at F{:.0f}, and {:.0f} is the most.", line.feed, task.probe_feed)});
    return verdict(
        "touches gently", task.file,
        fmt::format("Touches run at {:.0f} mm/min at most, and end at Z {:.2f} where they find nothing.", task.probe_feed, task.lowest),
        std::move(breaches));
}

Check check_travel(const GridTouchTask& task, const std::array<double, 3>& lo, const std::array<double, 3>& hi) {
    std::vector<Breach> breaches;
    for (std::size_t k = 0; k < 3; ++k) {
        const double most = task.machine.travel[k];
        if (hi[k] - lo[k] > most)
            breaches.push_back(
                {0, {}, fmt::format("it moves over {:.1f} mm in {}, and the machine's travel is {:.0f}.", hi[k] - lo[k], "XYZ"[k], most)});
        else if (task.machine.stock_at &&
                 ((*task.machine.stock_at)[k] + lo[k] < -beside || (*task.machine.stock_at)[k] + hi[k] > most + beside))
            breaches.push_back({0, {}, fmt::format("in {} it leaves the machine's travel where the stock lies.", "XYZ"[k])});
    }
    return verdict("inside the travel", task.file,
                   fmt::format("It moves over {:.1f}, {:.1f} and {:.1f} mm in X, Y and Z.", hi[0] - lo[0], hi[1] - lo[1], hi[2] - lo[2]),
                   std::move(breaches));
}

}  // namespace

bool GridTouchProof::holds() const { return proving::all_hold(checks); }

GridTouchProof prove_grid_touch(const GridTouchTask& task) {
    GridTouchProof proof;
    const std::vector<TouchLine> lines = touch_lines(task.text);
    std::vector<Breach> missed, ran_into;
    Run all;
    for (const double top : {task.highest, (task.highest + task.lowest) / 2, task.lowest}) {
        const Run run = Runner(task, top).run(lines);
        if (!run.trouble.empty() && ran_into.empty()) ran_into.push_back({run.line, {}, run.trouble});
        if (run.trouble.empty() && !run.ended && ran_into.empty()) ran_into.push_back({run.line, {}, "the program does not end."});
        if (run.touched != task.places.size() && missed.empty())
            missed.push_back({run.line, {}, fmt::format("only {} of {} places are touched.", run.touched, task.places.size())});
        if (run.time_s >= all.time_s) all = run;
    }
    for (const Point& place : task.places)
        if (!task.stock.holds(place) && missed.empty())
            missed.push_back({0, {place.x, place.y, 0}, fmt::format("X {:.2f} Y {:.2f} lies beside the stock.", place.x, place.y)});
    proof.figures.file = task.file;
    proof.figures.lines = static_cast<std::uint32_t>(std::count(task.text.begin(), task.text.end(), '\n'));
    proof.figures.bytes = task.text.size();
    proof.figures.time_s = all.time_s, proof.figures.cut_length = all.probed, proof.figures.rapid_length = all.moved;
    proof.figures.lo = {all.lo[0], all.lo[1], all.lo[2]}, proof.figures.hi = {all.hi[0], all.hi[1], all.hi[2]};
    proof.checks.push_back(check_touch_still(task.file, lines));
    proof.checks.push_back(check_gentle(task, lines));
    proof.checks.push_back(verdict(
        "every place is touched", task.file,
        fmt::format("All {} places, each on the stock, on tops from Z {:.2f} to {:.2f}.", task.places.size(), task.lowest, task.highest),
        std::move(missed)));
    proof.checks.push_back(verdict("keeps clear of the stock", task.file,
                                   fmt::format("Ways across run at Z {:.2f} and higher; down it goes by probing only.", task.safe_z),
                                   std::move(ran_into)));
    proof.checks.push_back(check_travel(task, all.lo, all.hi));
    proof.figures.inside_travel = proof.checks.back().ok;
    proof.checks.push_back(check_touch_text(task.file, task.text, lines, "G38.2"));
    if (!task.stock.keep_outs.empty()) {
        std::vector<PlainWay> ways;
        for (std::size_t k = 0; k < task.places.size(); ++k) {
            if (k > 0) ways.push_back({task.places[k - 1], task.places[k], task.safe_z, 0});
            ways.push_back({task.places[k], task.places[k], task.lowest, 0});
        }
        proof.checks.push_back(check_plain_ways(task.file, ways, task.stock.keep_outs));
    }
    return proof;
}

}  // namespace burin
