// Whether the controller keeps up with rows of short moves. It knows only so many moves ahead, takes only so many lines a second, and a
// short move is over before the next is known. The track is timed twice: on this machine, and on one that knows what lies ahead and takes
// any number of lines; what is slower on the first by more than 2 % is the controller's doing. The fastest feed is then sought by halving.
// Cost: two timings, and sixteen more where something is slow.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "beam_checks.hpp"

namespace burin::proving {
namespace {

constexpr double slow_share = 0.98;
constexpr int halvings = 7;

Machine quick(Machine machine) {
    machine.planned_moves = std::max(machine.planned_moves, 2048);
    machine.lines_per_s = 0;
    return machine;
}

struct Slow {
    std::size_t count = 0, worst = 0;
    double share = 1;  ///< ideal time ÷ real time of the worst
};

Slow slow_moves(const Track& track, const Machine& machine, const Machine& ideal, const Timing* known = nullptr) {
    const Timing real = known ? *known : reckon_time(track, machine), best = reckon_time(track, ideal);
    Slow slow;
    for (std::size_t k = 0; k < track.moves.size(); ++k) {
        if (!burns(track.moves[k]) || !(best.move_s[k] > 0)) continue;
        const double share = static_cast<double>(best.move_s[k]) / static_cast<double>(real.move_s[k]);
        if (share >= slow_share) continue;
        ++slow.count;
        if (share < slow.share) slow.share = share, slow.worst = k;
    }
    return slow;
}

Track capped(const Track& track, double feed) {
    Track slower = track;
    for (Move& move : slower.moves)
        if (move.kind != MoveKind::rapid) move.feed = std::min(move.feed, static_cast<float>(feed));
    return slower;
}

/// Whole mm/min; 0: none.
double fastest_feed(const Track& track, const Machine& machine, const Machine& ideal, double asked) {
    const auto works = [&](double feed) { return slow_moves(capped(track, feed), machine, ideal).count == 0; };
    double slow = asked, good = 0;
    for (double feed = asked / 2; feed >= 1; feed /= 2) {
        if (works(feed)) {
            good = feed;
            break;
        }
        slow = feed;
    }
    for (int k = 0; k < halvings && good > 0; ++k) {
        const double middle = (slow + good) / 2;
        (works(middle) ? good : slow) = middle;
    }
    return std::floor(good);
}

}  // namespace

Check check_pace(const BeamRules& rules, const BeamWay& way, BeamPace& pace) {
    const Machine& machine = rules.task.machine;
    const Machine ideal = quick(machine);
    const auto& moves = way.read.track.moves;
    bool constant = false;
    std::size_t burning = 0;
    for (std::size_t k = 0; k < moves.size(); ++k) {
        if (!burns(moves[k])) continue;
        ++burning;
        pace.asked_feed = std::max(pace.asked_feed, static_cast<double>(moves[k].feed));
        constant |= !way.scaled[k];
    }
    pace.fastest_feed = pace.asked_feed;
    const Slow slow = slow_moves(way.read.track, machine, ideal, &way.timing);
    if (slow.count == 0)
        return verdict("keeps up", way.asked->file,
                       fmt::format("The controller keeps up with every lit move at up to F{:.0f}.", pace.asked_feed), {});
    pace.slow_moves = slow.count;
    pace.slowest_share = slow.share;
    pace.line = moves[slow.worst].line;
    pace.fastest_feed = fastest_feed(way.read.track, machine, ideal, pace.asked_feed);
    const double real = way.length(slow.worst) / static_cast<double>(way.timing.move_s[slow.worst]) * 60;
    std::string told = fmt::format(
        "{} of {} lit moves are too short for the controller, which {}knows {} moves ahead: the slowest, at line {}, runs at {:.0f} mm/min "
        "in "
        "place of {:.0f}.",
        slow.count, burning, machine.lines_per_s > 0 ? fmt::format("takes {:.0f} lines a second and ", machine.lines_per_s) : "",
        machine.planned_moves, pace.line, real, real / slow.share);
    if (pace.fastest_feed > 0) told += fmt::format(" With --feed {:.0f} it keeps up.", pace.fastest_feed);
    if (!constant)
        return verdict("keeps up", way.asked->file, told + " Its power goes with the speed, so the tone stays; the time counts it.", {});
    return verdict("keeps up", way.asked->file, "", {{pace.line, moves[slow.worst].to, told}});
}

}  // namespace burin::proving
