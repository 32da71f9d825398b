#pragma once
// Words of programs of other hands: zeros that move along, places of the machine itself, cycles, other planes. Inside the room only.
#include "reader.hpp"
#include "reader_probe.hpp"

namespace burin {

/// True: the word took the axes of the line.
template <bool beam>
bool Reader<beam>::elsewhere(int g, const Block& block) {
    switch (g) {
        case 100:
            set_zero(block);
            return true;
        case 280:
        case 300:
            go_home(g, block);
            return true;
        case 382:
        case 383:
        case 384:
        case 385:
            probe(g, block);
            return true;
        case 430:
            not_plain("has G43: the length of the tool is taken as 0.");
            return false;
        case 530:
            machine_place(block);
            return true;
        case 920:
            not_plain("moves the work zero with G92, which ends with the program on some machines.");
            name_place(block, false);
            return true;
        case 921:
        case 922:
        case 923:
            undo_shift(g);
            return false;
        default:
            return false;
    }
}
/// From here on the words name this place so: by G10, which lasts, or by G92, which can be undone.
template <bool beam>
void Reader<beam>::name_place(const Block& block, bool lasting) {
    // References: GCC 12 takes a member of a conditional expression from a copy.
    Point3& set = lasting ? zero_ : shift_;
    const Point3& other = lasting ? shift_ : zero_;
    bool touched = false;
    for (unsigned k = 0; k < 3; ++k) {
        const char letter = "XYZ"[k];
        if (!block.has(letter)) continue;
        const double value = block[letter] * unit_;
        const bool open = (open_ >> k & 1U) != 0;
        if (open && !(std::abs(value) <= far_away)) return fault("sets a zero beyond all measure.");
        if (open) at_.*coordinates[k] = value;
        const double base = open ? 0 : at_.*coordinates[k] - value;  // of both together
        set.*coordinates[k] = base - other.*coordinates[k];
        open_ &= ~(1U << k);
        touched |= open;
    }
    zeroed_ = true;
    if (!touched) return;
    touched_zero_ = true, touched_shift_ |= !lasting;
    begin_anew();
}
template <bool beam>
void Reader<beam>::undo_shift(int g) {
    if (touched_shift_ || open_ != 0)
        return fault("takes back or brings back a zero of G92 round a probe, and where the words count from then nobody knows beforehand.");
    if (g == 923) {
        shift_ = kept_shift_;
    } else {
        kept_shift_ = g == 922 ? shift_ : Point3{};
        shift_ = {};
    }
}
/// Whether P names the work zero that is in force.
template <bool beam>
bool Reader<beam>::in_force(const Block& block) const {
    constexpr std::array<int, 9> systems{540, 550, 560, 570, 580, 590, 591, 592, 593};
    if (!block.has('P')) return false;
    const auto at = std::find(systems.begin(), systems.end(), offset_ == 0 ? 540 : offset_);
    return block['P'] == 0 || block['P'] == static_cast<double>(at - systems.begin() + 1);
}
template <bool beam>
void Reader<beam>::set_zero(const Block& block) {
    if (!block.has('L') || (block['L'] != 20 && block['L'] != 2)) return fault("has G10 without L2 or L20, which say what it sets.");
    if (!in_force(block))
        return fault("has G10 for another work zero than the one in force: P1 is G54, P2 is G55 and so on, P0 the one in force.");
    if (block['L'] == 2) return set_by_machine(block);
    not_plain("sets the work zero with G10.");
    name_place(block, true);
}
template <bool beam>
void Reader<beam>::set_by_machine(const Block& block) {
    if (!limits_.home)
        return fault("has G10 L2: it sets a zero in the machine's own coordinates, and the machine file does not say that it homes.");
    if (open_ != 0 || touched_zero_) return fault("has G10 L2 after a probe: where the machine's own zero lies from there nobody knows.");
    not_plain("sets the work zero with G10 by the machine's own coordinates.");
    zeroed_ = true;
    for (unsigned k = 0; k < 3; ++k)
        if (block.has("XYZ"[k])) zero_.*coordinates[k] = (*limits_.home).*coordinates[k] + block["XYZ"[k]] * unit_;
}
template <bool beam>
void Reader<beam>::go_home(int g, const Block& block) {
    if (!limits_.home)
        return fault(
            fmt::format("has G{}: it goes to a place of the machine's own, and the machine file does not say that it homes.", g / 10));
    not_plain(
        fmt::format("goes to the machine's own zero with all axes (G{}, NISTIR 6556): some controllers move only the axes that it "
                    "names, and go elsewhere where a place was stored for it.",
                    g / 10));
    if (block.has_any(Block::axes)) move(block, target(block), MoveKind::rapid, 0);
    move_to(*limits_.home, MoveKind::rapid);
}
template <bool beam>
void Reader<beam>::machine_place(const Block& block) {
    if (!limits_.home) return fault("has G53: it moves in the machine's own coordinates, and the machine file does not say that it homes.");
    if (motion_ != 0 && motion_ != 1) return fault("has G53 without G0 or G1.");
    not_plain("moves in the machine's own coordinates (G53).");
    Point3 to = at_;
    if (block.has('X')) to.x = limits_.home->x + block['X'] * unit_;
    if (block.has('Y')) to.y = limits_.home->y + block['Y'] * unit_;
    if (block.has('Z')) to.z = limits_.home->z + block['Z'] * unit_;
    if (motion_ == 1 && !(feed_ > 0)) return fault("cuts without a feed: no F has been given.");
    move_to(to, motion_ == 0 ? MoveKind::rapid : MoveKind::feed);
}
template <bool beam>
void Reader<beam>::change_tool() {
    const auto& moves = program_.track.moves;
    if (std::any_of(moves.begin(), moves.end(), [](const Move& m) { return m.kind != MoveKind::rapid; }))
        return fault("has M6: a change of tools after something was cut cannot be followed. Use one program for each bit.");
    not_plain("has M6: the bit is taken to be the one that was named.");
    if (on_) switch_spindle(5);
    happen(EventKind::pause, 0);
}
template <bool beam>
void Reader<beam>::drill(const Block& block) {
    const double repeats = block.has('L') ? block['L'] : 1;
    if (!(repeats >= 1 && repeats <= 1000) || repeats != std::floor(repeats))
        return fault("repeats a cycle (L) not a whole number of times.");
    if (!(feed_ > 0)) return fault("cuts without a feed: no F has been given.");
    const auto height = [&](char letter, double from) { return block[letter] * unit_ + (absolute_ ? words_zero().z : from); };
    if (block.has('R')) cycle_.r = height('R', at_.z), cycle_said_ |= 1;
    if (block.has('Z')) cycle_.z = height('Z', cycle_.r), cycle_said_ |= 2;
    if (block.has('Q')) cycle_.peck = block['Q'] * unit_;
    if (block.has('P')) cycle_.dwell_s = block['P'] * dwell_unit_;
    if (cycle_said_ != 3) return fault("has a cycle without R or Z.");
    cycle_.g = motion_, cycle_.back_to_r = back_to_r_;
    not_plain("drills by a cycle.");
    for (int n = 0; n < static_cast<int>(repeats); ++n)
        if (bursting() || !drill_once(flat(target(block)))) return;
}
template <bool beam>
bool Reader<beam>::drill_once(const Point& hole) {
    std::string wrong;
    const std::vector<CycleStep> steps = cycle_steps(cycle_, at_, hole, wrong);
    if (!wrong.empty()) fault(wrong);
    for (const CycleStep& step : steps) {
        const bool turns = on_;
        if (step.spindle < 0 && turns) switch_spindle(5);
        if (distance(step.to, at_) > 0) move_to(step.to, step.rapid ? MoveKind::rapid : MoveKind::feed);
        if (step.dwell_s > 0) happen(EventKind::dwell, step.dwell_s);
        if (step.spindle < 0 && turns) switch_spindle(3);
    }
    return wrong.empty();
}
/// A few bytes may mean a great many moves: there is an end to it.
template <bool beam>
bool Reader<beam>::bursting() {
    const bool too_many = program_.track.moves.size() > text_.size() + limits_.most_more;
    if (too_many) fault("means more moves than can be followed.");
    return too_many;
}
template <bool beam>
void Reader<beam>::move_to(const Point3& to, MoveKind kind) {
    Block all;
    all.letters = Block::axes;
    move(all, to, kind, 0);
}
template <bool beam>
void Reader<beam>::other_arc(const Block& block) {
    if (open_ != 0) return open_way();
    if (!(feed_ > 0)) return fault("cuts without a feed: no F has been given.");
    if (bursting()) return;
    if (block.has('R') || centre_absolute_) return fault("has an R arc or an absolute centre in another plane than XY. Give I, J, K.");
    const auto offset = [&](char letter) { return block.has(letter) ? block[letter] * unit_ : 0.0; };
    const Point centre = plane_ == 18 ? Point{offset('K'), offset('I')} : Point{offset('J'), offset('K')};
    std::string wrong;
    const auto points = plane_arc(at_, target(block), plane_, centre, motion_ == 2, radius_slack(), wrong);
    if (!wrong.empty()) return fault(wrong);
    not_plain("has an arc in another plane than XY.");
    for (const Point3& p : points) move_to(p, MoveKind::feed);
}

}  // namespace burin
