/// What the words of the command line mean: plain decimals, pairs, sizes; each mistake is one sentence.
#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/base/utf8.hpp"
#include "burin/job/options.hpp"
#include "burin/workshop/toml_table.hpp"
#include "fmt/format.h"
#include "fmt/ranges.h"

namespace burin {
namespace {

[[nodiscard]] Error wrong(const std::string& sentence) { return {Fault::usage, sentence}; }

Point parse_two(std::string_view text, char between, std::string_view example) {
    const std::size_t middle = text.find(between);
    if (middle == std::string_view::npos) throw wrong(fmt::format("'{}' is not of the form {}.", text, example));
    return {parse_number(text.substr(0, middle)), parse_number(text.substr(middle + 1))};
}

void check_range(const Option& option, double value) {
    const bool low = option.above_least ? value <= option.least : value < option.least;
    if (!low && value <= option.most) return;  // nan is never let through by parse_number
    if (option.above_least && option.least == 0 && low) throw wrong(fmt::format("{} will not do; it must be above 0.", number_text(value)));
    throw wrong(option.above_least ? fmt::format("{} will not do; it must be above {} and at most {}.", number_text(value),
                                                 number_text(option.least), number_text(option.most))
                                   : fmt::format("{} will not do; it must lie between {} and {}.", number_text(value),
                                                 number_text(option.least), number_text(option.most)));
}

}  // namespace

double parse_number(std::string_view text) {
    const auto not_plain = [&] { return wrong(fmt::format("'{}' is not a plain decimal number such as 2.5.", text)); };
    std::string_view digits = text;
    if (!digits.empty() && (digits.front() == '-' || digits.front() == '+')) digits.remove_prefix(1);
    if (digits.empty() || digits.find_first_not_of("0123456789.") != std::string_view::npos) throw not_plain();
    double value = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value, std::chars_format::fixed);
    if (error == std::errc::result_out_of_range) throw wrong(fmt::format("'{}' is far too large.", text));
    if (error != std::errc{} || end != digits.data() + digits.size()) throw not_plain();
    return text.front() == '-' && value != 0 ? -value : value;
}

std::string number_text(double value) {
    if (value == 0) return "0";
    const std::string shortest = fmt::format("{}", value);
    if (shortest.find('e') == std::string::npos) return shortest;
    // Shortest digits that still read back, written without an exponent.
    for (int digits = 0; digits <= 40; ++digits) {
        const std::string plain = fmt::format("{:.{}f}", value, digits);
        double back = 0;
        std::from_chars(plain.data(), plain.data() + plain.size(), back);
        if (back == value) return plain;
    }
    return shortest;
}

bool names_stock_file(std::string_view text) { return text.ends_with(".toml") || text.find('/') != std::string_view::npos; }

namespace {

StockSize traced_stock(const std::string& file) {
    TracedPiece piece = read_traced_piece(read_text(file, "stock's file", std::size_t{4} << 20), file);
    if (!piece.photo.empty()) piece.photo = (std::filesystem::absolute(file).parent_path() / piece.photo).lexically_normal().string();
    const Box box = piece.outer().bounds();
    return {false, box.width(), box.height(), piece.thickness(), std::make_shared<const TracedPiece>(std::move(piece))};
}

}  // namespace

StockSize parse_stock(std::string_view text) {
    if (names_stock_file(text)) return traced_stock(std::string(text));
    const auto not_a_stock = [&] {
        return wrong(
            fmt::format("'{}' is not a stock; give width, height and thickness as in 100x80x12, diameter and thickness as in round:90x12, "
                        "oval:120x90x12, or the file that `burin slice` wrote, as in slice.toml.",
                        text));
    };
    StockSize size;
    bool oval = false;
    std::string_view rest = text;
    if (rest.starts_with("round:")) {
        size.round = true;
        rest.remove_prefix(6);
    } else if (rest.starts_with("oval:")) {
        size.round = oval = true;
        rest.remove_prefix(5);
    }
    std::vector<double> lengths;
    while (true) {
        const std::size_t cross = rest.find('x');
        try {
            lengths.push_back(parse_number(rest.substr(0, cross)));
        } catch (const Error&) {
            throw not_a_stock();
        }
        if (!(lengths.back() > 0)) throw wrong(fmt::format("'{}' cannot be: every length of a stock must be above 0.", text));
        if (lengths.back() > 1e5) throw wrong(fmt::format("'{}' cannot be: lengths are in millimetres.", text));
        if (cross == std::string_view::npos) break;
        rest.remove_prefix(cross + 1);
    }
    if (lengths.size() != (size.round && !oval ? 2U : 3U)) throw not_a_stock();
    size.width = lengths.front();
    size.height = lengths.size() == 2 ? lengths[0] : lengths[1];
    size.thickness = lengths.back();
    return size;
}

std::vector<double> parse_numbers(std::string_view text) {
    std::vector<double> values;
    for (std::size_t from = 0; from <= text.size();) {
        const std::size_t comma = std::min(text.find(',', from), text.size());
        values.push_back(parse_number(text.substr(from, comma - from)));
        from = comma + 1;
    }
    return values;
}

