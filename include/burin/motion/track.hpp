#pragma once
/// What the machine does, move by move: made by strategies, written by `program`, read back for the proof.
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "burin/base/point.hpp"

namespace burin {

enum class MoveKind : std::uint8_t { rapid, feed, arc_cw, arc_ccw };

/// One move from where the last one ended (or Track::start). Work coordinates, mm.
struct Move {
    Point3 to;
    float feed = 0;          ///< mm/min; 0 for a rapid
    std::uint32_t line = 0;  ///< line of the text it was read from, 1 = first; 0: not from a text
    std::uint32_t arc = 0;   ///< arcs: index into Track::arcs
    MoveKind kind = MoveKind::rapid;
    bool running = true;      ///< the spindle turns (or the beam is allowed) during the move
    std::uint16_t power = 0;  ///< of the beam, S in the controller's own units; 0: dark
};

/// Centre of an arc in the plane XY; z goes in proportion to the angle.
struct Arc {
    Point centre;
};

enum class EventKind : std::uint8_t { dwell, spindle_on, spindle_off, pause, end, beam_on, beam_off, air_on, air_off };
/// What happens between moves; motion comes to rest there. `before` counts moves: the event precedes moves[before].
struct Event {
    std::size_t before = 0;
    EventKind kind = EventKind::dwell;
    double value = 0;  ///< dwell: seconds; spindle_on: rpm; beam_on: 1 where power goes with the speed, 0 constant
    std::uint32_t line = 0;
};

struct Track {
    Point3 start;
    std::vector<Move> moves;
    std::vector<Arc> arcs;
    std::vector<Event> events;  ///< in order of `before`
};

/// A part of a track that a person would call one pass: starts at moves[first], ends where the next begins.
struct Pass {
    std::size_t first = 0;
    double z = 0;      ///< lowest height it cuts at, mm
    std::string what;  ///< "roughing level", "lines", "steep walls", … short ASCII
};

struct Toolpath {
    Track track;
    std::vector<Pass> passes;
};

}  // namespace burin
