/// Layers of a board lie on one another by their own origin, so all of a job have one field; and holes are shared out among drills.
#include "board_field.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/design/board_file.hpp"
#include "burin/design/figure.hpp"
#include "burin/job/options.hpp"
#include "settle_parts.hpp"
#include "source.hpp"

namespace burin {
namespace {

constexpr double field_steps = 1e4;  // in a millimetre: corners of fields are written with so many decimals

struct Layer {
    std::size_t cut = 0;
    std::string name;
    Box box;
};

/// Whether a cut is made from a board's own file, and what the file draws.
std::optional<Layer> layer_of(const Cut& cut, std::size_t number) {
    if (!cut.picture) return {};
    const std::string name = std::filesystem::path(*cut.picture).filename().string();
    // A picture is not read whole for this.
    if (board_file_kind(read_head(*cut.picture, board_head_bytes), name) == BoardFileKind::none) return {};
    const Bytes bytes = read_file(*cut.picture, "picture", board_most_bytes);
    return Layer{number, name, read_board_file(text_of(bytes), name, drill_hints(cut), meant_as_edge(cut)).region.bounds()};
}

std::string words_of(const Layer& layer) {
    return fmt::format("'{}' from X{:.2f} Y{:.2f} to X{:.2f} Y{:.2f}", layer.name, layer.box.lo.x, layer.box.lo.y, layer.box.hi.x,
                       layer.box.hi.y);
}

void check_meet(const std::vector<Layer>& layers) {
    for (const Layer& layer : layers) {
        const auto other =
            std::find_if(layers.begin(), layers.end(), [&](const Layer& one) { return &one != &layer && !meet(one.box, layer.box); });
        const bool apart =
            std::none_of(layers.begin(), layers.end(), [&](const Layer& one) { return &one != &layer && meet(one.box, layer.box); });
        if (apart && other != layers.end())
            throw Error(Fault::refused,
                        fmt::format("The layers do not lie on one another: {}, and {}. Write all of them from one board with one origin; "
                                    "of a drill file, look at units and zeros (--drill-units, --drill-zeros, --drill-digits).",
                                    words_of(layer), words_of(*other)));
    }
}

double down(double mm) { return std::floor(mm * field_steps + 0.1) / field_steps; }
double up(double mm) { return std::ceil(mm * field_steps - 0.1) / field_steps; }

/// Whether a bit has holes to make, of those that its cut leaves it.
bool has_holes(const Cut& cut, const Bit& bit, const std::vector<HoleSize>& sizes) {
    return std::any_of(sizes.begin(), sizes.end(), [&](const HoleSize& size) {
        return size.width >= cut.hole_sizes->x && size.width <= cut.hole_sizes->y &&
               work_of(bit, size, cut.hole_slack.value_or(0.1)) != HoleWork::none;
    });
}

/// The bits of a cut that drills, the nearest to a hole's size getting it: bounds lie midway between sizes that follow each other. Bits
/// that have nothing to do are left out.
std::vector<Cut> drills_apart(const Cut& cut, const std::vector<Bit>& bits, const std::vector<HoleSize>& sizes) {
    std::vector<std::size_t> order(bits.size());
    for (std::size_t k = 0; k < order.size(); ++k) order[k] = k;
    const auto mills = [&](std::size_t k) { return bits[k].shape() == BitShape::flat; };
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return std::pair(mills(a), bits[a].diameter()) < std::pair(mills(b), bits[b].diameter());
    });
    std::vector<Cut> cuts;
    double least = 0;
    for (std::size_t k = 0; k < order.size(); ++k) {
        const double diameter = bits[order[k]].diameter();
        const bool last = k + 1 == order.size(), last_drill = !last && !mills(order[k]) && mills(order[k + 1]);
        const double most = last         ? 100
                            : last_drill ? diameter + cut.hole_slack.value_or(0.1)
                                         : rounded((diameter + bits[order[k + 1]].diameter()) / 2);
        Cut one = cut;
        one.bits = {cut.bits[order[k]]};
        one.hole_sizes = Point{least, most};
        least = most;
        if (!has_holes(one, bits[order[k]], sizes)) continue;
        if (!cuts.empty() && one.id) one.id = fmt::format("{} {}", *one.id, cuts.size() + 1);
        cuts.push_back(std::move(one));
    }
    return cuts.empty() ? std::vector<Cut>{cut} : cuts;
}

}  // namespace

bool meet(const Box& a, const Box& b) { return a.lo.x <= b.hi.x && b.lo.x <= a.hi.x && a.lo.y <= b.hi.y && b.lo.y <= a.hi.y; }

Box parse_field(std::string_view text) {
    const std::vector<double> numbers = parse_numbers(text);
    if (numbers.size() != 4 || !(numbers[0] < numbers[2] && numbers[1] < numbers[3]))
        throw Error(Fault::usage, "should be X0,Y0,X1,Y1: the lower left and the upper right corner, as in 0,0,40,30.");
    return {{numbers[0], numbers[1]}, {numbers[2], numbers[3]}};
}

DrillHints drill_hints(const Cut& cut) {
    DrillHints hints;
    if (cut.drill_units) hints.inch = *cut.drill_units == "inch";
    if (cut.drill_zeros) hints.leading_zeros_kept = *cut.drill_zeros == "leading";
    if (cut.drill_digits)
        hints.whole_digits = static_cast<int>(cut.drill_digits->x), hints.fraction_digits = static_cast<int>(cut.drill_digits->y);
    return hints;
}

bool meant_as_edge(const Cut& cut) { return cut.make == "cutout"; }

Job with_board_field(const Job& job) {
    std::vector<Layer> layers;
    for (std::size_t k = 0; k < job.cuts.size(); ++k)
        if (auto layer = layer_of(job.cuts[k], k)) layers.push_back(std::move(*layer));
    if (layers.empty()) return job;
    check_meet(layers);
    Box field = layers.front().box;
    for (const Layer& layer : layers) field = joined(field, layer.box);
    const std::string text = fmt::format("{},{},{},{}", number_text(down(field.lo.x)), number_text(down(field.lo.y)),
                                         number_text(up(field.hi.x)), number_text(up(field.hi.y)));
    Job out = job;
    for (const Layer& layer : layers) {
        Cut& cut = out.cuts[layer.cut];
        if (cut.board_field) continue;
        cut.board_field = text;
        cut.reckoned.emplace_back("board-field");
    }
    return out;
}

Job with_drills_apart(const Job& job, const PresetFolders& presets) {
    Job out = job;
    out.cuts.clear();
    for (const Cut& cut : job.cuts) {
        if (cut.make != "drill" || cut.bits.size() < 2) {
            out.cuts.push_back(cut);
            continue;
        }
        const Job one = one_cut(job, cut);
        const std::vector<HoleSize> sizes = hole_sizes(load_source(one, {}).drawing.region);
        for (Cut& part : drills_apart(cut, find_workshop(one, presets).bits, sizes)) out.cuts.push_back(std::move(part));
    }
    return out;
}

}  // namespace burin
