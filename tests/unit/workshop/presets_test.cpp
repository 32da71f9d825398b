// Presets: every one in the house can be read, says its sources, and reads back from what is written; mistakes are named.
#include "burin/workshop/presets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/workshop/toml_table.hpp"
#include "check.hpp"

using namespace burin;
namespace fs = std::filesystem;

namespace {

const PresetFolders house{{fs::path(BURIN_SOURCE) / "presets"}};

/// The fault and sentence of what `act` throws.
template <typename Act>
Error error_of(Act act) {
    try {
        (void)act();
    } catch (const Error& e) {
        return e;
    }
    FAIL("nothing was refused");
    throw 0;
}

const std::string good_machine =
    "travel = [250, 160, 55]\n"        // line 1
    "rapid = [2000, 2000, 800]\n"      // 2
    "acceleration = [100, 100, 60]\n"  // 3
    "corner-tolerance = 0.01\n"        // 4
    "planned-moves = 16\n"             // 5
    "most-feed = 1000\n"               // 6
    "typical-dynamics = true\n"        // 7
    "[spindle]\n"                      // 8
    "least-rpm = 10000\n"              // 9
    "most-rpm = 10000\n"               // 10
    "power = 40\n"                     // 11
    "spin-up = 3\n";                   // 12

std::string with(std::string text, const std::string& part, const std::string& instead) {
    const auto at = text.find(part);
    REQUIRE(at != std::string::npos);
    return text.replace(at, part.size(), instead);
}

bool equal(const Machine& a, const Machine& b) {
    return write_machine(a) == write_machine(b) && a.travel == b.travel && a.rapid == b.rapid;
}

class Folder {
public:
    Folder() : path_(fs::temp_directory_path() / fmt::format("burin-presets-{}", ++count())) {
        fs::remove_all(path_);
        fs::create_directories(path_ / "machines");
    }
    ~Folder() { fs::remove_all(path_); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    [[nodiscard]] const fs::path& path() const { return path_; }
    void put(const std::string& name, const std::string& text) const { std::ofstream(path_ / name) << text; }

private:
    static int& count() {
        static int made = 0;
        return made;
    }
    fs::path path_;
};

}  // namespace

TEST_CASE("every preset of the house reads, and reads back from what is written") {
    const auto machines = preset_names(house, "machines"), bits = preset_names(house, "bits"), materials = preset_names(house, "materials");
    for (const auto* name : {"desk-240x150", "desk-300x200", "desk-400x400", "laser-240x150", "laser-400x400"})
        CHECK(std::count(machines.begin(), machines.end(), name) == 1);
    for (const auto* name : {"pine", "basswood", "oak", "walnut", "beech", "ash-slice", "birch-ply", "mdf", "acrylic", "hdpe", "fr4",
                             "brass", "aluminium", "slate", "leather", "cork", "coated-copper"})
        CHECK(std::count(materials.begin(), materials.end(), name) == 1);
    for (const auto& name : machines) {
        INFO(name);
        const auto machine = find_machine(house, name);
        CHECK(machine.name == name);
        CHECK(equal(read_machine(write_machine(machine), "again.toml"), machine));
    }
    for (const auto& name : materials) {
        INFO(name);
        const auto material = find_material(house, name);
        CHECK(material.name == name);
        CHECK_FALSE(material.cautions.empty());
        const auto again = read_material(write_material(material), "again.toml");
        CHECK(write_material(again) == write_material(material));
        CHECK(again.colour == material.colour);
        CHECK(again.cautions == material.cautions);
    }
    REQUIRE(bits.size() >= 20);
    for (const auto& name : bits) {
        INFO(name);
        const auto bit = find_bit(house, name);
        CHECK(bit.name() == name);
        const auto again = read_bit(write_bit(bit), "again.toml");
        CHECK(again.spec().angle == bit.spec().angle);
        CHECK(again.spec().tip == bit.spec().tip);
        CHECK(again.spec().cutting_length == bit.spec().cutting_length);
        CHECK(again.sizes() == bit.sizes());
        CHECK(write_bit(again) == write_bit(bit));
        CHECK(bit.spec().cutting_length >= bit.tip_height());
        CHECK(bit.spec().cutting_length <= bit.spec().stick_out);
        // A name says shape and diameter: flat-2 is flat:2.
        CHECK(name.substr(0, name.find('-')) == bit.sizes().substr(0, bit.sizes().find(':')));
    }
}

TEST_CASE("every figure of a preset says where it comes from") {
    // A figure is a line with a digit in its value that is not text; its comment names a source.
    for (const std::string kind : {"machines", "materials"})
        for (const auto& name : preset_names(house, kind)) {
            const auto text = preset_text(house, name);
            for (std::size_t at = 0; at < text.size();) {
                const auto end = text.find('\n', at);
                const auto line = text.substr(at, end - at);
                at = end + 1;
                const auto equals = line.find(" = "), hash = line.find(" # ");
                if (equals == std::string::npos || line[0] == '#') continue;
                const auto value = line.substr(equals + 3, hash - equals - 3);
                if (value[0] == '"' && value[1] != '#') continue;
                if (value.find_first_of("0123456789") == std::string::npos) continue;
                INFO(name << ": " << line);
                REQUIRE(hash != std::string::npos);
                const auto comment = line.substr(hash);
                const bool sourced = comment.find("no source") != std::string::npos || comment.find("from memory") != std::string::npos ||
                                     comment.find("RS-274/NGC") != std::string::npos || comment.find("8N1") != std::string::npos;
                CHECK(sourced);
            }
        }
}

TEST_CASE("the figures of materials are the chart's") {
    // Source: the trade's chart, from memory.
    const auto figures = [](const char* name, double one, double three, double kc, double ratio) {
        INFO(name);
        const auto m = find_material(house, name);
        CHECK(m.chip_load_1 == one);
        CHECK(m.chip_load_3 == three);
        CHECK(m.kc1 == kc);
        CHECK(m.pass_ratio == ratio);
    };
    figures("pine", 0.015, 0.05, 15, 1.0);
    figures("basswood", 0.015, 0.05, 15, 1.0);
    for (const auto* hardwood : {"oak", "walnut", "beech"}) figures(hardwood, 0.010, 0.04, 30, 0.5);
    figures("ash-slice", 0.008, 0.03, 35, 0.4);
    figures("mdf", 0.020, 0.06, 25, 0.7);
    figures("birch-ply", 0.012, 0.04, 25, 0.5);
    figures("cork", 0.030, 0.08, 5, 1.0);
    figures("acrylic", 0.015, 0.05, 40, 0.3);
    figures("hdpe", 0.030, 0.08, 15, 0.7);
    figures("fr4", 0.005, 0.015, 120, 0.1);
    figures("brass", 0.005, 0.015, 780, 0.08);
    figures("aluminium", 0.006, 0.02, 700, 0.08);
    CHECK(find_material(house, "brass").kc_exponent == 0.18);
    CHECK(find_material(house, "aluminium").kc_exponent == 0.25);
    CHECK(find_material(house, "slate").most_pass == 0.05);
    CHECK_FALSE(find_material(house, "leather").for_spindle);
    for (const auto* never : {"fr4", "hdpe", "brass", "aluminium"}) CHECK_FALSE(find_material(house, never).for_laser);
}

TEST_CASE("the small router takes a design of its name's size") {
    // Source: common practice for a small desktop machine, no source.
    const auto m = find_machine(house, "desk-240x150");
    CHECK(m.travel[0] >= 240);
    CHECK(m.travel[1] >= 150);
    CHECK(m.travel[2] >= 45);
    CHECK(m.rapid == std::array<double, 3>{2000, 2000, 800});
    CHECK(m.acceleration[0] >= 50);
    CHECK(m.acceleration[0] <= 200);
    CHECK(m.corner_tolerance == 0.01);
    CHECK(m.planned_moves == 16);
    REQUIRE(m.spindle);
    CHECK(m.spindle->least_rpm == 10000);
    CHECK(m.spindle->most_rpm == 10000);
    CHECK(m.typical_dynamics);
}

TEST_CASE("mistakes in a file are named by file, line, key and the nearest right key") {
    const auto reading = [](const std::string& text) { return error_of([&] { return read_machine(text, "shop/press.toml"); }); };
    CHECK(read_machine(good_machine, "shop/press.toml").name == "press");

    const auto typo = reading(with(good_machine, "planned-moves", "planed-moves"));
    CHECK(typo.fault() == Fault::usage);
    CHECK_THAT(typo.what(), ContainsSubstring("shop/press.toml"));

    const auto extra = reading(with(good_machine, "planned-moves = 16\n", "planned-moves = 16\nmost-fead = 900\n"));
    CHECK_THAT(extra.what(), ContainsSubstring("shop/press.toml, line 6: most-fead"));
    CHECK_THAT(extra.what(), ContainsSubstring("'most-feed'"));

    const auto inner = reading(good_machine + "spinup = 4\n");
    CHECK_THAT(inner.what(), ContainsSubstring("line 13: spindle.spinup"));
    CHECK_THAT(inner.what(), ContainsSubstring("'spin-up'"));

    const auto type = reading(with(good_machine, "0.01", "\"fine\""));
    CHECK_THAT(type.what(), ContainsSubstring("line 4: corner-tolerance"));
    CHECK_THAT(type.what(), ContainsSubstring("text"));

    CHECK_THAT(reading(with(good_machine, "[250, 160, 55]", "[250, 160]")).what(), ContainsSubstring("line 1: travel"));
    CHECK_THAT(reading(with(good_machine, "[250, 160, 55]", "[250, 160, 0]")).what(), ContainsSubstring("line 1: travel"));
    CHECK_THAT(reading(with(good_machine, "[250, 160, 55]", "[250, -160, 55]")).what(), ContainsSubstring("-160"));
    CHECK_THAT(reading(with(good_machine, "= 0.01", "= nan")).what(), ContainsSubstring("line 4: corner-tolerance"));
    CHECK_THAT(reading(with(good_machine, "= 16", "= 16.5")).what(), ContainsSubstring("whole number"));
    CHECK_THAT(reading(with(good_machine, "most-rpm = 10000", "most-rpm = 9000")).what(), ContainsSubstring("line 10: spindle.most-rpm"));
    CHECK_THAT(reading(with(good_machine, "= true", "= 1")).what(), ContainsSubstring("line 7: typical-dynamics"));
    CHECK_THAT(reading(good_machine.substr(0, good_machine.find("[spindle]"))).what(), ContainsSubstring("[spindle] or a [laser]"));
    CHECK_THAT(reading(with(good_machine, "rapid = ", "rapid ")).what(), ContainsSubstring("press.toml, line 2"));
}

TEST_CASE("a bit file says all of it") {
    const std::string text =
        "shape = \"vee\"\ndiameter = 3.175\nincluded-angle = 60\ntip = 0.1\ncutting-length = 6\nstick-out = 20\nshank = 3.175\nflutes = 1\n"
        "centre-cutting = false\n";
    const auto bit = read_bit(text, "mine.toml");
    CHECK(bit.sizes() == "vee:60:0.1:3.175");
    CHECK(bit.spec().stick_out == 20);
    CHECK(bit.spec().flutes == 1);
    CHECK_FALSE(bit.spec().centre_cutting);
    const auto reading = [](const std::string& t) { return error_of([&] { return read_bit(t, "mine.toml"); }); };
    CHECK_THAT(reading(with(text, "flutes = 1\n", "")).what(), ContainsSubstring("flutes: this key is missing"));
    CHECK_THAT(reading(with(text, "\"vee\"", "\"ve\"")).what(), ContainsSubstring("did you mean 'vee'"));
    CHECK_THAT(reading(with(text, "tip = 0.1", "tip = 4")).what(), ContainsSubstring("line 4: tip"));
    CHECK_THAT(reading(with(text, "cutting-length = 6", "cutting-length = 30")).what(), ContainsSubstring("line 5: cutting-length"));
    // A ball has no angle: the key is unknown there.
    CHECK_THAT(reading(with(text, "\"vee\"", "\"ball\"")).what(), ContainsSubstring("included-angle: this key is unknown"));
}

TEST_CASE("the first folder wins, paths work wherever names do, unknown names are answered") {
    const Folder own, other;
    own.put("machines/press.toml", with(good_machine, "= 16", "= 5"));
    other.put("machines/press.toml", good_machine);
    other.put("machines/bench.toml", good_machine);
    const PresetFolders both{{own.path(), other.path(), own.path() / "missing"}};
    CHECK(find_machine(both, "press").planned_moves == 5);
    CHECK(find_machine(both, "bench").planned_moves == 16);
    CHECK(find_machine(both, (other.path() / "machines" / "press.toml").string()).planned_moves == 16);
    CHECK(preset_names(both, "machines") == std::vector<std::string>{"bench", "press"});
    CHECK(preset_text(both, "press") == with(good_machine, "= 16", "= 5"));

    const auto near = error_of([&] { return find_machine(house, "desk-240x15"); });
    CHECK(near.fault() == Fault::usage);
    CHECK_THAT(near.what(), ContainsSubstring("'desk-240x150'"));
    const auto far = error_of([&] { return find_material(house, "unobtainium"); });
    CHECK(far.fault() == Fault::usage);
    CHECK_THAT(far.what(), ContainsSubstring("pine"));
    CHECK_THAT(error_of([&] { return find_bit(house, "drill:1"); }).what(), ContainsSubstring("'drill-1'"));
    CHECK_THAT(error_of([&] { return preset_text(house, "pin"); }).what(), ContainsSubstring("'pine'"));
    CHECK(error_of([&] { return find_machine(house, "nowhere/press.toml"); }).fault() == Fault::input);
    CHECK(error_of([&] { return find_machine(PresetFolders{}, "press"); }).fault() == Fault::usage);
    CHECK(find_bit(house, "ball:1.0").name() == "ball:1.0");
}

TEST_CASE("the nearest name is the one with the fewest slips") {
    // Source: optimal string alignment distance, Damerau 1964; the words by hand.
    const std::vector<std::string> words{"depth", "width", "height", "depth-per-pass"};
    CHECK(nearest_name("dpeth", words) == "depth");
    CHECK(nearest_name("wdith", words) == "width");
    CHECK(nearest_name("heigth", words) == "height");
    CHECK(nearest_name("depth-per-pas", words) == "depth-per-pass");
    CHECK(nearest_name("colour", words).empty());
    CHECK(nearest_name("", words).empty());
}

TEST_CASE("quoted text reads back") {
    const std::string nasty = "a \"b\" \\c\\ \n\t\x01 é";
    const auto table = parse_toml("t = " + toml_quoted(nasty) + "\n", "t.toml");
    CHECK(table["t"].value<std::string>() == nasty);
}

// Straight lines between points, on paper: half way from (0, 0) to (0.4, 0.2) the darkness is 0.1. The inverse takes the least amount.
TEST_CASE("tone curves give a darkness for an amount and the least amount for a darkness") {
    const burin::ToneCurve curve{{{0, 0}, {0.4, 0.2}, {0.8, 1}, {1, 1}}};
    CHECK(burin::darkness_for(curve, 0.2) == Approx(0.1));
    CHECK(burin::darkness_for(curve, 0.6) == Approx(0.6));
    CHECK(burin::darkness_for(curve, -1) == 0);
    CHECK(burin::darkness_for(curve, 9) == 1);
    CHECK(burin::amount_for(curve, 0.1) == Approx(0.2));
    CHECK(burin::amount_for(curve, 0.6) == Approx(0.6));
    CHECK(burin::amount_for(curve, 1) == Approx(0.8));
    CHECK(burin::amount_for({}, 0.3) == Approx(0.3));
    CHECK(burin::amount_for({{{0, 0}, {1, 0.5}}}, 0.9) == 1);
}

TEST_CASE("a material keeps its tone curves, and one that is none is refused") {
    const auto material = [](const std::string& curve) {
        std::string text =
            "title = \"Shingle\"\nsource = \"invented\"\nfor-spindle = false\nspindle-note = \"too hard\"\nfor-laser = true\n";
        text += "colour = \"#808080\"\ncut-colour = \"#404040\"\ngrain = \"none\"\ngloss = 0.1\n";
        return burin::read_material(text + "burn-tone = " + curve + "\n", "shingle.toml");
    };
    const auto read = material("[[0, 0], [0.25, 0.1], [1.5, 0.9]]");
    REQUIRE(read.burn_tone.points.size() == 3);
    CHECK(burin::read_material(burin::write_material(read), "again.toml").burn_tone.points == read.burn_tone.points);
    for (const char* bad :
         {"[[0, 0]]", "[[0, 0], [0, 1]]", "[[0, 1], [1, 0]]", "[[0, 0], [1, 2]]", "[[0, 0.5], [1, 0.5]]", "[0, 1]", "[[0, \"a\"]]", "3"})
        CHECK_THROWS_AS(material(bad), burin::Error);
}
