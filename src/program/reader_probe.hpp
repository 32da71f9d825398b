#pragma once
// Probing in programs of other hands (NISTIR 6556, 3.5.9: G38.2; .3 to .5 are younger, common practice). Where a probe touches is not
// known beforehand, so the place along its axes is open until the text says it: by a lift in G90 to where the probe began or farther, or
// by setting a zero there. Until then the bit counts as standing where the probe began, and moves nowhere but back along those axes.
// A zero set where it touched begins the track anew: of what came before nobody knows where it lay from that zero. Inside the room only.
#include "reader.hpp"

namespace burin {

/// G38.2 and G38.3 go towards what is touched, G38.4 and G38.5 away until it is touched no more: farther back at the most.
template <bool beam>
void Reader<beam>::probe(int g, const Block& block) {
    motion_ = -1;  // the next line has to say how it moves
    zeroed_ = true;
    if (!block.has_any(Block::axes)) return fault("probes without X, Y or Z.");
    if (!(feed_ > 0)) return fault("probes without a feed: no F has been given.");
    if (on_) return fault("probes while the spindle turns: it would drill into the plate. Switch it off with M5 before.");
    const bool away = g >= 384;
    const Point3 to = target(block);
    if (to == at_) return fault("probes without a way to go: it names the place where the bit stands.");
    if (!near(to)) return fault("moves beyond all measure: 100 m at the most.");
    unsigned moved = 0;
    bool turned = false;  // against the probe before it
    for (unsigned k = 0; k < 3; ++k) {
        const double way = (to.*coordinates[k] - at_.*coordinates[k]) * (away ? -1 : 1);
        if (way != 0) moved |= 1U << k;
        turned |= way * (forward_.*coordinates[k]) < 0;
        if (open_ == 0) forward_.*coordinates[k] = way;
    }
    if (open_ != 0 && (moved != open_ || turned)) return open_way();
    not_plain("probes: where it touches is not known beforehand. Its longest way is counted as time.");
    happen(EventKind::dwell, distance(at_, to) / feed_ * 60);
    if (open_ == 0) began_ = at_;
    reach(to);
    open_ = moved;
    if (away) began_ = at_ = to;
}

/// True: the move was one away from where a probe touched and is dealt with, or it is a fault.
template <bool beam>
bool Reader<beam>::back_from_touch(const Block& block, const Point3& to, MoveKind kind) {
    if (open_ == 0) return false;
    bool back = kind == MoveKind::rapid || kind == MoveKind::feed, all = absolute_;
    for (unsigned k = 0; k < 3; ++k) {
        const bool open = (open_ >> k & 1U) != 0, named = block.has("XYZ"[k]);
        const double way = to.*coordinates[k] - (absolute_ ? began_ : at_).*coordinates[k];
        back = back && (open ? way * (forward_.*coordinates[k]) <= 0 : way == 0);
        all = all && (!open || named);
    }
    if (!back) {
        open_way();
        return true;
    }
    if (all) {
        open_ = 0;
        return false;
    }
    reach(to);
    at_ = to;
    return true;
}
/// As far as the bit may come while its place is open.
template <bool beam>
void Reader<beam>::reach(const Point3& to) {
    constexpr std::size_t most_probes = 100'000;
    if (program_.probes.size() == most_probes) return fault("is one probe more than the 100,000 that are followed.");
    program_.probes.push_back({at_, to, line_});
}
template <bool beam>
void Reader<beam>::open_way() {
    std::string axes;
    for (unsigned k = 0; k < 3; ++k)
        if ((open_ >> k & 1U) != 0) axes += fmt::format("{}{}", axes.empty() ? "" : " and ", "XYZ"[k]);
    open_ = 0;
    fault(fmt::format(
        "moves on from where the probe touched, and nobody knows beforehand where that is. First go back along {} alone, in G90, to "
        "where the probe began or farther, or set a zero there.",
        axes));
}

/// A zero set where a probe touched: the words are right from here on.
template <bool beam>
void Reader<beam>::begin_anew() {
    const auto& moves = program_.track.moves;
    if (std::any_of(moves.begin(), moves.end(), [](const Move& m) { return m.kind != MoveKind::rapid && m.running; }))
        return fault("sets a zero anew after something was cut, so what follows lies elsewhere. Use one program for each zero.");
    program_.track.moves.clear();
    program_.track.arcs.clear();
    program_.probes.clear();
    for (Event& event : program_.track.events) event.before = 0;
    for (LitStop& stop : program_.lit_stops) stop.before = 0;
    program_.track.start = at_;
    program_.begins_at_touch = true;
    not_plain("sets the zero where the probe touched. All before that line is not checked: nobody knows where it lies.");
}

}  // namespace burin
