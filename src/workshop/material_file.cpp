// A material as TOML text: read with every value checked, written so that it reads back equal.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "burin/workshop/presets.hpp"
#include "burin/workshop/toml_table.hpp"

namespace burin {
namespace {

const std::vector<std::string>& grain_words() {
    static const std::vector<std::string> words{"none", "straight", "rings", "fibres", "speckle", "cells"};
    return words;
}

std::array<double, 3> colour_of(const TomlTable& table, std::string_view key, std::string_view text) {
    unsigned value = 0;
    const auto* end = text.data() + text.size();
    const auto [stop, error] = text.size() == 7 && text[0] == '#' ? std::from_chars(text.data() + 1, end, value, 16)
                                                                  : std::from_chars_result{text.data(), std::errc::invalid_argument};
    if (error != std::errc{} || stop != end) throw table.wrong(key, "a colour is written \"#rrggbb\", as in \"#d8b98a\".");
    return {(value >> 16) / 255.0, ((value >> 8) & 255) / 255.0, (value & 255) / 255.0};
}

std::array<double, 3> need_colour(TomlTable& table, std::string_view key) { return colour_of(table, key, table.need_text(key)); }

std::string colour_text(const std::array<double, 3>& colour) {
    const auto byte = [](double v) { return static_cast<unsigned>(std::lround(std::clamp(v, 0.0, 1.0) * 255)); };
    return fmt::format("\"#{:02x}{:02x}{:02x}\"", byte(colour[0]), byte(colour[1]), byte(colour[2]));
}

std::string curve_text(const ToneCurve& curve) {
    std::vector<std::string> points;
    for (const Point& p : curve.points) points.push_back(fmt::format("[{}, {}]", p.x, p.y));
    return fmt::format("[{}]", fmt::join(points, ", "));
}

ToneCurve take_curve(TomlTable& table, std::string_view key, double most) {
    ToneCurve curve;
    for (const auto& [x, y] : table.take_pairs(key)) curve.points.push_back({x, y});
    const auto& points = curve.points;
    if (points.empty()) return curve;
    if (points.size() < 2) throw table.wrong(key, "a tone curve has at least two points, as in [[0, 0], [1, 1]].");
    for (std::size_t k = 0; k < points.size(); ++k) {
        if (points[k].x < 0 || points[k].x > most || points[k].y < 0 || points[k].y > 1)
            throw table.wrong(key, fmt::format("amounts lie from 0 to {} and darkness from 0 to 1, and [{}, {}] does not.", most,
                                               points[k].x, points[k].y));
        if (k > 0 && (points[k].x <= points[k - 1].x || points[k].y < points[k - 1].y))
            throw table.wrong(
                key, fmt::format("amounts must rise and the darkness never fall, and [{}, {}] breaks that.", points[k].x, points[k].y));
    }
    if (points.front().y == points.back().y) throw table.wrong(key, "the darkness is the same everywhere, so it shows no tone.");
    return curve;
}

}  // namespace

Material read_material(TomlTable& table, const std::string& name) {
    Material m;
    m.name = table.take_text("name").value_or(name);
    m.title = table.take_text("title").value_or(m.name);
    m.source = table.need_text("source");
    m.for_spindle = table.need_bool("for-spindle");
    m.for_laser = table.need_bool("for-laser");
    m.spindle_note = table.take_text("spindle-note").value_or("");
    m.laser_note = table.take_text("laser-note").value_or("");
    if (m.for_spindle) {
        m.chip_load_1 = table.need_number("chip-load-1", 0.0001, 1);
        m.chip_load_3 = table.need_number("chip-load-3", 0.0001, 1);
        m.kc1 = table.need_number("specific-force", 0.1, 100000);
        m.kc_exponent = table.take_number("specific-force-exponent", 0, 0.9).value_or(0);
        m.pass_ratio = table.need_number("pass-ratio", 0.001, 5);
        m.most_pass = table.take_number("most-pass", 0, 100).value_or(0);
    } else if (m.spindle_note.empty()) {
        throw table.wrong("spindle-note", "say here why this material is not for a spindle.");
    }
    if (!m.for_laser && m.laser_note.empty()) throw table.wrong("laser-note", "say here why this material is not for a laser.");
    m.colour = need_colour(table, "colour");
    m.cut_colour = need_colour(table, "cut-colour");
    if (const auto burnt = table.take_text("burnt-colour")) m.burnt_colour = colour_of(table, "burnt-colour", *burnt);
    const auto grain = table.need_word("grain", grain_words());
    for (std::size_t i = 0; i < grain_words().size(); ++i)
        if (grain_words()[i] == grain) m.grain = static_cast<Grain>(i);
    m.gloss = table.need_number("gloss", 0, 1);
    m.mu_per_mm = table.take_number("light-loss", 0, 1000).value_or(0);
    m.groove_tone = take_curve(table, "groove-tone", 1);
    m.burn_tone = take_curve(table, "burn-tone", 1e6);
    m.cautions = table.take_texts("cautions");
    table.finish();
    return m;
}

Material read_material(std::string_view toml, const std::string& origin) {
    const auto whole = parse_toml(toml, origin);
    TomlTable table(whole, origin);
    return read_material(table, std::filesystem::path(origin).stem().string());
}

std::string write_material(const Material& m) {
    std::string out;
    const auto line = [&](std::string_view key, const std::string& value) { out += fmt::format("{} = {}\n", key, value); };
    const auto number = [](double v) { return fmt::format("{}", v); };
    line("name", toml_quoted(m.name));
    line("title", toml_quoted(m.title));
    line("source", toml_quoted(m.source));
    line("for-spindle", m.for_spindle ? "true" : "false");
    line("for-laser", m.for_laser ? "true" : "false");
    if (!m.spindle_note.empty()) line("spindle-note", toml_quoted(m.spindle_note));
    if (!m.laser_note.empty()) line("laser-note", toml_quoted(m.laser_note));
    if (m.for_spindle) {
        line("chip-load-1", number(m.chip_load_1));
        line("chip-load-3", number(m.chip_load_3));
        line("specific-force", number(m.kc1));
        line("specific-force-exponent", number(m.kc_exponent));
        line("pass-ratio", number(m.pass_ratio));
        line("most-pass", number(m.most_pass));
    }
    line("colour", colour_text(m.colour));
    line("cut-colour", colour_text(m.cut_colour));
    line("burnt-colour", colour_text(m.burnt_colour));
    line("grain", toml_quoted(grain_words()[static_cast<std::size_t>(m.grain)]));
    line("gloss", number(m.gloss));
    line("light-loss", number(m.mu_per_mm));
    if (!m.groove_tone.empty()) line("groove-tone", curve_text(m.groove_tone));
    if (!m.burn_tone.empty()) line("burn-tone", curve_text(m.burn_tone));
    std::vector<std::string> cautions;
    for (const auto& caution : m.cautions) cautions.push_back(toml_quoted(caution));
    line("cautions", fmt::format("[{}]", fmt::join(cautions, ", ")));
    return out;
}

}  // namespace burin
