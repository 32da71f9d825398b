/// The fewest changes of bits for several cuts, each with its own sequence: a shortest common supersequence, found by breadth over how
/// far each kind of cut has come (cuts with the same sequence go together). Cost: the product of the sequences' lengths.
#include "running_order.hpp"

#include <algorithm>
#include <limits>
#include <map>
#include <set>

namespace burin {
namespace {

constexpr std::size_t most_states = 300'000;

/// Cuts with the same bits in the same order.
struct Kind {
    std::vector<std::size_t> bits;
    std::optional<std::size_t> follows, after;  // other kinds, with lower numbers
    bool last = false;
};
using State = std::vector<std::size_t>;  // how many programs of each kind are done

bool done(const std::vector<Kind>& kinds, const State& state, bool last) {
    for (std::size_t k = 0; k < kinds.size(); ++k)
        if (kinds[k].last == last && state[k] < kinds[k].bits.size()) return false;
    return true;
}

/// Whether the cut that this kind builds on leaves it nothing to wait for, with this bit and wider ones.
bool free_to_go(const std::vector<Kind>& kinds, const State& state, std::size_t k, std::size_t bit) {
    if (kinds[k].after && state[*kinds[k].after] < kinds[*kinds[k].after].bits.size()) return false;
    if (!kinds[k].follows) return true;
    const Kind& below = kinds[*kinds[k].follows];
    const auto left = below.bits.begin() + static_cast<std::ptrdiff_t>(state[*kinds[k].follows]);
    return std::none_of(left, below.bits.end(), [&](std::size_t wanted) { return wanted <= bit; });
}

/// The state after one program with this bit; the same where nobody waits for it.
State after(const std::vector<Kind>& kinds, State state, std::size_t bit) {
    for (const bool last : {false, true}) {
        if (last && !done(kinds, state, false)) break;
        for (std::size_t k = 0; k < kinds.size(); ++k)
            if (kinds[k].last == last && state[k] < kinds[k].bits.size() && kinds[k].bits[state[k]] == bit &&
                free_to_go(kinds, state, k, bit))
                ++state[k];
    }
    return state;
}

std::set<std::size_t> all_bits(const std::vector<Kind>& kinds) {
    std::set<std::size_t> bits;
    for (const Kind& kind : kinds) bits.insert(kind.bits.begin(), kind.bits.end());
    return bits;
}

std::vector<std::size_t> by_breadth(const std::vector<Kind>& kinds) {
    const std::set<std::size_t> bits = all_bits(kinds);
    std::map<State, std::pair<State, std::size_t>> from;  // where each state was come from, by which bit
    std::vector<State> front{State(kinds.size(), 0)};
    from[front[0]] = {};
    while (!front.empty()) {
        std::vector<State> next;
        for (const State& state : front) {
            if (done(kinds, state, false) && done(kinds, state, true)) {
                std::vector<std::size_t> order;
                for (State at = state; at != State(kinds.size(), 0); at = from[at].first) order.push_back(from[at].second);
                return {order.rbegin(), order.rend()};
            }
            for (const std::size_t bit : bits)
                if (State to = after(kinds, state, bit); to != state && from.emplace(to, std::pair(state, bit)).second)
                    next.push_back(std::move(to));
        }
        front = std::move(next);
    }
    return {};
}

std::vector<std::size_t> by_demand(const std::vector<Kind>& kinds) {
    const std::set<std::size_t> bits = all_bits(kinds);
    std::vector<std::size_t> order;
    State state(kinds.size(), 0);
    while (!(done(kinds, state, false) && done(kinds, state, true))) {
        std::size_t best = *bits.begin(), most = 0;
        bool best_for_good = false;
        for (const std::size_t bit : bits) {
            const State to = after(kinds, state, bit);
            std::size_t moved = 0;
            bool for_good = true;  // nobody will want it again
            for (std::size_t k = 0; k < kinds.size(); ++k) {
                moved += to[k] - state[k];
                const auto left = kinds[k].bits.begin() + static_cast<std::ptrdiff_t>(to[k]);
                for_good = for_good && std::find(left, kinds[k].bits.end(), bit) == kinds[k].bits.end();
            }
            if (moved > 0 && (std::pair(for_good, moved) > std::pair(best_for_good, most)))
                most = moved, best = bit, best_for_good = for_good;
        }
        state = after(kinds, state, best);
        order.push_back(best);
    }
    return order;
}

bool within(const Box& inner, const Box& outer) {
    return inner.lo.x >= outer.lo.x && inner.lo.y >= outer.lo.y && inner.hi.x <= outer.hi.x && inner.hi.y <= outer.hi.y &&
           inner.width() + inner.height() < outer.width() + outer.height();
}

/// Inner ones before those round them, cuts that cut loose last, else the nearest.
void arrange(std::vector<CutPart>& parts, const std::vector<CutTasks>& cuts) {
    std::vector<CutPart> left = std::move(parts);
    parts.clear();
    Point at{};
    const auto must_wait = [&](const CutPart& part) {
        return std::any_of(left.begin(), left.end(), [&](const CutPart& other) {
            const CutTasks &a = cuts[part.cut], &b = cuts[other.cut];
            if (a.follows == other.cut || a.after == other.cut) return true;
            if (b.follows || a.follows) return a.last && !b.last;
            return a.last == b.last ? within(b.box, a.box) : a.last;
        });
    };
    while (!left.empty()) {
        std::size_t best = 0;
        double nearest = std::numeric_limits<double>::max();
        for (std::size_t k = 0; k < left.size(); ++k)
            if (const double far = distance(at, cuts[left[k].cut].box.centre()); far < nearest - 1e-9 && !must_wait(left[k]))
                nearest = far, best = k;
        at = cuts[left[best].cut].box.centre();
        parts.push_back(left[best]);
        left.erase(left.begin() + static_cast<std::ptrdiff_t>(best));
    }
}

}  // namespace

std::vector<SharedProgram> running_order(const std::vector<CutTasks>& cuts) {
    std::vector<Kind> kinds;
    std::vector<std::size_t> kind_of(cuts.size());
    std::size_t states = 1;
    for (std::size_t c = 0; c < cuts.size(); ++c) {
        const auto kind_named = [&](const std::optional<std::size_t>& cut) { return cut ? std::optional(kind_of[*cut]) : std::nullopt; };
        const std::optional<std::size_t> follows = kind_named(cuts[c].follows), after_all = kind_named(cuts[c].after);
        const auto same = [&](const Kind& kind) {
            return kind.bits == cuts[c].bits && kind.last == cuts[c].last && kind.follows == follows && kind.after == after_all;
        };
        const auto found = std::find_if(kinds.begin(), kinds.end(), same);
        kind_of[c] = static_cast<std::size_t>(found - kinds.begin());
        if (found != kinds.end()) continue;
        kinds.push_back({cuts[c].bits, follows, after_all, cuts[c].last});
        states = std::min(most_states + 1, states * (cuts[c].bits.size() + 1));
    }
    std::vector<SharedProgram> programs;
    State state(kinds.size(), 0);
    for (const std::size_t bit : states <= most_states ? by_breadth(kinds) : by_demand(kinds)) {
        const State next = after(kinds, state, bit);
        SharedProgram program{bit, {}};
        for (std::size_t c = 0; c < cuts.size(); ++c)
            if (next[kind_of[c]] > state[kind_of[c]]) program.parts.push_back({c, state[kind_of[c]]});
        arrange(program.parts, cuts);
        programs.push_back(std::move(program));
        state = next;
    }
    return programs;
}

}  // namespace burin