std::vector<double> parse_list(std::string_view text) {
    constexpr std::size_t most = 20;
    std::vector<double> values = parse_numbers(text);
    for (const double value : values)
        if (!(value > 0)) throw wrong(fmt::format("'{}' will not do; each number must be above 0.", text));
    if (values.size() > most) throw wrong(fmt::format("'{}' holds {} numbers, and {} are the most.", text, values.size(), most));
    return values;
}

double parse_border(std::string_view text) {
    if (text == "step") return 0;
    if (!text.starts_with("blend:"))
        throw wrong(fmt::format("'{}' is not a border; give step, or blend and a distance as in blend:2.", text));
    const double distance = parse_number(text.substr(6));
    if (!(distance > 0 && distance <= 1000)) throw wrong(fmt::format("'{}' cannot be; the distance must be above 0 mm.", text));
    return distance;
}

std::array<double, 3> parse_colour(std::string_view text) {
    std::array<double, 3> colour{};
    bool good = text.size() == 7 && text.front() == '#';
    for (std::size_t k = 0; good && k < 3; ++k) {
        int value = 0;
        const char *from = text.data() + 1 + 2 * k, *to = from + 2;
        const auto [end, error] = std::from_chars(from, to, value, 16);
        good = error == std::errc{} && end == to && *from != '-';
        colour[k] = value / 255.0;
    }
    if (!good) throw wrong(fmt::format("'{}' is no colour; give red, green and blue in hexadecimal, as in #1e3a5f.", text));
    return colour;
}

ThresholdChoice parse_threshold(std::string_view text) {
    if (text == "auto") return {};
    if (text == "global") return {Threshold::global};
    if (text == "local") return {Threshold::local};
    double value = -1;
    try {
        value = parse_number(text);
    } catch (const Error&) {
        value = -1;
    }
    if (!(value > 0 && value < 1))
        throw wrong(fmt::format("'{}' will not do; auto, global, local or a number between 0 (black) and 1 (white) is wanted.", text));
    return {Threshold::value, value};
}

OptionValue parse_value(const Option& option, std::string_view text) {
    OptionValue value;
    switch (option.kind) {
        case ValueKind::flag:
            value = true;
            break;
        case ValueKind::number:
        case ValueKind::whole:
            value = parse_number(text);
            break;
        case ValueKind::text:
        case ValueKind::word:
        case ValueKind::bits:
        case ValueKind::texts:
            value = std::string(text);
            break;
        case ValueKind::pair:
            value = parse_two(text, ',', "3,4 (two numbers with a comma)");
            break;
        case ValueKind::size:
            value = parse_two(text, 'x', "20x20 (width and height with an x)");
            break;
    }
    check_value(option, value);
    return value;
}

void check_value(const Option& option, const OptionValue& value) {
    if (const double* number = std::get_if<double>(&value)) {
        check_range(option, *number);
        if (option.kind == ValueKind::whole && *number != std::floor(*number))
            throw wrong(fmt::format("{} will not do; it must be a whole number.", number_text(*number)));
    } else if (const Point* pair = std::get_if<Point>(&value)) {
        check_range(option, pair->x);
        check_range(option, pair->y);
        if (option.name == "levels" && pair->x >= pair->y) throw wrong("the first percentile must lie below the second, as in 1,99.");
    } else if (const std::string* text = std::get_if<std::string>(&value)) {
        if (text->empty()) throw wrong("nothing was given.");
        if (!is_utf8(*text)) throw wrong("the text holds bytes that are no letters (no UTF-8).");
        if (option.kind == ValueKind::word && std::find(option.words.begin(), option.words.end(), *text) == option.words.end()) {
            const std::string near = nearest_name(*text, option.words);
            throw wrong(fmt::format("'{}' is not known here{}; one of {} is wanted.", *text,
                                    near.empty() ? "" : fmt::format(" (did you mean '{}'?)", near), fmt::join(option.words, ", ")));
        }
        if (option.check) option.check(*text);
    }
}

namespace {

template <class Owner>
void put(const MemberOf<Owner>& member, const OptionValue& value, Owner& owner) {
    std::visit(
        [&](auto pointer) {
            auto& place = owner.*pointer;
            using Place = std::decay_t<decltype(place)>;
            if constexpr (std::is_same_v<Place, std::vector<BitUse>>)
                place.emplace_back().use = std::get<std::string>(value);
            else if constexpr (std::is_same_v<Place, std::vector<std::string>>)
                place.push_back(std::get<std::string>(value));
            else
                place = std::get<typename Place::value_type>(value);
        },
        member);
}

}  // namespace

void set_option(const Option& option, const OptionValue& value, RunOptions& run, Job& job, Cut* cut) {
    std::visit(
        [&](const auto& member) {
            using M = std::decay_t<decltype(member)>;
            if constexpr (std::is_same_v<M, MemberOf<RunOptions>>)
                put(member, value, run);
            else if constexpr (std::is_same_v<M, MemberOf<Job>>)
                put(member, value, job);
            else if (cut)
                put(member, value, *cut);
        },
        option.member);
}

}  // namespace burin
