// A bit as TOML text: says all of it, angles in degrees; written so that it reads back equal.
#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "burin/workshop/presets.hpp"
#include "burin/workshop/toml_table.hpp"

namespace burin {
namespace {

constexpr double degree = std::numbers::pi / 180;

const std::vector<std::string>& shape_words() {
    static const std::vector<std::string> words{"flat", "ball", "vee", "taper", "bull", "drill"};
    return words;
}

// Degrees such that reading them back gives the same radians.
double in_degrees(double angle) {
    const double rounded = std::round(angle / degree * 1e6) / 1e6;
    return rounded * degree == angle ? rounded : angle / degree;
}

}  // namespace

Bit read_bit(TomlTable& table, const std::string& name) {
    BitSpec s;
    const auto own_name = table.take_text("name").value_or(name);
    const auto shape = table.need_word("shape", shape_words());
    for (std::size_t i = 0; i < shape_words().size(); ++i)
        if (shape_words()[i] == shape) s.shape = static_cast<BitShape>(i);
    s.diameter = table.need_number("diameter", 0.01, 500);
    switch (s.shape) {
        case BitShape::vee:
            s.angle = table.need_number("included-angle", 1, 179) * degree;
            s.tip = table.need_number("tip", 0, s.diameter);
            break;
        case BitShape::taper:
            s.tip = table.need_number("tip", 0.01, 500);
            s.angle = table.need_number("side-angle", 0.1, 89) * degree;
            break;
        case BitShape::bull:
            s.tip = table.need_number("corner-radius", 0, s.diameter / 2);
            break;
        case BitShape::drill:
            s.angle = table.need_number("point-angle", 1, 180) * degree;
            break;
        case BitShape::flat:
        case BitShape::ball:
            break;
    }
    s.cutting_length = table.need_number("cutting-length", 0.01, 500);
    s.stick_out = table.need_number("stick-out", 0.01, 500);
    s.shank = table.need_number("shank", 0.1, 100);
    s.flutes = table.need_whole("flutes", 1, 20);
    s.centre_cutting = table.need_bool("centre-cutting");
    if (s.cutting_length > s.stick_out)
        throw table.wrong("cutting-length", "it cannot be longer than stick-out, which is what stands out of the collet.");
    table.finish();
    try {
        return Bit(s, own_name);
    } catch (const Error& e) {
        throw table.wrong("shape", e.what());
    }
}

Bit read_bit(std::string_view toml, const std::string& origin) {
    const auto whole = parse_toml(toml, origin);
    TomlTable table(whole, origin);
    return read_bit(table, std::filesystem::path(origin).stem().string());
}

std::string write_bit(const Bit& bit) {
    const BitSpec& s = bit.spec();
    std::string out;
    const auto line = [&](std::string_view key, const std::string& value) { out += fmt::format("{} = {}\n", key, value); };
    const auto number = [](double v) { return fmt::format("{}", v); };
    line("name", toml_quoted(bit.name()));
    line("shape", toml_quoted(shape_words()[static_cast<std::size_t>(s.shape)]));
    line("diameter", number(s.diameter));
    switch (s.shape) {
        case BitShape::vee:
            line("included-angle", number(in_degrees(s.angle))), line("tip", number(s.tip));
            break;
        case BitShape::taper:
            line("tip", number(s.tip)), line("side-angle", number(in_degrees(s.angle)));
            break;
        case BitShape::bull:
            line("corner-radius", number(s.tip));
            break;
        case BitShape::drill:
            line("point-angle", number(in_degrees(s.angle)));
            break;
        case BitShape::flat:
        case BitShape::ball:
            break;
    }
    line("cutting-length", number(s.cutting_length));
    line("stick-out", number(s.stick_out));
    line("shank", number(s.shank));
    line("flutes", fmt::format("{}", s.flutes));
    line("centre-cutting", s.centre_cutting ? "true" : "false");
    return out;
}

}  // namespace burin
