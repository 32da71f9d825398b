#include "pen.hpp"

#include <algorithm>
#include <cmath>

namespace burin {
namespace {

constexpr std::size_t block = std::size_t{1} << 17;  ///< moves

}  // namespace

void Pen::pass(std::string what, double z) {
    if (!passes_.empty() && passes_.back().first == count_) passes_.pop_back();
    passes_.push_back({count_, z, std::move(what)});
}

void Pen::use(const Frame& frame) {
    const Point job = frame_.to_job(flat(at_)), here = frame.from_job(job);
    frame_ = frame;
    at_ = {here.x, here.y, at_.z};
}

void Pen::go(const Point3& p, MoveKind kind, double feed) {
    const bool across = flat(p) != flat(at_);
    const Point job = frame_.to_job(flat(p));
    const Point3 last = count_ == 0 ? Point3{} : blocks_.back().back().to;
    Move m;
    m.to = across ? Point3{job.x, job.y, p.z} : Point3{last.x, last.y, p.z};  // straight up and down to the last bit
    m.kind = kind;
    m.feed = static_cast<float>(feed);
    if (count_++ % block == 0) {
        blocks_.emplace_back();
        blocks_.back().reserve(block);
    }
    blocks_.back().push_back(m);
    at_ = p;
}

void Pen::rapid(const Point3& p) {
    if (started_ && distance(p, at_) < 1e-9) return;
    go(p, MoveKind::rapid, 0);
    started_ = true;
}

void Pen::hop(const Point& p, double travel_z, double z) {
    const double up = started_ ? std::max(travel_z, at_.z) : safe_;
    rapid({at_.x, at_.y, up});
    rapid({p.x, p.y, up});
    if (z < up) rapid({p.x, p.y, z});
}

void Pen::approach(const Point& p, double z) { hop(p, safe_, z); }

void Pen::cut(const Point3& p) {
    const double length = distance(at_, p), down = at_.z - p.z;
    if (length < 1e-9) return;
    go(p, MoveKind::feed, down > 0 ? std::floor(std::min(feed_, plunge_ * length / down)) : feed_);
}

Toolpath Pen::take() {
    Toolpath path;
    path.track.moves.reserve(count_);
    for (std::vector<Move>& moves : blocks_) {
        path.track.moves.insert(path.track.moves.end(), moves.begin(), moves.end());
        std::vector<Move>().swap(moves);
    }
    blocks_.clear();
    count_ = 0;
    path.passes = std::move(passes_);
    return path;
}

void Pen::retract() {
    if (started_) rapid({at_.x, at_.y, std::max(safe_, at_.z)});
}

double highest_near(const HeightMap& meets, const Point& p) {
    const int ci = static_cast<int>(std::floor((p.x - meets.origin().x) / meets.cell()));
    const int cj = static_cast<int>(std::floor((p.y - meets.origin().y) / meets.cell()));
    float top = -1e6F;
    for (int j = cj - 2; j <= cj + 2; ++j)
        for (int i = ci - 2; i <= ci + 2; ++i)
            if (meets.holds(i, j)) top = std::max(top, meets(i, j));
    return top > -1e5F ? std::min(0.0, static_cast<double>(top)) : 0.0;
}

void mark_way(HeightMap& reached, const Point& a, const Point& b, double z) {
    const int steps = static_cast<int>(distance(a, b) / (reached.cell() / 2)) + 1;
    for (int k = 0; k <= steps; ++k) {
        const double t = static_cast<double>(k) / steps;
        const int i = static_cast<int>(std::floor((a.x + (b.x - a.x) * t - reached.origin().x) / reached.cell()));
        const int j = static_cast<int>(std::floor((a.y + (b.y - a.y) * t - reached.origin().y) / reached.cell()));
        if (reached.holds(i, j)) reached(i, j) = std::min(reached(i, j), static_cast<float>(z));
    }
}

}  // namespace burin
