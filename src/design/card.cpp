/// What lies where on a test card. Marks in the corners, the title between the upper ones, the checksum's dots between the lower ones;
/// between them rows of cells, all alike, with a patch or a ladder's groove each and its figures below.
/// The checksum is FNV-1a (Fowler, Noll, Vo) over all places in micrometres, folded to as many bits as there are dots.
/// Cost: nothing to speak of.
#include "burin/design/card.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>

#include "burin/base/error.hpp"
#include "burin/base/utf8.hpp"
#include "burin/design/alphabet.hpp"

namespace burin {
namespace {

constexpr double margin = 2, row_gap = 2.5, cell_gap = 3;  // mm
constexpr double label_gap = 1.2, label_cap = 1.8, title_cap = 3, least_title_cap = 1;
constexpr double dot_side = 1.8, dot_pitch = 3;
constexpr int dots = 12, most_columns = 6, rungs = 6;
constexpr double rung_length = 8, least_depth = 0.05;  // shallower grooves are chance; our choice, no source
constexpr double corner = margin + 2 * Card::ring_outer;

void check(const char* what, double value, double least, double most) {
    if (!(value >= least && value <= most))
        throw Error(Fault::usage, fmt::format("A card's {} lies between {} and {}, and {} does not.", what, least, most, value));
}

void check(const CardWishes& wishes) {
    check("number of patches", wishes.patches, 3, 40);
    check("patches' side", wishes.patch, 3, 40);
    if (wishes.kind == CardKind::grooves) {
        check("pitch", wishes.pitch, 0.05, wishes.patch / 3);
        check("depth", wishes.depth, 0.05, 50);
        return;
    }
    check("line spacing", wishes.spacing, 0.01, wishes.patch / 3);
    check("watts", wishes.watts, 0.01, 1000);
    if (wishes.powers.empty() || wishes.feeds.empty()) throw Error(Fault::usage, "A beam's card wants at least one power and one feed.");
    for (const double power : wishes.powers) check("powers (as shares of full power)", power, 0.001, 1);
    for (const double feed : wishes.feeds) check("feeds (mm/min)", feed, 1, 100000);
    if (wishes.powers.size() * wishes.feeds.size() > 400) throw Error(Fault::usage, "A card has room for 400 powers and feeds together.");
}

/// "0.35", "12": as many digits as tell values apart.
std::string short_number(double value) { return fmt::format("{:.4g}", value); }

/// What stands in one cell of a row.
struct Cell {
    CardPatch patch;
    CardRung rung;
    bool is_rung = false;
    std::string label;
};

std::vector<Cell> groove_wedge(const CardWishes& wishes, const Bit& bit) {
    if (bit.diameter() < wishes.pitch - 1e-9)
        throw Error(Fault::refused, fmt::format("At a pitch of {} mm the grooves of '{}' ({} mm wide) never touch, so the card would have "
                                                "no full tone. Give a smaller --pitch, or a wider --bit.",
                                                short_number(wishes.pitch), bit.name(), short_number(bit.diameter())));
    const double least = bit.width_at(least_depth) / wishes.pitch;
    if (least > 0.8)
        throw Error(
            Fault::refused,
            fmt::format("A groove of '{}' is {:.2f} mm wide at once, which at a pitch of {} mm covers {:.0f} % of the surface: there "
                        "are no greys. Take a vee or a tapered bit, or a larger --pitch.",
                        bit.name(), bit.width_at(least_depth), short_number(wishes.pitch), std::min(1.0, least) * 100));
    std::vector<double> amounts{0};
    for (int k = 1; k < wishes.patches; ++k) {
        const double share = static_cast<double>(k) / (wishes.patches - 1), amount = std::max(share, std::ceil(least * 100) / 100);
        if (amount > amounts.back() + 1e-9) amounts.push_back(amount);
    }
    std::vector<Cell> cells;
    for (const double amount : amounts) {
        Cell& cell = cells.emplace_back();
        cell.patch.amount = amount;
        cell.label = short_number(std::round(amount * 1000) / 10);
    }
    return cells;
}

Cell rung_cell(double depth, double width, std::string label) {
    Cell cell;
    cell.is_rung = true;
    cell.rung.depth = depth;
    cell.rung.width = width;
    cell.label = std::move(label);
    return cell;
}

std::vector<Cell> depth_ladder(const CardWishes& wishes, const Bit& bit) {
    std::vector<Cell> cells;
    for (int k = 1; k <= rungs; ++k) {
        const double depth = std::round(wishes.depth * k / rungs * 100) / 100;
        if (depth < least_depth || depth > bit.tip_height() + 1e-9) continue;
        cells.push_back(rung_cell(depth, bit.width_at(depth), fmt::format("d{}", short_number(depth))));
    }
    return cells;
}

std::vector<Cell> width_ladder(const CardWishes& wishes, const Bit& bit) {
    std::vector<Cell> cells;
    const double narrow = bit.width_at(least_depth), wide = bit.width_at(std::min(wishes.depth, bit.tip_height()));
    for (int k = 1; k <= rungs; ++k) {
        const double width = std::round((narrow + (wide - narrow) * k / rungs) * 20) / 20, depth = depth_for_width(bit, width);
        if (depth < least_depth || depth > bit.tip_height()) continue;
        if (!cells.empty() && cells.back().rung.width >= width - 1e-9) continue;
        cells.push_back(rung_cell(depth, width, fmt::format("w{}", short_number(width))));
    }
    return cells;
}

/// J/mm²: watts ÷ (mm/s × mm between lines).
double exposure(const CardWishes& wishes, double power, double feed) { return wishes.watts * power * 60 / (feed * wishes.spacing); }

Cell burnt(const CardWishes& wishes, double power, double feed) {
    Cell cell;
    cell.patch.power = power;
    cell.patch.feed = feed;
    cell.patch.amount = exposure(wishes, power, feed);
    cell.label = fmt::format("{}/{}", short_number(std::round(power * 1000) / 10), short_number(feed));
    return cell;
}

std::vector<Cell> burnt_wedge(const CardWishes& wishes) {
    const double feed = *std::min_element(wishes.feeds.begin(), wishes.feeds.end());
    const double power = *std::max_element(wishes.powers.begin(), wishes.powers.end());
    std::vector<Cell> cells{Cell{}};
    cells.front().label.push_back('0');
    for (int k = 1; k < wishes.patches; ++k) cells.push_back(burnt(wishes, power * k / (wishes.patches - 1), feed));
    return cells;
}

using Rows = std::vector<std::vector<Cell>>;

/// Cells in rows of the same length, none longer than `most`.
void append_rows(Rows& rows, const std::vector<Cell>& cells, int most) {
    if (cells.empty()) return;
    const auto count = static_cast<int>(cells.size());
    const int lines = (count + most - 1) / most, each = (count + lines - 1) / lines;
    for (int from = 0; from < count; from += each) rows.emplace_back(cells.begin() + from, cells.begin() + std::min(count, from + each));
}

Rows rows_of(const CardWishes& wishes, const Bit* bit) {
    Rows rows;
    if (wishes.kind == CardKind::beam) {
        append_rows(rows, burnt_wedge(wishes), most_columns);
        for (const double power : wishes.powers) {
            std::vector<Cell> row;
            for (const double feed : wishes.feeds) row.push_back(burnt(wishes, power, feed));
            append_rows(rows, row, 12);
        }
        return rows;
    }
    if (!bit) throw Error(Fault::usage, "A card of grooves wants a bit.");
    append_rows(rows, groove_wedge(wishes, *bit), most_columns);
    append_rows(rows, depth_ladder(wishes, *bit), rungs);
    append_rows(rows, width_ladder(wishes, *bit), rungs);
    return rows;
}

/// Letters whose ink lies in a box `most` wide under (x, top), centred on x.
void letter(Card& card, const std::string& text, double cap, double least, double x, double top, double most) {
    std::string known;
    for (std::size_t k = 0, length = 1; k < text.size(); k += std::max<std::size_t>(1, length)) {
        length = utf8_length(text, k);
        if (length > 0 && static_cast<unsigned char>(text[k]) >= 0x20 && alphabet_has(utf8_code(text, k, length)))
            known += text.substr(k, length);
    }
    if (known.find_first_not_of(' ') == std::string::npos) return;
    LetteringWishes wishes;
    wishes.text = known;
    wishes.cap_height = cap;
    Drawing drawing = alphabet_lines(wishes);
    if (drawing.width > most) {
        wishes.cap_height = std::max(0.1, cap * most / drawing.width * 0.99);
        if (wishes.cap_height < least) return;
        drawing = alphabet_lines(wishes);
    }
    for (const MiddleLine& line : drawing.lines) {
        Polyline moved = line.line;
        for (Point& p : moved.points) p = {p.x + x - drawing.width / 2, p.y + top - drawing.height};
        card.letters.push_back(std::move(moved));
    }
}

void lay_out(Card& card, const Rows& rows) {
    const double side = card.wishes.patch, tall = card.wishes.kind == CardKind::beam ? side : std::max(side, rung_length),
                 pitch = side + cell_gap;
    std::size_t columns = 0;
    for (const auto& row : rows) columns = std::max(columns, row.size());
    const double cells_wide = static_cast<double>(columns) * pitch - cell_gap, dots_wide = dots * dot_pitch;
    card.width = std::max(cells_wide + 2 * margin, dots_wide + 2 * (corner + 1));
    const double row_height = tall + label_gap + label_cap + row_gap;
    card.height = 2 * (corner + row_gap) + static_cast<double>(rows.size()) * row_height - row_gap;
    const double in = margin + Card::ring_outer, w = card.width, h = card.height;
    card.marks = {{{{in, in}, Card::large_disc},
                   {{w - in, in}, Card::small_disc},
                   {{w - in, h - in}, Card::small_disc},
                   {{in, h - in}, Card::small_disc}}};
    double top = h - corner - row_gap;
    for (const auto& row : rows) {
        double x = (w - (static_cast<double>(row.size()) * pitch - cell_gap)) / 2 + side / 2;
        for (const Cell& cell : row) {
            if (cell.is_rung) {
                CardRung rung = cell.rung;
                rung.low = {x, top - rung_length}, rung.high = {x, top};
                card.rungs.push_back(rung);
            } else {
                CardPatch patch = cell.patch;
                patch.box = {{x - side / 2, top - side}, {x + side / 2, top}};
                card.patches.push_back(patch);
            }
            letter(card, cell.label, label_cap, 0, x, top - (cell.is_rung ? rung_length : side) - label_gap, side + cell_gap - 1.5);
            x += pitch;
        }
        top -= row_height;
    }
    letter(card, card.wishes.title, title_cap, least_title_cap, w / 2, h - in + title_cap / 2, w - 2 * (corner + 2));
}

/// FNV-1a over whole micrometres (and millionths of amounts).
class Checksum {
public:
    void add(double value) {
        auto bits = static_cast<std::uint64_t>(std::llround(value * 1000));
        for (int k = 0; k < 8; ++k, bits >>= 8) sum_ = (sum_ ^ (bits & 255)) * 0x100000001b3U;
    }
    [[nodiscard]] unsigned folded() const {
        std::uint64_t sum = sum_;
        unsigned out = 0;
        for (; sum != 0; sum >>= dots) out ^= static_cast<unsigned>(sum & ((1U << dots) - 1));
        return out;
    }

private:
    std::uint64_t sum_ = 0xcbf29ce484222325U;
};

void add_dots(Card& card) {
    Checksum sum;
    sum.add(card.width), sum.add(card.height);
    for (const CardPatch& patch : card.patches)
        for (const double v : {patch.box.lo.x, patch.box.lo.y, patch.box.hi.x, patch.amount * 1000, patch.power * 1000, patch.feed})
            sum.add(v);
    for (const CardRung& rung : card.rungs)
        for (const double v : {rung.low.x, rung.low.y, rung.depth, rung.width}) sum.add(v);
    const unsigned bits = sum.folded();
    const double y = margin + Card::ring_outer;
    for (int k = 0; k < dots; ++k) {
        const double x = card.width / 2 + (k - (dots - 1) / 2.0) * dot_pitch, half = dot_side / 2;
        card.dots.push_back({{{x - half, y - half}, {x + half, y + half}}, ((bits >> k) & 1U) != 0});
    }
}

}  // namespace

Card card_for(const CardWishes& wishes, const Bit* bit) {
    check(wishes);
    Card card;
    card.wishes = wishes;
    // A patch holds whole grooves, so that every part of it is as dark as the whole.
    const double step = wishes.kind == CardKind::grooves ? wishes.pitch : wishes.spacing;
    card.wishes.patch = std::round(wishes.patch / step) * step;
    lay_out(card, rows_of(card.wishes, bit));
    add_dots(card);
    return card;
}

}  // namespace burin
