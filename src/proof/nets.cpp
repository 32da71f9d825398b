// A board's copper against its artwork. On the model of the stock, copper is what stands above the layer's underside: any of it conducts,
// so shorts are looked for in all that is left, breaks and widths in what the bit has not touched at all.
//
// - No short: no piece of copper left (cells that share a corner count as joined) holds two of the artwork's pieces, and none that
//   holds one goes on to copper that lies beyond the groove.
// - No break: what is left of each piece hangs together (sideways and up and down alone).
// - Tracks keep their width: no place that was cut lies deeper inside the artwork than its slack, by exact distances.
#include "nets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "burin/shape/edge_distance.hpp"
#include "copper.hpp"
#include "promises.hpp"
#include "removal.hpp"

namespace burin::proving {
namespace {

constexpr double touched = 0.002;     // mm below the top: the bit was there
constexpr double least_piece = 0.01;  // mm²: crumbs of a piece that carry nothing
constexpr std::size_t most_told = 3;

struct Flaw {
    Point at;
    std::string sentence;
};

BoardCells board_of(const FigureCase& c) {
    BoardCells board{*c.figure.board, c.crew, figures_on(c.figure.board->copper, c.surface), c.surface.like<std::int32_t>(0),
                     c.surface.like<std::int32_t>(0)};
    const float under = static_cast<float>(-board.design.layer) + 1e-4F;
    for (int j = 0; j < c.surface.height(); ++j) {
        for (const auto& [from, to] : stock_columns(c.surface, c.task.stock, j))
            for (int i = from; i < to; ++i) {
                board.left(i, j) = c.surface(i, j) > under ? 1 : 0;
                board.whole(i, j) = c.surface(i, j) > -static_cast<float>(touched) ? board.art(i, j) : 0;
            }
    }
    return board;
}

std::string at_words(const Point& p) { return fmt::format("X{:.2f} Y{:.2f}", p.x, p.y); }

/// Pieces that hang together though the artwork parts them.
std::vector<Flaw> shorts_of(const BoardCells& board, const Cells& joined, const BoardWords& words) {
    std::vector<Flaw> faults;
    std::map<std::int32_t, std::int32_t> first_of;  // piece of copper left → piece of the artwork
    std::vector<std::pair<std::int32_t, std::int32_t>> pairs;
    const auto art = board.art.values(), copper = joined.values();
    for (std::size_t n = 0; n < art.size(); ++n) {
        if (art[n] <= 0 || copper[n] <= 0) continue;
        const auto [entry, fresh] = first_of.emplace(copper[n], art[n]);
        const std::pair pair(std::min(entry->second, art[n]), std::max(entry->second, art[n]));
        if (!fresh && pair.first != pair.second && std::find(pairs.begin(), pairs.end(), pair) == pairs.end()) pairs.push_back(pair);
    }
    for (const auto& pair : pairs) {
        const std::int32_t a = pair.first, b = pair.second;
        Point at;
        if (faults.size() < most_told) {
            const auto is = [&](std::int32_t piece) {
                return [&art, piece](std::int32_t n) { return art[static_cast<std::size_t>(n)] == piece; };
            };
            at = middle_of_way(board.art, is(a), is(b), [&](std::int32_t n) {
                     return copper[static_cast<std::size_t>(n)] > 0;
                 }).value_or(Point{});
        }
        faults.push_back({at, fmt::format("{} at {}", words.joined, at_words(at))});
    }
    return faults;
}

/// Pieces that go on beyond their groove into copper that belongs to nobody.
void add_unparted(const BoardCells& board, const Cells& joined, const Cells& nearest, const BoardWords& words, std::vector<Flaw>& faults) {
    const auto art = board.art.values(), copper = joined.values(), near = nearest.values();
    std::map<std::int32_t, bool> holds_art;
    for (std::size_t n = 0; n < art.size(); ++n)
        if (art[n] > 0 && copper[n] > 0) holds_art[copper[n]] = true;
    const double beyond = board.design.groove / board.art.cell() + 2;
    const auto far = [&](std::int32_t n) {
        const auto k = static_cast<std::size_t>(n);
        return near[k] >= 0 && apart(board.art, n, near[k]) > beyond;
    };
    std::vector<std::int32_t> told;
    for (std::size_t n = 0; n < art.size(); ++n) {
        const std::int32_t piece = copper[n];
        if (piece <= 0 || art[n] > 0 || !holds_art.count(piece) || std::find(told.begin(), told.end(), piece) != told.end()) continue;
        if (!far(static_cast<std::int32_t>(n))) continue;
        told.push_back(piece);
        Point at = board.art.centre(static_cast<int>(n) % board.art.width(), static_cast<int>(n) / board.art.width());
        if (faults.size() < most_told) {
            const auto within = [&](std::int32_t k) { return copper[static_cast<std::size_t>(k)] == piece; };
            at = middle_of_way(
                     board.art, [&](std::int32_t k) { return within(k) && art[static_cast<std::size_t>(k)] > 0; },
                     [&](std::int32_t k) { return within(k) && far(k); }, within)
                     .value_or(at);
        }
        faults.push_back({at, fmt::format("{} at {}", words.unparted, at_words(at))});
    }
}

/// Pieces that fell apart, or of which nothing is left.
std::vector<Flaw> breaks_of(const BoardCells& board, const BoardWords& words) {
    std::vector<std::size_t> sizes;
    const Cells parts = pieces_of(board.whole, false, sizes);
    const double cell = board.art.cell();
    const auto enough = static_cast<std::size_t>(std::ceil(least_piece / (cell * cell)));
    const auto art = board.art.values(), whole = parts.values();
    const std::size_t count = board.design.copper.figures().size();
    std::vector<std::vector<std::int32_t>> of_piece(count + 1);
    std::vector<bool> seen(sizes.size(), false);
    for (std::size_t n = 0; n < art.size(); ++n) {
        const auto part = static_cast<std::size_t>(whole[n]);
        if (part == 0 || seen[part] || sizes[part] < enough) continue;
        seen[part] = true;
        of_piece[static_cast<std::size_t>(art[n])].push_back(whole[n]);
    }
    std::vector<Flaw> faults;
    for (std::size_t piece = 1; piece <= count; ++piece) {
        const auto& left = of_piece[piece];
        if (left.size() == 1) continue;
        if (left.empty()) {
            const Point at = board.design.copper.figures()[piece - 1].outer.front();
            faults.push_back({at, fmt::format("{} at {}", words.gone, at_words(at))});
            continue;
        }
        Point at;
        if (faults.size() < most_told) {
            const auto in_art = [&](std::int32_t n) { return art[static_cast<std::size_t>(n)] == static_cast<std::int32_t>(piece); };
            const auto in_part = [&](std::int32_t n) { return whole[static_cast<std::size_t>(n)]; };
            at = middle_of_way(
                     board.art, [&](std::int32_t n) { return in_part(n) == left[0]; },
                     [&](std::int32_t n) {
                         return in_art(n) && in_part(n) > 0 && in_part(n) != left[0] &&
                                sizes[static_cast<std::size_t>(in_part(n))] >= enough;
                     },
                     in_art)
                     .value_or(Point{});
        }
        faults.push_back({at, fmt::format("{} in {} at {}", words.apart, left.size(), at_words(at))});
    }
    return faults;
}

/// How deep inside the artwork something was taken at worst; of what grows: how far outside it.
Peak lost_of(const BoardCells& board) {
    constexpr double reach = 0.5;
    const Grid<float> inside = edge_distance(board.design.copper, board.art.like<float>(0.0F), reach, board.crew);
    Peak peak;
    for (int j = 0; j < inside.height(); ++j)
        for (int i = 0; i < inside.width(); ++i) {
            const bool lost = board.grows ? board.art(i, j) == 0 && board.left(i, j) > 0 : board.art(i, j) > 0 && board.whole(i, j) == 0;
            const auto depth = static_cast<double>(inside(i, j));
            if (lost) peak.take(board.grows ? -depth : depth, inside.centre(i, j), 0);
        }
    return peak;
}

/// The narrowest gap between a piece of the artwork and other copper, by the nearest copper of cells on either side of a middle line.
void find_gap(const BoardCells& board, const Cells& joined, NetFigures& nets) {
    const Cells nearest = nearest_cells(joined, board.crew);
    std::map<std::int32_t, bool> holds_art;
    for (std::size_t n = 0; n < board.art.size(); ++n)
        if (board.art.values()[n] > 0 && joined.values()[n] > 0) holds_art[joined.values()[n]] = true;
    const auto piece_at = [&](std::int32_t n) { return joined.values()[static_cast<std::size_t>(n)]; };
    for (int j = 0; j + 1 < joined.height(); ++j)
        for (int i = 0; i + 1 < joined.width(); ++i)
            for (const std::int32_t other : {nearest(i + 1, j), nearest(i, j + 1)}) {
                const std::int32_t one = nearest(i, j);
                if (one < 0 || other < 0 || piece_at(one) == piece_at(other)) continue;
                if (!holds_art.count(piece_at(one)) && !holds_art.count(piece_at(other))) continue;
                const double gap = (apart(joined, one, other) - 1) * joined.cell();
                if (!nets.gap || gap < *nets.gap) nets.gap = gap, nets.gap_at = joined.centre(i, j);
            }
}

std::string capital(std::string text) {
    if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') text.front() = static_cast<char>(text.front() - 'a' + 'A');
    return text;
}

Check check_of(const char* name, std::string kept, const std::vector<Flaw>& faults, std::string_view mends) {
    Check check;
    check.name = name;
    check.ok = faults.empty();
    if (check.ok) {
        check.detail = std::move(kept);
        return check;
    }
    check.place = {faults.front().at.x, faults.front().at.y, 0};
    std::string text;
    for (std::size_t k = 0; k < std::min(most_told, faults.size()); ++k) text += (k > 0 ? "; " : "") + faults[k].sentence;
    text = capital(text);
    if (faults.size() > most_told) text += fmt::format("; and {} more", faults.size() - most_told);
    check.detail = fmt::format("{}. {}", text, mends);
    return check;
}

constexpr BoardWords milled{
    "no short",
    "no break",
    "tracks keep their width",
    "piece of copper",
    "pieces of copper",
    "gap",
    "track",
    "the copper",
    "two pieces of copper that the artwork parts stay joined",
    "a piece of copper is not parted from the copper round it",
    "nothing is left of the piece of copper",
    "a piece of copper is cut",
    "A groove is missing there or too shallow: do not cut these programs; have them made again, with a larger --depth where the groove "
    "does not get through the copper.",
    "A groove runs over it, or the track is thinner than what --squeeze may take: have the programs made again with a smaller one, or "
    "draw the track wider.",
    "Have the programs made again; do not cut these."};

Check width_check(const BoardCells& board, const BoardWords& words, const Peak& lost) {
    const Point at{lost.place.x, lost.place.y};
    std::vector<Flaw> thinner;
    if (lost.value > board.design.slack)
        thinner.push_back({at, fmt::format("{} loses {:.3f} mm at {}, and {:.3f} is allowed", words.loser, lost.value, at_words(at),
                                           board.design.slack)});
    return check_of(
        words.width,
        fmt::format("{} loses at most {:.3f} mm sideways ({:.3f} allowed).", capital(words.loser), lost.value, board.design.slack), thinner,
        words.mend_width);
}

}  // namespace

std::vector<Check> check_board(const BoardCells& board, const BoardWords& words, Proof& proof) {
    NetFigures nets;
    nets.pieces = board.design.copper.figures().size();
    std::vector<std::size_t> sizes;
    const Cells joined = pieces_of(board.left, true, sizes);
    std::vector<Flaw> shorts = shorts_of(board, joined, words);
    add_unparted(board, joined, nearest_cells(board.art, board.crew), words, shorts);
    const std::vector<Flaw> breaks = breaks_of(board, words);
    nets.shorts = shorts.size(), nets.breaks = breaks.size();
    const Peak lost = lost_of(board);
    nets.lost = lost.value;
    find_gap(board, joined, nets);
    if (const auto neck = narrowest_neck(board.whole, board.crew)) nets.track = neck->width, nets.track_at = neck->at;

    std::vector<Check> checks;
    const bool one = nets.pieces == 1;
    const char* pieces = one ? words.piece : words.pieces;
    const auto narrowest = [](const char* what, const std::optional<double>& width, const Point& at) {
        return width ? fmt::format("; the narrowest {} is {:.2f} mm, at {}", what, *width, at_words(at)) : std::string();
    };
    checks.push_back(check_of(words.no_short,
                              fmt::format("The {} {} {} parted from each other and from the rest{}.", nets.pieces, pieces,
                                          one ? "is" : "are", narrowest(words.gap, nets.gap, nets.gap_at)),
                              shorts, words.mend_short));
    checks.push_back(check_of(
        words.no_break, fmt::format("Each of the {} {} is whole{}.", nets.pieces, pieces, narrowest(words.neck, nets.track, nets.track_at)),
        breaks, words.mend_break));
    checks.push_back(width_check(board, words, lost));
    proof.nets = nets;
    return checks;
}

std::vector<Check> check_nets(const FigureCase& c, Proof& proof) { return check_board(board_of(c), milled, proof); }

}  // namespace burin::proving
