/// The rising curve nearest to measured tones: isotonic regression by pooling adjacent violators (Ayer, Brunk, Ewing, Reid, Silverman
/// 1955). Samples of one amount are one sample with their weights' sum. Cost: n log n.
#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/design/card_photo.hpp"

namespace burin {
namespace {

struct Block {
    double darkness = 0, weight = 0;
    std::size_t count = 0;  ///< of samples
};

std::vector<ToneSample> by_amount(std::vector<ToneSample> samples, double near) {
    std::erase_if(samples, [](const ToneSample& s) {
        return !std::isfinite(s.amount) || !std::isfinite(s.darkness) || !(s.weight > 0) || s.amount < 0;
    });
    std::stable_sort(samples.begin(), samples.end(), [](const ToneSample& a, const ToneSample& b) { return a.amount < b.amount; });
    std::vector<ToneSample> merged;
    double first = 0;  // of those that count as one
    for (const ToneSample& s : samples) {
        if (merged.empty() || s.amount > first * (1 + near) + 1e-12) {
            merged.push_back(s);
            first = s.amount;
            continue;
        }
        ToneSample& last = merged.back();
        last.darkness = (last.darkness * last.weight + s.darkness * s.weight) / (last.weight + s.weight);
        last.amount = (last.amount * last.weight + s.amount * s.weight) / (last.weight + s.weight);
        last.weight += s.weight;
    }
    return merged;
}

}  // namespace

ToneCurve rising_curve(std::vector<ToneSample> samples, double near) {
    const std::vector<ToneSample> merged = by_amount(std::move(samples), near);
    std::vector<Block> blocks;
    for (const ToneSample& s : merged) {
        blocks.push_back({s.darkness, s.weight, 1});
        while (blocks.size() > 1 && blocks[blocks.size() - 2].darkness > blocks.back().darkness) {
            const Block last = blocks.back();
            blocks.pop_back();
            Block& b = blocks.back();
            b.darkness = (b.darkness * b.weight + last.darkness * last.weight) / (b.weight + last.weight);
            b.weight += last.weight;
            b.count += last.count;
        }
    }
    ToneCurve curve;
    std::size_t k = 0;
    for (const Block& block : blocks)
        for (std::size_t n = 0; n < block.count; ++n, ++k) curve.points.push_back({merged[k].amount, std::clamp(block.darkness, 0.0, 1.0)});
    if (!curve.points.empty() && curve.points.front().x <= 0)
        curve.points.front() = {0, 0};  // bare is where darkness begins
    else
        curve.points.insert(curve.points.begin(), Point{0, 0});
    if (curve.points.size() < 2 || !(curve.points.back().y > 0))
        throw Error(Fault::refused, "The patches tell no tone: none of them is darker than the bare surface.");
    return curve;
}

}  // namespace burin
