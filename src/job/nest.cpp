/// Pieces on boards. Packing by shelves; a piece's cuts are moved from its own work coordinates to the board's.
#include "nest.hpp"

#include <algorithm>
#include <numeric>
#include <set>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burin/workshop/stock.hpp"
#include "fmt/format.h"
#include "placing.hpp"

namespace burin {
namespace {

constexpr double slack = 1e-6;

struct Shelf {
    std::size_t board = 0;
    double low = 0, height = 0, filled = 0;
};

[[nodiscard]] Error usage(const std::string& sentence) { return {Fault::usage, sentence}; }

Box bounds_of(const Job& job) {
    const StockSize size = parse_stock(*job.stock);
    return stock_of(size, job.zero.value_or(usual_zero(size))).bounds;
}

/// Where a cut without `at` lies on its stock: in the middle, or leaning to where its anchor says.
Point usual_place(const Cut& cut, const Box& bounds) {
    const Point lean = to_anchor({bounds.width(), bounds.height()}, cut.anchor ? *anchor_named(*cut.anchor) : Anchor::centre);
    return {bounds.centre().x + lean.x, bounds.centre().y + lean.y};
}

/// Ids of a piece are its own; what was "ring" is "Ada ring".
std::string renamed(const std::string& piece, const std::string& id) { return fmt::format("{} {}", piece, id); }

std::string realigned(const std::string& piece, const std::string& wish) {
    const std::size_t first = wish.find(':'), second = wish.rfind(':');
    const std::string rest = second > first ? wish.substr(second) : "";
    return wish.substr(0, first + 1) + renamed(piece, parse_alignment(wish).of) + rest;
}

void put_cuts(const Piece& piece, const Point& lower_left, std::set<std::string>& ids, std::vector<Cut>& cuts) {
    const Box bounds = bounds_of(piece.job);
    const Point shift{lower_left.x - bounds.lo.x, lower_left.y - bounds.lo.y};
    for (Cut cut : piece.job.cuts) {
        const std::string id = renamed(piece.name, cut.id.value_or(cut.make));
        cut.id = id;
        for (int n = 2; !ids.insert(*cut.id).second; ++n) cut.id = fmt::format("{} {}", id, n);
        if (cut.align) {
            cut.align = realigned(piece.name, *cut.align);
        } else {
            const Point place = cut.at.value_or(usual_place(cut, bounds));
            cut.at = Point{place.x + shift.x, place.y + shift.y};
        }
        cuts.push_back(std::move(cut));
    }
}

/// What the machine is told once for the whole board.
bool agree(const Job& a, const Job& b) {
    const auto machine = [](const Job& job) { return job.machine_table ? job.machine_table->name : job.machine.value_or(""); };
    const auto material = [](const Job& job) { return job.material_table ? job.material_table->name : job.material.value_or(""); };
    return machine(a) == machine(b) && material(a) == material(b) && a.safe_height == b.safe_height && a.air == b.air && a.inch == b.inch &&
           a.one_file == b.one_file;
}

}  // namespace

std::vector<Spot> packed(const std::vector<Point>& sizes, const Point& board, double gap) {
    std::vector<std::size_t> order(sizes.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return sizes[a].y > sizes[b].y; });
    std::vector<Spot> spots(sizes.size(), Spot{no_board, {}});
    std::vector<Shelf> shelves;
    std::size_t boards = 0;
    double top = 0;  // of the last board's shelves
    for (const std::size_t k : order) {
        const Point& size = sizes[k];
        if (size.x + 2 * gap > board.x + slack || size.y + 2 * gap > board.y + slack) continue;
        auto shelf = std::find_if(shelves.begin(), shelves.end(), [&](const Shelf& one) {
            return size.y <= one.height + slack && one.filled + size.x + gap <= board.x + slack;
        });
        if (shelf == shelves.end()) {
            if (boards == 0 || top + size.y + gap > board.y + slack) {
                ++boards;
                top = gap;
            }
            shelves.push_back({boards - 1, top, size.y, gap});
            shelf = std::prev(shelves.end());
            top += size.y + gap;
        }
        spots[k] = {shelf->board, {shelf->filled, shelf->low}};
        shelf->filled += size.x + gap;
    }
    return spots;
}

Point piece_size(const Job& job, const std::string& board) {
    if (!job.stock) throw usage("Pieces on a board need their own size: write stock in the job file, as in stock = \"60x20x3\".");
    if (!job.keep_outs.empty())
        throw usage(
            "Clamps stand on a board and not on each of its pieces: take keep-out out of the job file, and write it into the board's.");
    if (job.trial) throw usage("A trial piece is made of one job alone: leave --nest out.");
    const StockSize size = parse_stock(*job.stock), whole = parse_stock(board);
    if (size.piece || whole.piece)
        throw usage("Boards and the pieces on them are rectangles, as in 240x150x3: a traced piece is made alone.");
    if (std::abs(size.thickness - whole.thickness) > slack)
        throw usage(fmt::format("A piece is {} mm thick and the board {} mm. Give both the thickness that you measured.",
                                number_text(size.thickness), number_text(whole.thickness)));
    return {size.width, size.height};
}

double least_gap(const Job& job, const std::vector<double>& widest_bits) {
    double least = 0;
    for (std::size_t k = 0; k < job.cuts.size(); ++k)
        if (job.cuts[k].make == "cutout") least = std::max(least, widest_bits[k] + 2 * job.cuts[k].allowance.value_or(0.3));
    return least;
}

Job board_job(const std::vector<Piece>& pieces, const std::vector<Point>& lower_left, const std::string& board, const std::string& name) {
    Job whole = pieces.front().job;
    whole.name = name;
    whole.stock = board;
    whole.zero = "lower-left";
    whole.cuts.clear();
    whole.reckoned.clear();
    std::set<std::string> ids;
    for (std::size_t k = 0; k < pieces.size(); ++k) {
        if (!agree(pieces.front().job, pieces[k].job))
            throw usage(
                fmt::format("{} and {} ask for another machine, material, safe height or kind of program, and one board has one of "
                            "each.",
                            pieces.front().name, pieces[k].name));
        put_cuts(pieces[k], lower_left[k], ids, whole.cuts);
    }
    return whole;
}

}  // namespace burin
