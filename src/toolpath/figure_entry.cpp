// Level by level along a line, with ramps.
//
// A ramp takes, besides its slot of depth h, the whole foot of the bit times its slope; so that both together stay below the
// section of a slot of depth m, the slope is at most (m − h) · 4/(π d) (plane geometry): steep while the slot is shallow, flatter
// and flatter towards the end. Where a plan is made anew with less (take < 1), m is less for ramps too, halfway between levels and m. On a
// closed line the ramp runs on round it; on an open one there and back, and what it left slanted is cut on the way. Cost: the length of the
// line.
#include "figure_entry.hpp"

#include <cmath>
#include <numbers>

namespace burin {
namespace {

constexpr double hair = 1e-4;        // mm: heights that are the same
constexpr double worth_it = 0.0015;  // mm of stock that are not worth a way
constexpr double piece = 0.25;       // mm of a ramp in one slope
constexpr double overlap = 1.0;      // mm past the closing point
constexpr double walked_over = 8;    // mm without anything to take that are walked rather than lifted over

/// A stretch of a line: where something is to be taken, or not.
struct Run {
    std::vector<Point3> points;  ///< heights of the tip at this level
    double most = 0;             ///< mm that are taken at most
    bool work = false;
    bool steps = false;  ///< the next run begins straight above or below its end
};

Point3 between(const Point3& a, const Point3& b, double t) { return {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t, a.z + (b.z - a.z) * t}; }

class Runs {
public:
    Runs(const TipLine& line, double above, double z) : above_(above), z_(z) {
        for (std::size_t k = 1; k < line.tip.size(); ++k) segment(line.tip[k - 1], line.tip[k]);
        if (line.closed && line.tip.size() > 1) segment(line.tip.back(), line.tip.front());
        for (Run& run : runs_)
            if (run.work && run.most < worth_it) run.work = false;
        join_likes();
    }
    std::vector<Run> take() { return std::move(runs_); }

private:
    /// Cut where the tip's own line crosses either height.
    void segment(const Point3& a, const Point3& b) {
        if (distance(flat(a), flat(b)) < 1e-7) {
            if (std::abs(a.z - b.z) > hair && !runs_.empty()) runs_.back().steps = true;
            return;
        }
        std::vector<double> shares{0, 1};
        for (const double h : {above_, z_})
            if ((a.z - h) * (b.z - h) < 0) shares.push_back((a.z - h) / (a.z - b.z));
        std::sort(shares.begin(), shares.end());
        for (std::size_t k = 1; k < shares.size(); ++k) {
            if (shares[k] - shares[k - 1] < 1e-12) continue;
            const Point3 from = between(a, b, shares[k - 1]), to = between(a, b, shares[k]);
            const bool work = (from.z + to.z) / 2 < above_ - hair;
            if (runs_.empty() || runs_.back().work != work || runs_.back().steps) {
                runs_.push_back({{}, 0, work, false});
                put(from);
            }
            put(to);
        }
    }
    void put(const Point3& p) {
        Run& run = runs_.back();
        run.points.push_back({p.x, p.y, run.work ? std::max(p.z, z_) : p.z});
        run.most = std::max(run.most, above_ - run.points.back().z);
    }
    void join_likes() {
        std::vector<Run> joined;
        for (Run& run : runs_) {
            if (!joined.empty() && joined.back().work == run.work && !joined.back().steps) {
                joined.back().points.insert(joined.back().points.end(), run.points.begin() + 1, run.points.end());
                joined.back().most = std::max(joined.back().most, run.most);
                joined.back().steps = run.steps;
            } else {
                joined.push_back(std::move(run));
            }
        }
        runs_ = std::move(joined);
    }
    double above_, z_;
    std::vector<Run> runs_;
};

/// Way without taking anything after which a new level may begin: promise 3 looks at half a diameter of way, or a little more than
/// the allowance, in overlapping strides.
double turning_way(const CutRules& rules) { return std::max(rules.diameter, 1.0); }

double slope_at(double h, const CutRules& rules) {
    const double pull = 4 / (std::numbers::pi * rules.diameter * rules.engaged);
    const double room = rules.ramped / rules.engaged - h;
    return std::clamp(room * (1 - std::exp(-pull * piece)) / piece, 4e-3, rules.ramp);
}

/// Down to the run's line from where the pen is, there and back; then the whole of it. `turning`: the level before ended here; so that
/// no half diameter of way takes from both levels, the bit goes back a little before it goes down.
void cut_run(Pen& pen, const Run& run, double above, bool turning, const CutRules& rules) {
    const Rail rail(run.points, false);
    const double length = rail.length();
    const Point3 start = rail.at(0);
    if (pen.at().z > above) pen.cut({start.x, start.y, std::max(above, start.z)});
    const auto to = [&](const Point3& p, double) { pen.cut(p); };
    if (rules.plunges ? too_short_to_ramp(2 * length, above - start.z, rules) : length < 0.02) {
        if (rules.plunges) plunge(pen, above, start.z, rules);
        rail.walk(0, length, to);
        return;
    }
    double s = 0;
    bool onward = true;
    if (turning && pen.at().z > start.z + hair) {
        s = std::min(turning_way(rules), length);
        const double z = pen.at().z;
        rail.walk(0, s, [&](const Point3& p, double) { pen.cut({p.x, p.y, std::max(z, p.z)}); });
    }
    while (pen.at().z > rail.at(s).z + hair) {
        const double step = std::min(piece, onward ? length - s : s);
        if (step < 1e-9) {
            onward = !onward;
            continue;
        }
        const double z = pen.at().z - slope_at(above - pen.at().z, rules) * step, end = onward ? s + step : s - step;
        const double from = pen.at().z;
        rail.walk(s, end, [&](const Point3& p, double at) {
            const double share = std::abs(at - s) / step;
            const double ramp = from + (z - from) * share;
            pen.cut({p.x, p.y, ramp < p.z + hair ? p.z : ramp});
        });
        s = end;
    }
    if (s > 0) rail.walk(s, 0, to);
    rail.walk(0, length, to);
}

}  // namespace

CutRules cut_rules(const ReliefBit& bit, double take) {
    CutRules rules;
    rules.most = bit.depth_per_pass;
    rules.ramped = bit.depth_per_pass * (1 + std::clamp(take, 0.1, 1.0)) / 2;
    const bool round = bit.bit.round_radius() > 0;
    // A round tip meets the rounded end of the level before with more than the section of its slot.
    rules.step = bit.depth_per_pass * std::clamp(take, 0.1, 1.0) * (round ? 0.8 : 1.0);
    rules.foot = bit.bit.tip_diameter();
    const bool centre = bit.bit.spec().centre_cutting;
    // So that the feed goes down no faster than the plunge; a bit that does not cut at its centre goes down more gently.
    rules.ramp = std::clamp(0.8 * bit.plunge / bit.feed, 0.02, centre ? 0.15 : 0.05);
    rules.diameter = bit.bit.diameter();
    rules.plunges = centre;
    return rules;
}

std::vector<double> levels_to(double floor, double step) {
    const int count = std::max(1, static_cast<int>(std::ceil(-floor / step - 1e-6)));
    std::vector<double> levels;
    for (int k = 1; k <= count; ++k) levels.push_back(k == count ? floor : floor * k / count);
    return levels;
}

bool too_short_to_ramp(double length, double down, const CutRules& rules) {
    constexpr double most_turns = 12;
    return length * most_turns * rules.ramp < down;
}

void plunge(Pen& pen, double above, double z, const CutRules& rules) {
    const Point at = flat(pen.at());
    for (double low = std::min(pen.at().z, above); low > z + hair;) {
        low = std::max(z, low - rules.most);
        pen.cut({at.x, at.y, low});
        if (low > z + hair) pen.hop(at, above + rules.clearance, low + rules.clearance);
    }
}

double ramp_round(Pen& pen, const Rail& rail, double s, double above, double z, const CutRules& rules) {
    if (pen.at().z > above) {
        const Point3 p = rail.at(s);
        pen.cut({p.x, p.y, above});
    }
    while (pen.at().z > z + hair) {
        const double slope = slope_at(above - pen.at().z, rules), from = pen.at().z;
        const double step = std::min(piece, (from - z) / slope), start = s;
        rail.walk(start, start + step, [&](const Point3& p, double at) {
            const double low = from - slope * (at - start);
            pen.cut({p.x, p.y, low < z + hair ? z : low});
        });
        s = start + step;
    }
    return s;
}

void cut_round(Pen& pen, const Rail& rail, double above, double z, const CutRules& rules) {
    double s = rail.nearest(flat(pen.at())).s;
    const double turn = rail.length();
    const bool down = pen.at().z > z + hair;
    if (down && too_short_to_ramp(turn, above - z, rules) && rules.plunges)
        plunge(pen, above, z, rules);
    else if (down)
        s = ramp_round(pen, rail, s, above, z, rules);
    rail.walk(s, s + turn + std::min(overlap, turn / 4), [&](const Point3& p, double) { pen.cut({p.x, p.y, z}); });
}

bool cut_level(Pen& pen, const TipLine& line, double above, double z, const CutRules& rules) {
    if (line.tip.size() == 1) {
        const Point3 p = line.tip.front();
        if (!rules.plunges || p.z >= above - worth_it) return false;
        pen.approach(flat(p), above + rules.clearance);
        pen.cut({p.x, p.y, above});
        plunge(pen, above, std::max(z, p.z), rules);
        pen.cut({p.x, p.y, above});
        return true;
    }
    std::vector<Run> runs = Runs(line, above, z).take();
    const auto works = [](const Run& run) { return run.work; };
    if (std::none_of(runs.begin(), runs.end(), works)) return false;

    if (line.closed && runs.size() == 1 && !runs.front().steps) {
        const bool level = std::all_of(line.tip.begin(), line.tip.end(), [&](const Point3& p) { return p.z <= z; });
        const Rail rail(runs.front().points, true);
        const Rail::Foot foot = rail.nearest(flat(pen.at()));
        const bool there = pen.started() && foot.away < 1e-6 && pen.at().z <= above + hair && pen.at().z < 0;
        if (!there) {
            const Point3 p = rail.at(rail.nearest_corner(line.begin ? *line.begin : flat(pen.at())).s);
            pen.approach(flat(p), std::max(above, p.z) + rules.clearance);
        }
        if (level) {
            cut_round(pen, rail, above, z, rules);
            return true;
        }
        // Heights that change on the way: down by a ramp over the line, then once round.
        double s = rail.nearest(flat(pen.at())).s;
        if (pen.at().z > above) pen.cut({pen.at().x, pen.at().y, std::max(above, rail.at(s).z)});
        while (pen.at().z > rail.at(s).z + hair) {
            const double low = pen.at().z - slope_at(above - pen.at().z, rules) * piece, from = pen.at().z, start = s;
            rail.walk(start, start + piece, [&](const Point3& p, double at) {
                const double ramp = from + (low - from) * (at - start) / piece;
                pen.cut({p.x, p.y, ramp < p.z + hair ? p.z : ramp});
            });
            s = start + piece;
        }
        rail.walk(s, s + rail.length() + std::min(overlap, rail.length() / 4), [&](const Point3& p, double) { pen.cut(p); });
        return true;
    }

    if (line.closed) {  // begin where something is to be taken after a place where there is not
        Run& last = runs.back();
        if (runs.size() > 1 && last.work == runs.front().work && !last.steps) {
            last.points.insert(last.points.end(), runs.front().points.begin() + 1, runs.front().points.end());
            last.steps = runs.front().steps;
            runs.erase(runs.begin());
        }
        const Point from = line.begin && !(pen.started() && pen.at().z < 0) ? *line.begin : flat(pen.at());
        std::size_t best = 0;
        double least = 1e300;
        for (std::size_t k = 0; k < runs.size(); ++k)
            if (const double d = distance(from, flat(runs[k].points.front())); runs[k].work && d < least) least = d, best = k;
        std::rotate(runs.begin(), runs.begin() + static_cast<std::ptrdiff_t>(best), runs.end());
    } else {
        while (!runs.front().work) runs.erase(runs.begin());
    }
    while (!runs.back().work) runs.pop_back();
    const Point first = flat(runs.front().points.front()), last = flat(runs.back().points.back());
    if (!line.one_way && !line.closed && distance(flat(pen.at()), last) < distance(flat(pen.at()), first)) {
        std::reverse(runs.begin(), runs.end());
        for (Run& run : runs) std::reverse(run.points.begin(), run.points.end());
    }
    for (std::size_t k = 0; k < runs.size(); ++k) {
        const Run& run = runs[k];
        const Point3 start = run.points.front();
        const bool here = pen.started() && distance(flat(pen.at()), flat(start)) < 1e-6 && pen.at().z < rules.clearance + hair;
        if (!run.work) {
            const Rail rail(run.points, false);
            if (here && rail.length() <= walked_over) {
                pen.cut({start.x, start.y, std::max(pen.at().z, start.z)});
                rail.walk(0, rail.length(), [&](const Point3& p, double) { pen.cut({p.x, p.y, std::max(p.z, above)}); });
            }
            continue;
        }
        const bool turning = here && k == 0;
        if (here && !(turning && Rail(run.points, false).length() < 2 * turning_way(rules)))
            pen.cut({start.x, start.y, std::max(start.z, std::min(pen.at().z, above))});
        else
            pen.approach(flat(start), above + rules.clearance);
        cut_run(pen, run, above, turning, rules);
    }
    return true;
}

double step_along(const TipLine& line, const CutRules& rules) {
    double steepest = 0;
    for (std::size_t k = line.closed ? 0 : 1; k < line.tip.size(); ++k) {
        const Point3 &a = line.tip[k == 0 ? line.tip.size() - 1 : k - 1], &b = line.tip[k];
        const double way = distance(flat(a), flat(b));
        if (way > 1e-6) steepest = std::max(steepest, std::abs(a.z - b.z) / way);
    }
    return std::clamp(rules.most - std::numbers::pi / 4 * rules.foot * steepest, rules.step / 4, rules.step);
}

void cut_levels(Pen& pen, const TipLine& line, const std::vector<double>& levels, const CutRules& rules) {
    double above = 0;
    for (const double z : levels) {
        cut_level(pen, line, above, z, rules);
        above = z;
    }
}

}  // namespace burin
