// Whether the controller keeps up with rows of short moves. It knows only so many moves ahead, takes only so many lines a second, and a
// short move is over before the next is known. The track is timed twice: on this machine, and on one that knows what lies ahead and takes
// any number of lines; what is slower on the first by more than 2 % is the controller's doing. The fastest feed is then sought by halving.
// It is sought where the slowest moves lie, and then tried on the whole. Cost: two timings, and two more for each such place.
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

/// The moves around one of them.
Track around(const Track& track, std::size_t move) {
    constexpr std::size_t reach = 2000;
    const std::size_t first = move > reach ? move - reach : 0, last = std::min(track.moves.size(), move + reach);
    Track part;
    part.start = first == 0 ? track.start : track.moves[first - 1].to;
    part.moves.assign(track.moves.begin() + static_cast<std::ptrdiff_t>(first), track.moves.begin() + static_cast<std::ptrdiff_t>(last));
    part.arcs = track.arcs;
    for (Event event : track.events)
        if (event.before >= first && event.before < last) {
            event.before -= first;
            part.events.push_back(event);
        }
    return part;
}

/// The greatest feed at most `asked` with which none of these moves is slow, mm/min; 0: none.
double works_for(const Track& track, const Machine& machine, const Machine& ideal, double asked) {
    const auto works = [&](double feed) { return slow_moves(capped(track, feed), machine, ideal).count == 0; };
    double slow = asked, good = 0;
    for (double feed = asked; feed >= 1; feed /= 2) {
        if (works(feed)) {
            good = feed;
            break;
        }
        slow = feed;
    }
    for (int k = 0; k < halvings && good > 0 && good < slow; ++k) {
        const double middle = (slow + good) / 2;
        (works(middle) ? good : slow) = middle;
    }
    return std::floor(good);
}

/// Whole mm/min; 0: none that was found.
double fastest_feed(const Track& track, const Machine& machine, const Machine& ideal, double asked, std::size_t worst) {
    constexpr int places = 12;
    double feed = asked;
    for (int k = 0; k < places && feed > 0; ++k) {
        feed = works_for(around(track, worst), machine, ideal, feed);
        const Slow slow = slow_moves(capped(track, feed), machine, ideal);
        if (slow.count == 0) return feed;
        worst = slow.worst;
        feed = std::floor(feed * 0.995);
    }
    return 0;
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
                       burning == 0 ? "Nothing is lit."
                                    : fmt::format("The controller keeps up with every lit move at up to F{:.0f}.", pace.asked_feed),
                       {});
    pace.slow_moves = slow.count;
    pace.slowest_share = slow.share;
    pace.line = moves[slow.worst].line;
    pace.fastest_feed = fastest_feed(way.read.track, machine, ideal, pace.asked_feed, slow.worst);
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
