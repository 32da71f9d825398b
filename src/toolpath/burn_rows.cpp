/// Rows of a beam become moves.
///
/// The head is heavy and must be at its speed before the beam is lit, or the ends of rows come out dark: so each row begins with
/// a dark way of v²/(2a) and ends with one (kinematics). Where nothing is to be burnt for long, a rapid is quicker; it needs both again,
/// and as it goes straight on, the controller passes from feed to rapid without stopping. Dark is said, by S 0 on a feed move, before every
/// rapid. Cost: the runs, each a move.
#include "burin/toolpath/burn_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "burin/base/error.hpp"

namespace burin {
namespace {

/// Rounding to thousandths must not make a run-up too short.
constexpr double rounding = 0.002;
/// A rapid is three lines more, and saves nothing where it is short.
constexpr double least_rapid = 2;

double along(const std::array<double, 3>& limits, double angle) {
    const double c = std::abs(std::cos(angle)), s = std::abs(std::sin(angle));
    double least = std::numeric_limits<double>::infinity();
    if (c > 1e-9) least = std::min(least, limits[0] / c);
    if (s > 1e-9) least = std::min(least, limits[1] / s);
    return least;
}

void check_runs(const BurnRow& row) {
    double last = -std::numeric_limits<double>::infinity();
    for (const BurnRun& run : row.runs) {
        if (!(run.from >= last - 1e-9 && run.to > run.from && run.power > 0))
            throw Error(Fault::usage, fmt::format("The runs of the row at Y{:.3f} overlap, are empty or dark.", row.y));
        last = run.to;
    }
}

/// Emits the moves of one row; positions in the rows' frame.
class RowWriter {
public:
    RowWriter(Toolpath& path, const BurnRowsOrder& order)
        : path_(path), order_(order), c_(std::cos(order.angle)), s_(std::sin(order.angle)), run_up_(order.run_up + rounding) {}

    void row(const BurnRow& row, bool back) {
        y_ = row.y;
        const double way = back ? -1 : 1, shift = back ? order_.line_up : 0;
        const std::size_t n = row.runs.size();
        double at = 0;
        for (std::size_t k = 0; k < n; ++k) {
            const BurnRun& run = row.runs[back ? n - 1 - k : k];
            const double from = (back ? run.to : run.from) + shift, to = (back ? run.from : run.to) + shift;
            if (k == 0) {
                rapid(from - way * run_up_);
                feed(from, 0);
            } else if (const double gap = (from - at) * way; gap > 2 * run_up_ + least_rapid && order_.rapid > 1.2 * order_.feed) {
                feed(at + way * run_up_, 0);
                rapid(from - way * run_up_);
                feed(from, 0);
            } else if (gap > 1e-9) {
                feed(from, 0);
            }
            feed(to, run.power);
            at = to;
        }
        feed(at + way * run_up_, 0);
    }

private:
    void add(double x, double feed, std::uint16_t power) {
        const double dx = x - order_.pivot.x, dy = y_ - order_.pivot.y;
        Move move;
        move.to = {order_.pivot.x + dx * c_ - dy * s_, order_.pivot.y + dx * s_ + dy * c_, order_.z};
        move.kind = feed > 0 ? MoveKind::feed : MoveKind::rapid;
        move.feed = static_cast<float>(feed);
        move.power = power;
        path_.track.moves.push_back(move);
    }
    void rapid(double x) { add(x, 0, 0); }
    void feed(double x, std::uint16_t power) { add(x, order_.feed, power); }

    Toolpath& path_;
    const BurnRowsOrder& order_;
    double c_, s_, run_up_, y_ = 0;
};

/// Lengths of the moves of a row in running order, the run-out as the last: it is dark, and long enough to stop in.
void lengths_of(const BurnRow& row, std::vector<double>& lengths, std::vector<bool>& lit) {
    lengths.clear(), lit.clear();
    for (std::size_t k = 0; k < row.runs.size(); ++k) {
        if (k > 0 && row.runs[k].from - row.runs[k - 1].to > 1e-9)
            lengths.push_back(row.runs[k].from - row.runs[k - 1].to), lit.push_back(false);
        lengths.push_back(row.runs[k].to - row.runs[k].from), lit.push_back(true);
    }
}

/// Least sum of `ahead` moves that begin with a lit one and do not reach the run-out; infinity: there is none.
double least_window(const std::vector<double>& lengths, const std::vector<bool>& lit, std::size_t ahead) {
    double least = std::numeric_limits<double>::infinity(), sum = 0;
    for (std::size_t k = 0; k < lengths.size(); ++k) {
        sum += lengths[k];
        if (k + 1 < ahead) continue;
        if (k >= ahead) sum -= lengths[k - ahead];
        if (lit[k + 1 - ahead]) least = std::min(least, sum);
    }
    return least;
}

}  // namespace

double run_up_for(double feed, double acceleration) {
    const double v = feed / 60;
    return v * v / (2 * acceleration);
}

double acceleration_along(const Machine& machine, double angle) { return along(machine.acceleration, angle); }
double rapid_along(const Machine& machine, double angle) { return along(machine.rapid, angle); }

void append_rows(Toolpath& path, const std::vector<BurnRow>& rows, const BurnRowsOrder& order, const Crew& crew) {
    RowWriter writer(path, order);
    bool back = false;
    std::size_t moves = 0;
    for (const BurnRow& row : rows) moves += row.runs.size() + 4;
    path.track.moves.reserve(path.track.moves.size() + moves);
    for (std::size_t k = 0; k < rows.size(); ++k) {
        if (k % 256 == 0) crew.check();
        if (rows[k].runs.empty()) continue;
        check_runs(rows[k]);
        writer.row(rows[k], back);
        back = !back && !order.one_way;
    }
}

double fastest_feed(const std::vector<BurnRow>& rows, const Machine& machine, double angle) {
    const double a = acceleration_along(machine, angle);
    double shortest = std::numeric_limits<double>::infinity(), window = shortest;
    std::vector<double> lengths;
    std::vector<bool> lit;
    for (const BurnRow& row : rows) {
        lengths_of(row, lengths, lit);
        for (const double l : lengths) shortest = std::min(shortest, l);
        window = std::min(window, least_window(lengths, lit, static_cast<std::size_t>(std::max(1, machine.planned_moves))));
        // The way back runs over the same moves from the other end.
        std::reverse(lengths.begin(), lengths.end());
        std::reverse(lit.begin(), lit.end());
        window = std::min(window, least_window(lengths, lit, static_cast<std::size_t>(std::max(1, machine.planned_moves))));
    }
    double v = std::sqrt(2 * a * window);
    if (machine.lines_per_s > 0) v = std::min(v, shortest * machine.lines_per_s);
    return 60 * v;
}

}  // namespace burin
