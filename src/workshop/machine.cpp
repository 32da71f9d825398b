// A machine as TOML text: read with every value checked, written so that it reads back equal.
#include "burin/workshop/machine.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "burin/base/error.hpp"
#include "burin/workshop/presets.hpp"
#include "burin/workshop/toml_table.hpp"

namespace burin {
namespace {

constexpr double longest = 10000;     // mm of travel
constexpr double fastest = 1000000;   // mm/min
constexpr double steepest = 1000000;  // mm/s²
constexpr double tiniest = 1e-6;      // "above 0" as a limit that can be printed

Spindle read_spindle(TomlTable table) {
    Spindle spindle;
    spindle.least_rpm = table.need_number("least-rpm", 1, 1000000);
    spindle.most_rpm = table.need_number("most-rpm", 1, 1000000);
    if (spindle.most_rpm < spindle.least_rpm) throw table.wrong("most-rpm", "it cannot be below least-rpm.");
    spindle.power_w = table.need_number("power", tiniest, 100000);
    spindle.spin_up_s = table.need_number("spin-up", 0, 600);
    table.finish();
    return spindle;
}

Laser read_laser(TomlTable table) {
    Laser laser;
    laser.scale = table.need_number("scale", 1, 1000000);
    laser.power_w = table.need_number("power", tiniest, 1000);
    laser.spot_mm = table.need_number("spot", 0.001, 10);
    laser.pilot_s = table.take_number("pilot", 0, laser.scale).value_or(0);
    laser.scales_with_speed = table.need_bool("scales-with-speed");
    table.finish();
    return laser;
}

KeepOut read_keep_out(TomlTable& table, std::size_t number) {
    if (number > most_keep_outs) throw table.wrong("height", fmt::format("a machine has at most {} keep-outs.", most_keep_outs));
    const std::string name = table.take_text("name").value_or(fmt::format("keep-out {}", number));
    const double height = table.need_number("height", -longest, longest);
    const auto box = table.take_pairs("box");
    const auto circle = table.take_triple("circle", -longest, longest);
    table.finish();
    if (box.empty() != circle.has_value() || (!box.empty() && box.size() != 2))
        throw table.wrong("height",
                          "a keep-out has either box = [[x, y], [x, y]], its lower left and upper right corner, or circle = [x, y, "
                          "diameter].");
    try {
        return circle ? KeepOut::circle(name, {(*circle)[0], (*circle)[1]}, (*circle)[2], height)
                      : KeepOut::box(name, {{box[0][0], box[0][1]}, {box[1][0], box[1][1]}}, height);
    } catch (const Error& error) {
        throw table.wrong("height", error.what());
    }
}

std::string keep_out_line(const KeepOut& zone) {
    const Box& b = zone.bounds();
    const std::string place = zone.shape() == KeepOut::Shape::circle
                                  ? fmt::format("circle = [{}, {}, {}]", b.centre().x, b.centre().y, b.width())
                                  : fmt::format("box = [[{}, {}], [{}, {}]]", b.lo.x, b.lo.y, b.hi.x, b.hi.y);
    return fmt::format("\n[[keep-out]]\nname = {}\n{}\nheight = {}\n", toml_quoted(zone.name()), place, zone.height());
}

const std::vector<std::string>& zero_words() {
    static const std::vector<std::string> words{"G10 L20", "G10 L2", "G92"};
    return words;
}

std::string triple(const std::array<double, 3>& v) { return fmt::format("[{}, {}, {}]", v[0], v[1], v[2]); }

}  // namespace

std::string to_string(ZeroBy by) { return zero_words()[static_cast<std::size_t>(by)]; }

Machine read_machine(TomlTable& table, const std::string& name) {
    Machine machine;
    machine.name = table.take_text("name").value_or(name);
    machine.title = table.take_text("title").value_or(machine.name);
    machine.travel = table.need_triple("travel", 0, longest);
    machine.rapid = table.need_triple("rapid", tiniest, fastest);
    machine.acceleration = table.need_triple("acceleration", tiniest, steepest);
    machine.corner_tolerance = table.need_number("corner-tolerance", tiniest, 10);
    machine.planned_moves = table.need_whole("planned-moves", 1, 100000);
    machine.lines_per_s = table.take_number("lines-per-second", 0, 1000000).value_or(0);
    machine.most_feed = table.need_number("most-feed", tiniest, fastest);
    machine.stiffness_n_mm = table.take_number("stiffness", 0, 1000000).value_or(0);
    machine.dwell_in_milliseconds = table.take_bool("dwell-in-milliseconds").value_or(false);
    machine.typical_dynamics = table.need_bool("typical-dynamics");
    machine.spoilboard = table.take_number("spoilboard", 0, 1000).value_or(0);
    machine.stock_at = table.take_triple("stock-at", -longest, longest);
    machine.homes = table.take_bool("homes").value_or(false);
    if (const auto by = table.take_word("zero-by", zero_words()))
        machine.zero_by = static_cast<ZeroBy>(std::find(zero_words().begin(), zero_words().end(), *by) - zero_words().begin());
    for (TomlTable& zone : table.take_tables("keep-out")) machine.keep_outs.push_back(read_keep_out(zone, machine.keep_outs.size() + 1));
    if (const auto spindle = table.take_table("spindle")) machine.spindle = read_spindle(*spindle);
    if (const auto laser = table.take_table("laser")) machine.laser = read_laser(*laser);
    table.finish();
    if (!machine.spindle && !machine.laser) throw table.wrong("spindle", "a machine needs a [spindle] or a [laser]; add the one it has.");
    const bool flat_is_enough = !machine.spindle;  // a laser's frame may have no z at all
    for (std::size_t axis = 0; axis < 3; ++axis)
        if (machine.travel[axis] <= 0 && !(axis == 2 && flat_is_enough)) throw table.wrong("travel", "every travel must be above 0 mm.");
    return machine;
}

Machine read_machine(std::string_view toml, const std::string& origin) {
    const auto whole = parse_toml(toml, origin);
    TomlTable table(whole, origin);
    return read_machine(table, std::filesystem::path(origin).stem().string());
}

std::string write_machine(const Machine& machine) {
    std::string out;
    const auto line = [&](std::string_view key, const std::string& value) { out += fmt::format("{} = {}\n", key, value); };
    const auto number = [](double v) { return fmt::format("{}", v); };
    line("name", toml_quoted(machine.name));
    line("title", toml_quoted(machine.title));
    line("travel", triple(machine.travel));
    line("rapid", triple(machine.rapid));
    line("acceleration", triple(machine.acceleration));
    line("corner-tolerance", number(machine.corner_tolerance));
    line("planned-moves", fmt::format("{}", machine.planned_moves));
    line("lines-per-second", number(machine.lines_per_s));
    line("most-feed", number(machine.most_feed));
    line("stiffness", number(machine.stiffness_n_mm));
    line("dwell-in-milliseconds", machine.dwell_in_milliseconds ? "true" : "false");
    line("typical-dynamics", machine.typical_dynamics ? "true" : "false");
    line("spoilboard", number(machine.spoilboard));
    if (machine.stock_at) line("stock-at", triple(*machine.stock_at));
    if (machine.homes) line("homes", "true");
    if (machine.zero_by != ZeroBy::g10_l20) line("zero-by", toml_quoted(to_string(machine.zero_by)));
    if (const auto& s = machine.spindle)
        line("spindle", fmt::format("{{ least-rpm = {}, most-rpm = {}, power = {}, spin-up = {} }}", s->least_rpm, s->most_rpm, s->power_w,
                                    s->spin_up_s));
    if (const auto& l = machine.laser)
        line("laser", fmt::format("{{ scale = {}, power = {}, spot = {}, pilot = {}, scales-with-speed = {} }}", l->scale, l->power_w,
                                  l->spot_mm, l->pilot_s, l->scales_with_speed));
    for (const KeepOut& zone : machine.keep_outs) out += keep_out_line(zone);
    return out;
}

}  // namespace burin
