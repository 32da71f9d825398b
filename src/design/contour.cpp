/// Marching squares on rows of bits.
///
/// Each row of pixels becomes a row of bits (ink or paper, a border of paper around). Neighbouring bits that differ are
/// crossings; they are numbered row by row with a count of bits, so that rows can be worked on by themselves and the
/// numbers depend on the picture alone. Each cell between four pixels joins its crossings two and two: `next`
/// holds for each crossing the one that follows. Source and cost: see contour.hpp.
#include "contour.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/base/point.hpp"
#include "edge_place.hpp"

namespace burin {
namespace {

using Word = std::uint64_t;
constexpr int grain = 64;

/// Bit b of row r is pixel (b − 1, r − 1).
struct Bits {
    int columns = 0, rows = 0, words = 0;
    std::vector<Word> words_of;
    [[nodiscard]] const Word* row(int r) const { return words_of.data() + static_cast<std::size_t>(r) * static_cast<std::size_t>(words); }
    Word* row(int r) { return words_of.data() + static_cast<std::size_t>(r) * static_cast<std::size_t>(words); }
};

/// 64 values (or fewer) against the level.
Word word_of(const float* values, int n, float level) {
    Word word = 0;
    for (int k = 0; k < n; ++k) word |= static_cast<Word>(values[k] >= level) << k;
    return word;
}

Bits bits_of(const Grid<float>& field, float level, const Crew& crew) {
    Bits bits{field.width() + 2, field.height() + 2, (field.width() + 2 + 63) / 64, {}};
    bits.words_of.assign(static_cast<std::size_t>(bits.words) * static_cast<std::size_t>(bits.rows), 0);
    over_rows(crew, field.height(), grain, [&](int low, int high) {
        for (int j = low; j < high; ++j) {
            Word* out = bits.row(j + 1);
            Word carry = 0;  // one column of border shifts all by a bit
            for (int w = 0; w < bits.words; ++w) {
                const int n = std::clamp(field.width() - w * 64, 0, 64);
                const Word word = word_of(field.row(j) + std::min(w * 64, field.width()), n, level);
                out[w] = (word << 1) | carry;
                carry = word >> 63;
            }
        }
    });
    return bits;
}

/// Crossings between bits b and b + 1 of a row.
Word across(const Word* row, int w, int words) {
    const Word right = (row[w] >> 1) | (w + 1 < words ? row[w + 1] << 63 : 0);
    return row[w] ^ right;
}

/// First number of each row's crossings: those within rows come first, then those between rows r and r + 1.
struct Numbers {
    std::vector<std::size_t> within, between;
    std::size_t all = 0;
};

Numbers numbers_of(const Bits& bits, const Crew& crew) {
    Numbers n;
    n.within.assign(static_cast<std::size_t>(bits.rows) + 1, 0);
    n.between.assign(static_cast<std::size_t>(bits.rows) + 1, 0);
    over_rows(crew, bits.rows, grain, [&](int low, int high) {
        for (int r = low; r < high; ++r) {
            const auto at = static_cast<std::size_t>(r) + 1;
            for (int w = 0; w < bits.words; ++w) {
                n.within[at] += static_cast<std::size_t>(std::popcount(across(bits.row(r), w, bits.words)));
                if (r + 1 < bits.rows) n.between[at] += static_cast<std::size_t>(std::popcount(bits.row(r)[w] ^ bits.row(r + 1)[w]));
            }
        }
    });
    for (std::size_t r = 1; r < n.within.size(); ++r) n.within[r] += n.within[r - 1];
    n.between[0] = n.within.back();
    for (std::size_t r = 1; r < n.between.size(); ++r) n.between[r] += n.between[r - 1];
    n.all = n.between.back();
    return n;
}

struct Crossings {
    std::vector<std::uint32_t> next;
    std::vector<Point> at;
    std::vector<std::uint8_t> mark;
};

/// Where each crossing lies.
void place_row(const Grid<float>& field, float level, const Bits& bits, const Numbers& numbers, int r, Crossings& c) {
    std::size_t within = numbers.within[static_cast<std::size_t>(r)], between = numbers.between[static_cast<std::size_t>(r)];
    for (int w = 0; w < bits.words; ++w) {
        for (Word word = across(bits.row(r), w, bits.words); word; word &= word - 1) {
            const int b = w * 64 + std::countr_zero(word);
            const EdgePlace place = place_in_row(field, level, b - 1, r - 1);
            c.at[within] = {b - 0.5 + place.shift, r - 0.5};
            c.mark[within++] = place.mark;
        }
        if (r + 1 == bits.rows) continue;
        for (Word word = bits.row(r)[w] ^ bits.row(r + 1)[w]; word; word &= word - 1) {
            const int b = w * 64 + std::countr_zero(word);
            const EdgePlace place = place_in_column(field, level, b - 1, r - 1);
            c.at[between] = {b - 0.5, r - 0.5 + place.shift};
            c.mark[between++] = static_cast<std::uint8_t>(place.mark | on_column);
        }
    }
}

/// Joins the crossings of the cells between rows r and r + 1. Round a cell counter-clockwise, a line enters where ink is followed by
/// paper and leaves where paper is followed by ink: so the ink is on its left.
void link_row(const Grid<float>& field, float level, const Bits& bits, const Numbers& numbers, int r, Crossings& c) {
    const Word *low = bits.row(r), *high = bits.row(r + 1);
    std::size_t bottom = numbers.within[static_cast<std::size_t>(r)], top = numbers.within[static_cast<std::size_t>(r) + 1];
    std::size_t side = numbers.between[static_cast<std::size_t>(r)];
    bool left_differs = false;  // of the cell at hand: its left side has a crossing
    for (int w = 0; w < bits.words; ++w) {
        const Word below = across(low, w, bits.words), above = across(high, w, bits.words), sides = low[w] ^ high[w];
        const Word next_side = w + 1 < bits.words ? (low[w + 1] ^ high[w + 1]) << 63 : 0;
        const Word right_sides = (sides >> 1) | next_side;
        for (Word active = below | above | sides | right_sides; active; active &= active - 1) {
            const int bit = std::countr_zero(active);
            const auto on = [bit](Word word) { return ((word >> bit) & 1) != 0; };
            left_differs = on(sides);
            const bool b = on(below), t = on(above), right = on(right_sides);
            const bool ink = on(low[w]);  // lower left
            const std::size_t left_number = side, right_number = side + (left_differs ? 1 : 0);
            const auto link = [&](std::size_t from, std::size_t to) { c.next[from] = static_cast<std::uint32_t>(to); };
            if (b && t && left_differs && right) {
                const int i = w * 64 + bit - 1;
                const bool centre = mean_of_four(field, i, r - 1) >= level;
                if (ink == centre) {  // the lower left goes with the middle: the other two corners are cut off
                    ink ? (link(bottom, right_number), link(top, left_number)) : (link(right_number, bottom), link(left_number, top));
                } else {
                    ink ? (link(bottom, left_number), link(top, right_number)) : (link(left_number, bottom), link(right_number, top));
                }
            } else if (b || t || left_differs || right) {
                // Corners counter-clockwise from the lower left: each crossing flips.
                bool now = ink;
                std::size_t from = 0, to = 0;
                const auto pass = [&](bool differs, std::size_t number) {
                    if (!differs) return;
                    (now ? from : to) = number;
                    now = !now;
                };
                pass(b, bottom);
                pass(right, right_number);
                pass(t, top);
                pass(left_differs, left_number);
                link(from, to);
            }
            bottom += b;
            top += t;
            side += left_differs;
        }
    }
}

double shoelace(const Point* p, std::size_t n) {
    double sum = 0;
    for (std::size_t k = 0, before = n - 1; k < n; before = k++)
        sum += (p[before].x - p[0].x) * (p[k].y - p[0].y) - (p[before].y - p[0].y) * (p[k].x - p[0].x);
    return sum / 2;
}

/// Follows all lines, each from its lowest, leftmost crossing within a row. There the crossing before it in the same row tells what
/// lies around: its line, if the pixel between both is that line's inside; else that line's parent.
Contours followed(const Bits& bits, const Numbers& numbers, const Crossings& c) {
    Contours out;
    out.points.reserve(numbers.all);
    out.marks.reserve(numbers.all);
    std::vector<std::int32_t> line_of(numbers.all, -1);
    for (int r = 0; r < bits.rows; ++r) {
        const std::size_t begin = numbers.within[static_cast<std::size_t>(r)], end = numbers.within[static_cast<std::size_t>(r) + 1];
        for (std::size_t start = begin; start < end; ++start) {
            if (line_of[start] >= 0) continue;
            Outline line;
            line.first = out.points.size();
            const auto number = static_cast<std::int32_t>(out.outlines.size());
            std::size_t at = start;
            do {
                line_of[at] = number;
                out.points.push_back(c.at[at]);
                out.marks.push_back(c.mark[at]);
                at = c.next[at];
            } while (at != start);
            line.count = out.points.size() - line.first;
            line.area = shoelace(out.points.data() + line.first, line.count);
            line.hole = (start - begin) % 2 == 1;  // a row begins on paper, so every other crossing enters ink
            if (start > begin) {
                const std::int32_t beside = line_of[start - 1];
                const Outline& other = out.outlines[static_cast<std::size_t>(beside)];
                line.parent = other.hole == line.hole ? other.parent : beside;
            }
            out.outlines.push_back(line);
        }
    }
    return out;
}

}  // namespace

std::size_t crossings_of(const Grid<float>& field, float level, const Crew& crew) {
    return numbers_of(bits_of(field, level, crew), crew).all;
}

Contours contours_of(const Grid<float>& field, float level, const Crew& crew) {
    const Bits bits = bits_of(field, level, crew);
    const Numbers numbers = numbers_of(bits, crew);
    if (numbers.all > most_crossings)
        throw Error(
            Fault::refused,
            fmt::format("The picture changes between dark and light {} million times: that is grain or noise, not a drawing. Take a "
                        "smaller or a smoother picture; for a photo use relief.",
                        numbers.all / 1'000'000));
    Crossings c;
    c.next.resize(numbers.all);
    c.at.resize(numbers.all);
    c.mark.resize(numbers.all);
    over_rows(crew, bits.rows, grain, [&](int low, int high) {
        for (int r = low; r < high; ++r) {
            place_row(field, level, bits, numbers, r, c);
            if (r + 1 < bits.rows) link_row(field, level, bits, numbers, r, c);
        }
    });
    return followed(bits, numbers, c);
}

}  // namespace burin
