// Where a program may be cut into parts. Cost: O(moves).
#include <fmt/format.h>

#include "burin/base/error.hpp"
#include "burin/rework/rest.hpp"

namespace burin {
namespace {

constexpr double preferred_from = 2.0 / 3;  // of a part: a retreat this late is good enough (our choice, no source)

}  // namespace

std::vector<std::size_t> split_places(const OldProgram& old, double seconds, std::size_t most) {
    const auto& moves = old.read.track.moves;
    const auto& events = old.read.track.events;
    std::vector<std::size_t> places;
    double now = 0, begun = 0, retreat_s = 0;
    std::size_t event = 0, retreat = 0, last = 0;
    std::size_t last_feed = 0;
    for (std::size_t k = 0; k < moves.size(); ++k)
        if (moves[k].kind != MoveKind::rapid) last_feed = k;
    for (std::size_t k = 0; k <= last_feed && !moves.empty(); ++k) {
        for (; event < events.size() && events[event].before <= k; ++event)
            if (events[event].kind == EventKind::dwell) now += events[event].value;
        const bool rises = moves[k].kind == MoveKind::rapid && moves[k].to.z > 0 && k > 0 && moves[k - 1].kind != MoveKind::rapid;
        if (rises) retreat = k, retreat_s = now;
        const double next = now + static_cast<double>(old.timing.move_s[k]);
        if (next - begun > seconds && k > last) {
            const bool at_retreat = retreat > last && retreat_s - begun >= preferred_from * seconds;
            places.push_back(at_retreat ? retreat : k);
            begun = at_retreat ? retreat_s : now;
            last = places.back();
            if (places.size() + 1 > most)
                throw Error(Fault::refused,
                            fmt::format("'{}' takes {}, which would be more than {} parts. Give longer ones with --minutes.", old.file,
                                        duration_text(old.timing.total_s), most));
        }
        now = next;
    }
    return places;
}

}  // namespace burin
