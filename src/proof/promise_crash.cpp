// Promise 4: no crash. Rapids, descents, the spindle, and what of the bit does not cut. O(legs).
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "promises.hpp"

namespace burin::proving {
namespace {

constexpr double moves_at_all = 1e-6;

/// Keeps the first of each kind of fault and counts the others.
class First {
public:
    explicit First(std::vector<Breach>& breaches) : breaches_(breaches) {}
    template <class Make>
    void operator()(const Make& make) {
        if (count_++ == 0) breaches_.push_back(make());
    }
    [[nodiscard]] int count() const { return count_; }

private:
    std::vector<Breach>& breaches_;
    int count_ = 0;
};

/// `anywhere`: rapids may be slanted where both their ends lie above the stock, whatever way they take.
void check_rapids(const Way& way, bool anywhere, std::vector<Breach>& breaches, ProgramFigures& figures) {
    const auto& legs = way.legs;
    First touching(breaches), diagonal(breaches);
    for (std::size_t leg = 0; leg < legs.size(); ++leg) {
        if (!way.kinds[leg].rapid) continue;
        const Point3 &a = way.from(leg), &b = legs[leg].to;
        if (way.kinds[leg] == LegKind::rapid && way.most[way.first_piece[leg]] > static_cast<float>(rapid_touch))
            touching([&] {
                return Breach{
                    legs[leg].line, b,
                    fmt::format("A rapid to {} runs {:.2f} mm deep through standing stock. Raise the safe height, or cut there before.",
                                at_place(b), way.most[way.first_piece[leg]])};
            });
        if (anywhere && std::min(a.z, b.z) >= 0) continue;
        if (distance(flat(a), flat(b)) > moves_at_all && std::fabs(b.z - a.z) > moves_at_all)
            diagonal([&] {
                return Breach{
                    legs[leg].line, b,
                    fmt::format(
                        "A rapid to {} moves Z together with X or Y; controllers run each axis at its own pace, so nobody knows the "
                        "way it takes. Make two rapids of it.",
                        at_place(b))};
            });
    }
    figures.rapids_in_stock = touching.count();
}

void check_feeds(const Way& way, const Machine& machine, std::vector<Breach>& breaches, ProgramFigures& figures) {
    const auto& legs = way.legs;
    const ProofProgram& asked = *way.asked;
    double most = asked.feed;
    if (machine.most_feed > 0 && (most <= 0 || machine.most_feed < most)) most = machine.most_feed;
    First fast(breaches), steep(breaches), not_centre(breaches);
    for (std::size_t leg = 0; leg < legs.size(); ++leg) {
        if (way.kinds[leg].rapid) continue;
        const Point3 &a = way.from(leg), &b = legs[leg].to;
        const double feed = static_cast<double>(legs[leg].feed);
        if (most > 0 && feed > most * (1 + feed_slack))
            fast([&] {
                return Breach{legs[leg].line, b,
                              fmt::format("F is {:.0f} mm/min on the way to {}, and at most {:.0f} is allowed. Lower the feed.", feed,
                                          at_place(b), most)};
            });
        if (!(b.z < a.z) || way.volume_of(leg) <= least_volume) continue;
        const double down = feed * (a.z - b.z) / distance(a, b);
        figures.fastest_down = std::max(figures.fastest_down, down);
        if (asked.plunge > 0 && down > asked.plunge * (1 + feed_slack))
            steep([&] {
                return Breach{
                    legs[leg].line, b,
                    fmt::format(
                        "The bit goes down into the stock at {:.0f} mm/min on the way to {}, and the plunge feed is {:.0f}. Give this "
                        "move a lower F, or go down more gently.",
                        down, at_place(b), asked.plunge)};
            });
        if (!asked.bit.spec().centre_cutting && way.kinds[leg] == LegKind::vertical &&
            way.most[way.first_piece[leg]] > static_cast<float>(rapid_touch))
            not_centre([&] {
                return Breach{
                    legs[leg].line, b,
                    fmt::format(
                        "The bit goes straight down into the stock at {}, but it does not cut at its centre. Let it ramp in, or take a "
                        "centre-cutting bit.",
                        at_place(b))};
            });
    }
}

void check_spindle(const Way& way, std::vector<Breach>& breaches) {
    const auto& legs = way.legs;
    const auto& events = way.read.track.events;
    First off(breaches), early(breaches);
    std::size_t next = 0;
    bool waiting = false;
    double dwelt = 0;
    std::uint32_t on_line = 0;
    for (std::size_t leg = 0; leg < legs.size(); ++leg) {
        for (; next < events.size() && events[next].before <= leg; ++next) {
            const Event& event = events[next];
            if (event.kind == EventKind::spindle_on && !waiting) waiting = true, dwelt = 0, on_line = event.line;
            if (event.kind == EventKind::spindle_off) waiting = false;
            if (event.kind == EventKind::dwell) dwelt += event.value;
        }
        if (way.kinds[leg].rapid || way.volume_of(leg) <= least_volume) continue;
        if (!way.kinds[leg].running) {
            off([&] {
                return Breach{legs[leg].line, legs[leg].to,
                              fmt::format("The bit cuts at {} while the spindle is off. Start it with M3 and a dwell before.",
                                          at_place(legs[leg].to))};
            });
        } else if (waiting) {
            waiting = false;
            if (dwelt < way.asked->spin_up_s - 1e-6)
                early([&] {
                    return Breach{
                        on_line, legs[leg].to,
                        fmt::format(
                            "The spindle is started here and line {} cuts after a dwell of {:.1f} s, but it needs {:.1f} s to come up to "
                            "speed. Put a dwell after M3.",
                            legs[leg].line, dwelt, way.asked->spin_up_s)};
                });
        }
    }
}

void check_holder(const Way& way, const Find& find, const char* what, std::vector<Breach>& breaches) {
    if (!find.found()) return;
    const Point3 place = way.legs[way.leg_of(find.piece)].to;
    breaches.push_back(
        {way.line_of(find.piece), place,
         fmt::format("Near {} the {} meets stock that stands {:.2f} mm too high. Take a bit that cuts longer or sticks out farther, or a "
                     "smaller depth.",
                     at_place(place), what, find.height)});
}

void check_dry_run(const Way& way, std::vector<Breach>& breaches) {
    const auto& legs = way.legs;
    for (std::size_t leg = 0; leg < legs.size(); ++leg)
        for (std::uint32_t k = way.first_piece[leg]; k < way.first_piece[leg + 1]; ++k)
            if (way.most[k] > static_cast<float>(rapid_touch)) {
                breaches.push_back(
                    {legs[leg].line, legs[leg].to,
                     fmt::format("This is a dry run, but the bit touches the stock on the way to {}. Lift it by more than the depth.",
                                 at_place(legs[leg].to))});
                return;
            }
}

}  // namespace

Check check_crash(const Way& way, const Replay& replay, const ProofTask& task, ProgramFigures& figures) {
    std::vector<Breach> breaches;
    check_rapids(way, task.read.wide, breaches, figures);
    check_feeds(way, task.machine, breaches, figures);
    check_spindle(way, breaches);
    check_holder(way, replay.shank, "shank above the cutting edges", breaches);
    check_holder(way, replay.collet, "collet nut", breaches);
    if (task.lift > 0) check_dry_run(way, breaches);
    return verdict(
        "no crash", way.asked->file,
        fmt::format(
            "No rapid touches stock or runs diagonally, the bit goes down at {:.0f} mm/min at most (plunge feed {:.0f}), nothing cuts with "
            "the spindle off or still spinning up, shank and collet stay clear.",
            figures.fastest_down, way.asked->plunge),
        std::move(breaches));
}

}  // namespace burin::proving
