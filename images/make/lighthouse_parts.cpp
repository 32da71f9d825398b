// The parts of the diorama: surfaces given as heights (sky, sea, rock, sails, gulls, frame) and solids found by marching
// along the line of sight through their signed distance (tower, gallery, lantern, cottage).
#include "scene.hpp"

namespace paint {
namespace {

struct V3 {
    double x = 0, y = 0, z = 0;
};

double box(V3 p, V3 half, double round = 0) {
    const double x = std::abs(p.x) - half.x + round, y = std::abs(p.y) - half.y + round, z = std::abs(p.z) - half.z + round;
    const double outside = std::sqrt(std::pow(std::max(x, 0.0), 2) + std::pow(std::max(y, 0.0), 2) + std::pow(std::max(z, 0.0), 2));
    return outside + std::min(std::max({x, y, z}), 0.0) - round;
}

double column(V3 p, double radius, double y0, double y1) {
    const double r = std::hypot(p.x, p.z) - radius, h = std::abs(p.y - (y0 + y1) / 2) - (y1 - y0) / 2;
    return std::min(std::max(r, h), 0.0) + std::hypot(std::max(r, 0.0), std::max(h, 0.0));
}

/// First point of a solid from the front; `near` and `far` bound it.
template <class Solid>
double march(const Solid& solid, V2 p, double near, double far) {
    double z = near;
    for (int k = 0; k < 200 && z > far; ++k) {
        const double d = solid(V3{p.x, p.y, z});
        if (d < 0.004) return z;
        z -= std::max(0.8 * d, 0.004);
    }
    return nothing;
}

double sky_depth(V2 p) {
    struct Puff {
        V2 at;
        double r;
    };
    static const std::vector<Puff> puffs = {{{12, 44}, 5.0},   {{18, 46.5}, 6.2}, {{25, 45}, 5.2},   {{31, 42.5}, 4.0}, {{7, 41.5}, 4.0},
                                            {{37, 41.3}, 3.0}, {{86, 39}, 4.4},   {{92, 41}, 5.4},   {{81, 37.5}, 3.0}, {{47, 63.5}, 2.6},
                                            {{51, 64.6}, 3.2}, {{55, 63.4}, 2.4}, {{84, 53.5}, 2.2}, {{88, 54.6}, 3.0}, {{93, 53.8}, 2.6}};
    double top = 0;
    for (const auto& puff : puffs) {
        const V2 q{p.x + 0.7 * fractal(p * 0.45, 3, 5), p.y + 0.7 * fractal(p * 0.45, 3, 9)};
        const V2 d = q - puff.at;
        // Flat below: a cloud lies on its base.
        const double squash = d.y < 0 ? 2.4 : 1.05;
        const double left = 1 - (d.x * d.x + d.y * d.y * squash * squash) / (puff.r * puff.r);
        if (left > 0) top = smax(top, std::pow(left, 0.65) * puff.r * 0.46, 0.25);
    }
    return top;
}

Hit look_sky(V2 p) {
    const double cloud = sky_depth(p);
    if (cloud > 0.12) return {cloud, Stuff::cloud};
    // Two beams widening from the lamp.
    const V2 d = p - lamp;
    const double slope = d.x < 0 ? 0.16 : -0.10;
    const double off = std::abs(d.y - slope * std::abs(d.x)) - (0.5 + 0.115 * std::abs(d.x));
    if (off < 0.15) return {std::max(cloud, 0.75 * step(0.15, -0.15, off)), Stuff::beam};
    return {cloud, Stuff::sky};
}

/// A gull seen from the front quarter: wings from curves, body from a spindle.
Hit look_gull(V2 p, V2 at, double size, double bank, double z) {
    const V2 d = (p - at) * (1 / size);
    const V2 q{d.x * std::cos(bank) + d.y * std::sin(bank), -d.x * std::sin(bank) + d.y * std::cos(bank)};
    double depth = 1e9, ridge = 0;
    const auto wing = [&](V2 root, V2 elbow, V2 tip) {
        const std::vector<V2> line = smooth_curve(
            std::vector<V2>{root, elbow, {elbow.x + 0.62 * (tip.x - elbow.x), elbow.y + 0.5 * (tip.y - elbow.y) + 0.05}, tip}, 6);
        for (std::size_t k = 0; k + 1 < line.size(); ++k) {
            const double t = static_cast<double>(k) / static_cast<double>(line.size()),
                         u = static_cast<double>(k + 1) / static_cast<double>(line.size());
            const auto half = [](double s) { return 0.115 * std::pow(1 - s, 0.55) * (1 - 0.25 * std::exp(-s * 9)); };
            const double w = tapered(q, line[k], line[k + 1], half(t), half(u));
            if (w < depth) {
                depth = w;
                ridge = std::sin(64 * t + 38 * q.x) * 0.5;
            }
        }
    };
    wing({-0.04, 0.02}, {-0.30, 0.27}, {-1.0, 0.02});
    wing({0.06, 0.03}, {0.36, 0.30}, {0.98, 0.24});
    const double wings = depth;
    const double body =
        std::min(tapered(q, {0.02, 0.02}, {0.20, -0.11}, 0.105, 0.07), tapered(q, {0.02, 0.02}, {-0.26, -0.02}, 0.105, 0.035));
    const double beak = tapered(q, {0.22, -0.125}, {0.315, -0.175}, 0.045, 0.018);
    const double shape = smin(std::min(wings, beak), body, 0.06);
    if (shape > 0) return {};
    const double puffed = std::sqrt(clamp01(-shape / 0.11)) * 0.16;
    const double feathers = body < 0.02 ? 0 : 0.022 * ridge * step(0, 0.05, -shape);
    return {z + size * 0.9 * (puffed + feathers), Stuff::gull};
}

Hit look_hill(V2 p) {
    const double ridge = 28.6 + 2.4 * fractal({p.x * 0.10, 2}, 4, 31) - 0.045 * p.x;
    const double below = ridge - p.y;
    if (below < 0 || p.x > 50) return {};
    return {2.0 + 1.1 * std::sqrt(clamp01(below / 3)) + 0.35 * fractal(p * 0.8, 4, 33), Stuff::hill};
}

}  // namespace

double sea(V2 p) {
    const double horizon = 26;
    const double near = clamp01((horizon - p.y) / 22);
    // Waves lie closer and flatter towards the horizon: run the pattern in perspective.
    const double far = 1 / (0.14 + near * 1.15);
    const V2 q{(p.x - 50) * (0.06 + 0.42 * far * 0.16), far * 6.5};
    const double bend = 0.9 * fractal({q.x * 1.1, q.y * 0.7}, 3, 41);
    const double phase = q.y * 3.4 + 1.5 * bend + 0.35 * q.x;
    const double crest = std::pow(0.5 + 0.5 * std::sin(phase), 2.2);
    const double small = fractal({q.x * 5.5, q.y * 2.6}, 3, 47);
    return 3 + 21 * near + (0.4 + 3.4 * near) * (crest + 0.30 * small - 0.3);
}

namespace {

Hit look_sea(V2 p) {
    if (p.y > 26) return {};
    return {sea(p), Stuff::sea};
}

/// Top line of the headland: low to the left, a shelf for cottage and tower, falling to the right.
double headland_top(double x) {
    static const std::vector<V2> line = smooth_curve(std::vector<V2>{{30, 8},
                                                                     {35, 14.5},
                                                                     {39, 21},
                                                                     {43, 27.2},
                                                                     {47, 29.3},
                                                                     {54, 30},
                                                                     {60, 31.3},
                                                                     {66, 32},
                                                                     {72, 31.4},
                                                                     {78, 28},
                                                                     {84, 24.6},
                                                                     {90, 21},
                                                                     {101, 17.5}},
                                                     12);
    for (std::size_t k = 0; k + 1 < line.size(); ++k)
        if (x <= line[k + 1].x) return line[k].y + (line[k + 1].y - line[k].y) * clamp01((x - line[k].x) / (line[k + 1].x - line[k].x));
    return 12;
}

/// Broken stone: every block of a cellular pattern is a leaning plane, with open joints between.
double stone(V2 p, double size, int seed) {
    // Beds leaning to the left, blocks longer than high.
    const V2 r{p.x * 0.93 + p.y * 0.36, -p.x * 0.36 + p.y * 0.93};
    const V2 q{r.x / (size * 1.45) + 0.32 * fractal(p * (0.45 / size), 3, seed + 3),
               r.y / (size * 0.72) + 0.25 * fractal(p * (0.6 / size), 3, seed + 6)};
    const Cell cell = cell_at(q, seed);
    const V2 in = q - cell.centre;
    const double lean_x = chance(cell.i, cell.j, seed + 1) - 0.5, lean_y = chance(cell.i, cell.j, seed + 2) - 0.15;
    const double lift = chance(cell.i, cell.j, seed + 4) - 0.5;
    const double joint = 0.35 + 0.9 * chance(cell.i, cell.j, seed + 5);
    return 2.0 * lift + 2.2 * (lean_x * in.x - lean_y * in.y) - joint * (1 - step(0, 0.12, cell.border));
}

/// Nearest place on the steps cut into the rock, from the landing up to the door.
struct OnSteps {
    double aside = 1e9, along = 0;
};

OnSteps on_steps(V2 p) {
    static const std::vector<V2> way =
        smooth_curve(std::vector<V2>{{73, 7}, {69.5, 12}, {72.2, 17}, {66.4, 21.5}, {67.2, 26}, {64.0, 31.2}}, 16);
    OnSteps best;
    double run = 0;
    for (std::size_t k = 0; k + 1 < way.size(); ++k) {
        const V2 ab = way[k + 1] - way[k];
        const double t = clamp01(dot(p - way[k], ab) / dot(ab, ab)), d = length(p - way[k] - ab * t);
        if (d < best.aside) best = {d, run + t * length(ab)};
        run += length(ab);
    }
    return best;
}

Hit look_headland(V2 p) {
    const double jag = 0.9 * fractal({p.x * 0.55, p.y * 0.3}, 4, 51) * step(33, 45, std::abs(p.x - 57) + 22);
    const double below = headland_top(p.x) + jag - p.y;
    if (below < 0) return {};
    const double slope = 15.5 + 4.5 * std::sqrt(clamp01(below / 14)) + 3.5 * clamp01(below / 22);
    const OnSteps steps = on_steps(p);
    const double half = 1.9 - 0.022 * steps.along;
    if (steps.aside < half) {
        const double tread = steps.along / 1.5 - std::floor(steps.along / 1.5);
        return {slope + 2.4 - 1.9 * tread * step(0, 0.12, tread), Stuff::path};
    }
    // Turf on top, thinning downwards.
    const double turf = below - 2.0 - 1.5 * fractal(p * 0.33, 3, 57) - 2.2 * step(80, 60, p.x) * step(46, 58, p.x);
    if (turf < 0) return {slope + 2.6 * step(0, 2.2, below) + 0.55 * fractal({p.x * 1.5, p.y * 1.1}, 4, 58), Stuff::grass};
    const double rough = stone(p, 4.4, 61) * 1.55 + stone({p.x + 3, p.y - 1}, 1.9, 65) * 0.45 + 0.5 * fractal(p * 1.1, 4, 69) +
                         3.4 * fractal(p * 0.16, 2, 73);
    return {slope + 1.2 + rough * step(0, 1.5, turf) * step(-0.2, 0.9, steps.aside - half + 0.2), Stuff::rock};
}

/// A rock of its own standing in the water.
Hit look_skerry(V2 p, V2 at, V2 half, double z, int seed) {
    const V2 d{(p.x - at.x) / half.x, (p.y - at.y) / half.y};
    const double edge = 1 - length(d) + 0.22 * fractal(p * 0.4, 4, seed);
    if (edge < 0) return {};
    return {z + 4.5 * std::sqrt(clamp01(edge)) + 1.5 * stone(p, 3.4, seed + 4) * step(0, 0.3, edge) + 0.4 * fractal(p * 1.2, 3, seed + 9),
            Stuff::rock};
}

constexpr double tower_z = 18;

/// The tower was drawn 3 mm taller than it stands.
double drawn_y(double y) { return 31 + (y - 31) * 28 / 25; }

double tower_radius(double y) {
    const double t = clamp01((y - 30) / 29);
    return 6.2 - 2.75 * std::pow(t, 0.72);
}

Hit look_tower(V2 p) {
    p.y = drawn_y(p.y);
    const V3 axis{66, 0, tower_z};
    const auto centred = [&](V3 q) { return V3{q.x - axis.x, q.y, q.z - axis.z}; };
    Stuff stuff = Stuff::tower;
    const auto solid = [&](V3 point) {
        const V3 q = centred(point);
        const double r = std::hypot(q.x, q.z);
        // Rings where the bands meet stand out a little.
        double wall = tower_radius(q.y);
        for (const double y : {37.2, 43.2, 49.2, 54.6}) wall += 0.55 * std::exp(-std::pow((q.y - y) / 0.42, 2));
        wall += 0.9 * step(33.2, 31.5, q.y);
        double tower = std::max((r - wall) * 0.97, q.y - 59);
        // Windows: a raised surround and a deep opening with a round head.
        const auto opening = [&](double x, double y, double half_w, double half_h, double round_head) {
            const double dx = std::abs(q.x - x) - half_w, dy = std::abs(q.y - y) - half_h;
            const double head = q.y > y + half_h - half_w ? std::hypot(q.x - x, q.y - (y + half_h - half_w)) - half_w : dx;
            return round_head > 0 ? std::max(head, std::max(dx, dy)) : std::max(dx, dy);
        };
        const auto cut = [&](double x, double y, double half_w, double half_h, double deep) {
            const double frame = std::max({opening(x, y, half_w + 0.62, half_h + 0.62, 1), r - wall - 0.65, -q.z});
            tower = std::min(tower, frame);
            const double hole = std::max(opening(x, y, half_w, half_h, 1), wall - deep - r);
            tower = std::max(tower, -hole);
        };
        cut(-0.6, 40.2, 0.78, 1.25, 1.9);
        cut(0.7, 46.2, 0.74, 1.15, 1.9);
        cut(-0.4, 52.0, 0.70, 1.05, 1.9);
        cut(-2.0, 33.9, 1.25, 2.1, 1.7);
        // Corbel and gallery.
        const double t = clamp01((q.y - 56.6) / 2.6);
        const double flare = tower_radius(57) + 2.0 * t * t;
        const double corbel = std::max((r - flare) * 0.75, std::abs(q.y - 57.9) - 1.3);
        return std::min(tower, corbel);
    };
    const double z = march(solid, p, tower_z + 8, tower_z - 1);
    if (z == nothing) return {};
    const double dy = p.y - 33.9;
    if (std::abs(p.x - 64.0) < 1.3 && std::abs(dy) < 2.1 && z < tower_z + tower_radius(p.y) - 1.0) stuff = Stuff::door;
    for (const V2 w : {V2{65.4, 40.2}, V2{66.7, 46.2}, V2{65.6, 52.0}})
        if (std::abs(p.x - w.x) < 0.8 && std::abs(p.y - w.y) < 1.3 && z < tower_z + tower_radius(p.y) - 1.0) stuff = Stuff::pane;
    return {z, stuff};
}

Hit look_lantern(V2 p) {
    p.y += 3;
    const V3 axis{66, 0, tower_z};
    const auto deck = [&](V3 q) {
        q.x -= axis.x;
        q.z -= axis.z;
        return column(q, 5.6, 58.8, 59.9);
    };
    // A parapet behind the railing: no slit that a bit cannot enter.
    const auto parapet = [&](V3 q) {
        q.x -= axis.x;
        q.z -= axis.z;
        return column(q, 4.7, 59.9, 62.1);
    };
    const auto railing = [&](V3 q) {
        q.x -= axis.x;
        q.z -= axis.z;
        const double r = std::hypot(q.x, q.z);
        const double top = std::hypot(r - 5.2, q.y - 62.3) - 0.40;
        const double angle = std::atan2(q.x, q.z), pitch = 3.14159265358979 / 7;
        const double near = angle - pitch * std::round(angle / pitch);
        const double post = std::max(std::hypot(5.2 * near, r - 5.2) - 0.36, std::abs(q.y - 61) - 1.3);
        return std::min(top, post) * 0.8;
    };
    const auto glass = [&](V3 q) {
        q.x -= axis.x;
        q.z -= axis.z;
        const double r = std::hypot(q.x, q.z);
        const double body = column(q, 2.75, 60.5, 65.2);
        const double angle = std::atan2(q.x, q.z), pitch = 3.14159265358979 / 4;
        const double near = angle - pitch * (std::floor(angle / pitch) + 0.5);
        const double bars = std::max({std::abs(2.75 * near) - 0.36, r - 3.25, std::abs(q.y - 62.9) - 2.4});
        const double sill = std::min(column(q, 3.35, 60.3, 61.0), column(q, 3.35, 64.8, 65.4));
        return std::min({body, bars * 0.9, sill});
    };
    const auto dome = [&](V3 q) {
        q.x -= axis.x;
        q.z -= axis.z;
        const double r = std::hypot(q.x, q.z);
        const double eaves = column(q, 4.0, 65.3, 66.0);
        const double angle = std::atan2(q.x, q.z), ribs = 0.10 * std::pow(std::cos(angle * 4), 8.0);
        const double rise = clamp01((q.y - 65.6) / 3.0);
        const double shell = std::max({(r - (3.7 + ribs * 2) * std::sqrt(std::max(0.0, 1 - rise * rise))) * 0.6, 65.6 - q.y, q.y - 68.6});
        const double ball = std::sqrt(q.x * q.x + (q.y - 69.0) * (q.y - 69.0) + q.z * q.z) - 0.85;
        return std::min({eaves, shell, ball});
    };
    Hit best;
    const auto meet = [&](const auto& solid, Stuff stuff) {
        const double z = march(solid, p, tower_z + 8, tower_z - 0.2);
        if (z > best.z) best = {z, stuff};
    };
    if (p.y < 63) meet(railing, Stuff::gallery);
    if (p.y < 61.2) meet(deck, Stuff::gallery);
    if (p.y > 59.5 && p.y < 62.3) meet(parapet, Stuff::tower);
    if (p.y > 60 && p.y < 65.6) meet(glass, Stuff::glass);
    if (p.y > 65) meet(dome, Stuff::dome);
    return best;
}

Hit look_cottage(V2 p) {
    // Turned a little to show the gable.
    const double turn = 0.42, c = std::cos(turn), s = std::sin(turn);
    const V3 at{49.6, 32.2, 19.5};
    const double half_long = 6.3, half_deep = 3.5, eaves = 2.9, ridge = 6.6;
    const auto own = [&](V3 q) {
        const double x = q.x - at.x, z = q.z - at.z;
        return V3{x * c - z * s, q.y - at.y, x * s + z * c};
    };
    Stuff stuff = Stuff::wall;
    const auto windows = [&](V3 q) {
        double hole = 1e9;
        for (const double x : {-3.9, 3.9}) hole = std::min(hole, box({q.x - x, q.y - 0.75, q.z - half_deep}, {1.25, 1.3, 1.1}));
        return std::min(hole, box({q.x + half_long, q.y - 0.75, q.z}, {1.1, 1.3, 1.1}));
    };
    const auto door = [&](V3 q) { return box({q.x - 0.1, q.y + 0.55, q.z - half_deep}, {1.1, 2.1, 1.0}); };
    const auto frames = [&](V3 q) {
        double bars = 1e9;
        for (const double x : {-3.9, 3.9}) {
            bars = std::min(bars, box({q.x - x, q.y - 0.75, q.z - half_deep + 0.5}, {0.24, 1.4, 0.5}));
            bars = std::min(bars, box({q.x - x, q.y + 0.75, q.z - half_deep - 0.25}, {1.8, 0.30, 0.6}));
        }
        return bars;
    };
    const auto walls = [&](V3 q) {
        const double gable = std::max(box({q.x, q.y - 0.5, q.z}, {half_long, 6.4, half_deep}),
                                      (q.y - ridge + (ridge - eaves) / half_deep * std::abs(q.z)) * 0.69);
        return std::min(std::max({gable, -windows(q), -door(q)}), frames(q));
    };
    const auto roof = [&](V3 q) {
        const double lean = (ridge - eaves) / half_deep, norm = 1 / std::sqrt(1 + lean * lean);
        const double over = (q.y - (ridge + 0.55) + lean * std::abs(q.z)) * norm;
        // Courses of slate.
        const double run = std::abs(q.z) / norm / 1.15, course = run - std::floor(run);
        const double joint = std::abs(std::fmod(std::abs(q.x) + (static_cast<int>(std::floor(run)) % 2) * 0.8 + 40, 1.6) - 0.8);
        const double slates = 0.42 * course - 0.16 * step(0.16, 0.04, joint);
        return std::max({over - slates, -(over + 1.0), std::abs(q.x) - half_long - 0.55, std::abs(q.z) - half_deep - 0.75}) * 0.8;
    };
    const auto chimney = [&](V3 q) {
        const double stack = box({q.x - 4.2, q.y - 7.2, q.z}, {0.95, 2.0, 0.95}, 0.05);
        const double cap = box({q.x - 4.2, q.y - 9.1, q.z}, {1.25, 0.36, 1.25}, 0.05);
        return std::min(stack, cap);
    };
    Hit best;
    const auto meet = [&](const auto& solid, Stuff what) {
        const double z = march([&](V3 q) { return solid(own(q)); }, p, at.z + 9, at.z - 9);
        if (z > best.z) best = {z, what};
    };
    meet(walls, stuff);
    if (best.z > nothing) {
        const V3 q = own({p.x, p.y, best.z + 0.02});
        if (std::abs(q.x - 0.1) < 1.1 && q.y < 1.6 && q.z < half_deep - 0.5 && q.z > half_deep - 1.2)
            best.stuff = Stuff::door;
        else if (frames(own({p.x, p.y, best.z})) > 0.02 && windows(own({p.x, p.y, best.z + 0.2})) < -0.05)
            best.stuff = Stuff::pane;
    }
    meet(roof, Stuff::roof);
    meet(chimney, Stuff::wall);
    return best;
}

/// A gaff cutter close-hauled.
Hit look_boat(V2 p) {
    const V2 at{21.5, 20.5};
    const double z = 14.5;
    const V2 d = p - at;
    Hit best;
    const auto put = [&](double height, Stuff stuff) {
        if (height > best.z) best = {height, stuff};
    };
    const auto sheet = [&](const std::vector<V2>& corners, double belly, double lift, double seam_lean) {
        if (polygon(d, corners) > 0) return;
        double inside = 1e9;
        for (std::size_t k = 0, last = corners.size() - 1; k < corners.size(); last = k++) {
            const V2 side = corners[k] - corners[last], off = d - corners[last];
            inside = smin(inside, std::abs(side.x * off.y - side.y * off.x) / length(side), 2.5);
        }
        const double seam = std::abs(std::fmod(d.y + seam_lean * d.x + 60, 2.1) - 1.05);
        put(z + lift + belly * std::sqrt(clamp01((inside + 0.3) / 3.4)) - 0.55 * step(0.2, 0.02, seam) * step(0.1, 0.6, inside),
            Stuff::sail);
    };
    sheet({{-0.4, 3.0}, {-8.8, 2.8}, {-7.4, 10.8}, {-5.4, 17.8}, {-0.4, 13.4}}, 2.8, 0.2, 0.1);
    sheet({{-0.4, 14.0}, {-4.6, 18.2}, {-0.3, 20.6}}, 1.3, 0.1, 0.3);
    sheet({{0.7, 18.0}, {0.9, 4.2}, {5.9, 3.1}}, 2.2, 0.9, -0.3);
    sheet({{0.8, 17.6}, {4.6, 3.4}, {9.6, 2.7}}, 1.9, -0.6, -0.3);
    const double spars = std::min({tapered(d, {0, 0}, {0, 21.4}, 0.62, 0.45), tapered(d, {-0.2, 2.4}, {-9.1, 2.3}, 0.5, 0.42),
                                   tapered(d, {-0.2, 13.4}, {-5.7, 18.4}, 0.45, 0.40), tapered(d, {4.5, 2.0}, {10.4, 2.9}, 0.5, 0.40)});
    if (spars < 0) put(z + 1.4 + 0.9 * std::sqrt(clamp01(-spars / 0.5)), Stuff::spar);
    const double pennant = polygon(d, std::vector<V2>{{0.2, 21.6}, {0.2, 20.2}, {-3.4, 20.5}});
    if (pennant < 0) put(z + 1.0 + 0.3 * std::sin(d.x * 2.2), Stuff::hull);
    // Hull: sheer line above, water below.
    const double sheer = 0.9 + 0.020 * d.x * d.x * (d.x > 0 ? 0.75 : 0.5), keel = -1.9;
    const double bow = 7.2 - 0.55 * std::max(0.0, sheer - d.y), stern = -8.6 + 0.25 * std::max(0.0, sheer - d.y);
    if (d.y < sheer && d.y > keel && d.x < bow && d.x > stern) {
        const double end = std::min(bow - d.x, d.x - stern);
        const double rail = step(0.55, 0.25, sheer - d.y) * 0.7, strake = 0.35 * step(0.22, 0.05, std::abs(sheer - d.y - 1.2));
        put(z + 1.0 + 3.4 * std::sqrt(clamp01(end / 8)) - 0.5 * std::pow(clamp01((sheer - d.y) / 3), 2) + rail - strake, Stuff::hull);
    }
    return best;
}

/// Rounded rectangle with a rope laid round it.
Hit look_frame(V2 p) {
    const double inset = 3.7, corner = 7.5, rope = 2.35;
    const V2 half{scene_width / 2 - inset, scene_height / 2 - inset};
    const V2 d = p - V2{scene_width / 2, scene_height / 2};
    const V2 q{std::abs(d.x) - half.x + corner, std::abs(d.y) - half.y + corner};
    const double off = std::hypot(std::max(q.x, 0.0), std::max(q.y, 0.0)) + std::min(std::max(q.x, q.y), 0.0) - corner;
    if (off < -rope) return {};
    const double top = 30;
    const double edge = std::max(std::abs(d.x) - scene_width / 2, std::abs(d.y) - scene_height / 2);
    // The flat rim, and a cove between it and the rope.
    double z = off > rope * 0.72 ? top - 3.2 * step(1.5, 0.0, off - rope * 0.72) : nothing;
    if (edge > -0.9) z = top;
    if (off < rope) {
        // Way along the rope, corners by their arc, so that the lay closes; whole number of turns.
        const double straight_x = half.x - corner, straight_y = half.y - corner, arc = corner * 3.14159265358979 / 2;
        double way = 0;
        if (q.x > 0 && q.y > 0)
            way = straight_y + corner * std::atan2(q.y, q.x);
        else if (q.y > q.x)
            way = straight_y + arc + (straight_x - std::abs(d.x));
        else
            way = std::abs(d.y);
        const double quarter = straight_x + straight_y + arc;
        const bool flip = (d.x < 0) != (d.y < 0);
        if (flip) way = -way;
        if (d.x < 0) way += 2 * quarter;
        const double turns = 44, round = 4 * quarter;
        const double lay = (way / round) * turns * 2 * 3.14159265358979;
        const double across = std::asin(std::clamp(off / rope, -1.0, 1.0));
        const double twist = std::cos(lay / 2 - across * 1.15);
        const double strand = std::sqrt(std::abs(twist));
        const double body = std::sqrt(std::max(0.0, 1 - off * off / (rope * rope)));
        z = std::max(z, top - 4.2 + 2.6 * body + 1.6 * strand * std::sqrt(body));
    }
    return {z, Stuff::frame};
}

}  // namespace

std::vector<Part> diorama() {
    std::vector<Part> parts;
    const V2 all{scene_width, scene_height};
    parts.push_back({{0, 0}, all, look_sky});
    parts.push_back({{0, 20}, {50, 36}, look_hill});
    parts.push_back({{0, 0}, {100, 26.1}, look_sea});
    parts.push_back({{28, 0}, {100, 36}, look_headland});
    parts.push_back({{56, 30}, {76, 60}, look_tower});
    parts.push_back({{59, 55}, {73, 67.5}, look_lantern});
    parts.push_back({{38, 26}, {60, 43}, look_cottage});
    parts.push_back({{9, 17}, {34, 43}, look_boat});
    const auto gull = [&](V2 at, double size, double bank, double z) {
        parts.push_back(
            {at - V2{size * 1.2, size * 0.7}, at + V2{size * 1.2, size * 0.7}, [=](V2 p) { return look_gull(p, at, size, bank, z); }});
    };
    gull({31, 56.5}, 10.5, 0.16, 3.4);
    gull({15.5, 61.5}, 6.6, -0.10, 2.6);
    gull({86, 62.5}, 6.4, 0.05, 2.6);
    const auto skerry = [&](V2 at, V2 half, double z, int seed) {
        parts.push_back({at - half * 1.4, at + half * 1.4, [=](V2 p) { return look_skerry(p, at, half, z, seed); }});
    };
    skerry({13, 7.5}, {7.5, 3.8}, 22.0, 201);
    skerry({38, 11}, {4.2, 2.2}, 18.5, 221);
    skerry({84, 9}, {10, 4.6}, 22.0, 241);
    parts.push_back({{0, 0}, all, look_frame});
    return parts;
}

}  // namespace paint
