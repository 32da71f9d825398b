// Parts that the pages of bits and of beams share. All text that comes from outside goes through ink::escaped.

#include "page_parts.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "ink.hpp"

namespace burin::page {

using ink::escaped;
using ink::grouped;
using ink::number;

namespace {

std::string embedded(std::string_view jpeg_bytes) { return "data:image/jpeg;base64," + ink::base64(jpeg_bytes); }

}  // namespace

std::string image(std::string_view jpeg, int width, int height, std::string_view words) {
    return fmt::format("<img src=\"{}\" width=\"{}\" height=\"{}\" alt=\"{}\"/>", embedded(jpeg), width, height, escaped(words));
}
std::string image(const Rgb& picture, int quality, std::string_view words) {
    return image(jpeg(picture, quality), picture.width, picture.height, words);
}

std::string list(const std::vector<std::string>& sentences, std::string_view kind) {
    std::string out = fmt::format("<{}>", kind);
    for (const auto& sentence : sentences) out += "<li>" + escaped(sentence) + "</li>";
    return out + fmt::format("</{}>\n", kind);
}

std::string stock_words(const Stock& stock) {
    if (stock.oval())
        return fmt::format("oval, {} × {} mm, {} mm thick", number(stock.bounds.width()), number(stock.bounds.height()),
                           number(stock.thickness));
    if (stock.piece)
        return fmt::format("a traced piece, {} × {} mm over all, {} mm thick{}", number(stock.bounds.width()),
                           number(stock.bounds.height()), number(stock.thickness),
                           stock.piece->has_bark() ? "; its bark is left alone" : "");
    if (stock.outline == Outline::round)
        return fmt::format("round, {} mm across, {} mm thick", number(stock.bounds.width()), number(stock.thickness));
    return fmt::format("{} × {} × {} mm", number(stock.bounds.width()), number(stock.bounds.height()), number(stock.thickness));
}

std::string title_of(const std::string& title, const std::string& name) { return title.empty() ? name : title; }

std::string material_words(const Material& material) {
    std::string words = title_of(material.title, material.name);
    const auto is = [&](std::size_t k, char from, char to) { return k < words.size() && words[k] >= from && words[k] <= to; };
    if (is(0, 'A', 'Z') && is(1, 'a', 'z')) words[0] = static_cast<char>(words[0] - 'A' + 'a');
    return words;
}

std::string zero_words(const std::string& zero, const Stock& stock) {
    std::string place = zero;
    std::replace(place.begin(), place.end(), '-', ' ');
    const bool round = stock.outline == Outline::round;
    if (place == "centre") return stock.piece ? "the centre of the rectangle round the piece" : "the centre of the stock's top";
    const bool corner = place.find("centre") == std::string::npos;
    return fmt::format("the {} {} of {}", place, corner ? "corner" : "edge",
                       stock.piece
                           ? "the rectangle round the piece (push it into the corner of two straight fences, turned as on the picture)"
                       : stock.oval() ? "the rectangle round the stock's top"
                       : round        ? "the square round the stock's top"
                                      : "the stock's top");
}

std::string verdict(const Proof& proof, std::string_view how, std::string_view deed) {
    const auto kept = std::count_if(proof.checks.begin(), proof.checks.end(), [](const Check& c) { return c.ok; });
    const auto all = static_cast<std::ptrdiff_t>(proof.checks.size());
    if (proof.holds)
        return fmt::format(
            "<p class=\"verdict\"><strong>Proved.</strong> The written programs were read back and {} a model of the stock: {} of {} "
            "checks "
            "hold.</p>\n",
            how, kept, all);
    return fmt::format(
        "<p class=\"verdict no\"><strong>Refused: do not {}.</strong> {} of {} checks are broken; see below which and what mends "
        "them.</p>\n",
        deed, all - kept, all);
}

std::string warnings_first(const std::vector<std::string>& warnings) {
    if (warnings.empty()) return "";
    return "<section class=\"warn\"><h2>Before anything else</h2>" + list(warnings) + "</section>\n";
}

std::string given_picture(const Picture* picture, const std::string& name, const Crew& crew) {
    constexpr int width = 840;
    if (!picture) return "";
    return "<figure class=\"side\">" + image(small(*picture, width, crew), 85, "The picture that was given") +
           fmt::format("<figcaption>The picture: <span class=\"file\">{}</span></figcaption></figure>", escaped(name));
}

std::string checks_list(const std::vector<Check>& checks) {
    std::string out;
    for (const auto& check : checks) {
        std::string where;
        if (!check.file.empty())
            where = fmt::format(" <span class=\"file\">{}{}</span>", escaped(check.file),
                                check.line ? fmt::format(", line {}", grouped(check.line)) : std::string());
        out += fmt::format("<li{}><strong>{}</strong>{}<br/><span>{}</span></li>", check.ok ? "" : " class=\"no\"", escaped(check.name),
                           where, escaped(check.detail));
    }
    return out;
}

std::string machine_words(const Machine& m) {
    return fmt::format(
        "<p>Times are reckoned for {}: rapids {}, {} and {} mm/min, {}, {} and {} mm/s² in X, Y and Z, corners within {} mm, {} moves "
        "known ahead, {}. {}</p>",
        escaped(title_of(m.title, m.name)), grouped(m.rapid[0]), grouped(m.rapid[1]), grouped(m.rapid[2]), number(m.acceleration[0], 0),
        number(m.acceleration[1], 0), number(m.acceleration[2], 0), number(m.corner_tolerance, 3), m.planned_moves,
        m.lines_per_s > 0 ? number(m.lines_per_s, 0) + " lines a second at most" : std::string("no limit on lines a second"),
        m.typical_dynamics ? "<strong>These figures are only typical of such machines, not measured on yours</strong>: time one program "
                             "with a watch, and put what your machine really does into its file."
                           : "They are the figures of your machine's file.");
}

}  // namespace burin::page
