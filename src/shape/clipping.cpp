/// Booleans and offsets of loops by the library Clipper (Vatti 1992; offsets after Chen and McMains 2005), on the lattice.
///
/// Cost: n log n in practice for n corners and crossings. Nothing else in Burin sees Clipper.
#include <algorithm>
#include <cmath>
#include <polyclipping/clipper.hpp>

#include "burin/base/error.hpp"
#include "lattice.hpp"

namespace burin {
namespace {

namespace lib = ClipperLib;

lib::Paths to_paths(const LatticeLoops& loops) {
    lib::Paths paths;
    paths.reserve(loops.size());
    for (const LatticeLoop& loop : loops) {
        lib::Path& path = paths.emplace_back();
        path.reserve(loop.size());
        for (const LatticePoint& p : loop) path.emplace_back(static_cast<lib::cInt>(p.x), static_cast<lib::cInt>(p.y));
    }
    return paths;
}

LatticeLoops from_paths(const lib::Paths& paths) {
    LatticeLoops loops;
    loops.reserve(paths.size());
    for (const lib::Path& path : paths) {
        LatticeLoop& loop = loops.emplace_back();
        loop.reserve(path.size());
        for (const lib::IntPoint& p : path) loop.push_back({p.X, p.Y});
    }
    return loops;
}

lib::ClipType type_of(Clip clip) {
    switch (clip) {
        case Clip::intersect:
            return lib::ctIntersection;
        case Clip::subtract:
            return lib::ctDifference;
        case Clip::unite:
            break;
    }
    return lib::ctUnion;
}

lib::PolyFillType fill_of(FillRule rule) {
    switch (rule) {
        case FillRule::even_odd:
            return lib::pftEvenOdd;
        case FillRule::nonzero:
            return lib::pftNonZero;
        case FillRule::positive:
            break;
    }
    return lib::pftPositive;
}

[[noreturn]] void give_up() {
    throw Error(Fault::refused,
                "The figures are too tangled to be sorted into outer lines and holes. Simplify the drawing, or raise its smoothing.");
}

}  // namespace

LatticeLoops clipped(Clip clip, const LatticeLoops& a, const LatticeLoops& b, FillRule rule) {
    lib::Paths result;
    try {
        lib::Clipper clipper;
        clipper.AddPaths(to_paths(a), lib::ptSubject, true);
        clipper.AddPaths(to_paths(b), lib::ptClip, true);
        if (!clipper.Execute(type_of(clip), result, fill_of(rule), lib::pftPositive)) give_up();
    } catch (const lib::clipperException&) {
        give_up();
    }
    return from_paths(result);
}

LatticeLoops offset_loops(const LatticeLoops& loops, double distance, double tolerance) {
    lib::Paths result;
    try {
        // Clipper rounds the number of an arc's chords, so that one may span 1.5 times what it should: 1.5² in its sagitta.
        lib::ClipperOffset offset(2, std::max(tolerance / 2.25, 0.25));
        offset.AddPaths(to_paths(loops), lib::jtRound, lib::etClosedPolygon);
        offset.Execute(result, distance);
    } catch (const lib::clipperException&) {
        give_up();
    }
    return from_paths(result);
}

}  // namespace burin
