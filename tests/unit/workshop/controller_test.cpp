// A controller's list of settings. The form of its lines and what its numbers mean are common practice, no source; how a value becomes a
// machine's is the contract of controller.hpp.
#include "burin/workshop/controller.hpp"

#include <filesystem>

#include "burin/base/error.hpp"
#include "burin/workshop/presets.hpp"
#include "check.hpp"

using namespace burin;

namespace {

const PresetFolders house{{std::filesystem::path(BURIN_SOURCE) / "presets"}};

Controller usual() { return find_controller(house, "numbered-settings"); }
Machine desk() { return find_machine(house, "desk-240x150"); }

MachineFromSettings made_from(const std::string& text, const Machine& like = desk(), const Controller& controller = usual()) {
    return machine_from(read_settings(text, controller, "list.txt"), controller, like, "tower", "list.txt");
}

/// The sentence with which it is refused; every one is an input's fault.
template <class Deed>
std::string refusal(const Deed& deed, Fault fault = Fault::input) {
    try {
        deed();
    } catch (const Error& error) {
        CHECK(error.fault() == fault);
        return error.what();
    }
    return "nothing was wrong";
}

const std::string whole =
    "Ready at the lamp\r\n\r\n$11=0.020 (junction deviation, mm)\r\n$22=1\r\n$30=12000.\r\n$31=8000\r\n$32=0\r\n$110=2500.000 (x max "
    "rate)\r\n"
    "$111=2400\r\n$112 = 900\r\n  $120=150.5 ; x accel\r\n$121=140\r\n$122=70\r\n$130=260.000\r\n$131=170\r\n$132=45\r\n$999=lamp "
    "room\r\nok\r\n";

}  // namespace

TEST_CASE("a list of settings becomes a machine, and says where each figure came from") {
    const MachineFromSettings made = made_from(whole);
    const Machine& m = made.machine;
    CHECK((m.travel == std::array<double, 3>{260, 170, 45}));
    CHECK((m.rapid == std::array<double, 3>{2500, 2400, 900}));
    CHECK((m.acceleration == std::array<double, 3>{150.5, 140, 70}));
    CHECK(m.corner_tolerance == 0.02);
    CHECK((m.homes && !m.typical_dynamics));
    CHECK((m.spindle->most_rpm == 12000 && m.spindle->least_rpm == 8000));
    CHECK(m.planned_moves == desk().planned_moves);  // the list does not say
    CHECK((made.unknown == std::vector<int>{999}));
    CHECK(made.warnings.empty());
    for (const FigureOrigin& origin : made.origins) {
        INFO(origin.key);
        CHECK(origin.line > 0);
        if (origin.key == "rapid z") CHECK((origin.line == 10 && origin.number == 112 && origin.value == "900 mm/min"));
    }
    // What is written reads back to the same machine.
    const std::string text = write_machine(m);
    CHECK(write_machine(read_machine(text, "tower.toml")) == text);
}

TEST_CASE("what a list does not say is as in the other machine, and told") {
    const MachineFromSettings made = made_from("$110=3000\n$30=1000\n$31=0\n");
    CHECK((made.machine.rapid == std::array<double, 3>{3000, 2000, 800}));
    CHECK(made.machine.typical_dynamics);
    CHECK(made.machine.spindle->most_rpm == 10000);  // 1000 is a driver's scale, no spindle's speed
    CHECK(made.warnings.size() == 1);
    std::size_t filled = 0;
    for (const FigureOrigin& origin : made.origins) filled += origin.line == 0;
    CHECK(filled == made.origins.size() - 1);
    // The greatest feed follows rates that are slower.
    CHECK(made_from("$110=600\n").machine.most_feed == 600);
    // A beam has the same number as its scale, and a word for what M4 does.
    const MachineFromSettings beam = made_from("$30=255\n$32=1\n", find_machine(house, "laser-240x150"));
    CHECK((beam.machine.laser->scale == 255 && beam.machine.laser->scales_with_speed));
    CHECK(beam.warnings.empty());
    CHECK(made_from("$30=255\n$32=0\n", find_machine(house, "laser-240x150")).warnings.size() == 1);
}

TEST_CASE("another controller needs a file and no code") {
    // mm/s and metres: factors are plain multiplication.
    const Controller other = read_controller(
        "mark = \"P\"\nknown = [7]\n[[setting]]\nnumber = 1\nsets = \"rapid-x\"\nunit = \"mm/s\"\nfactor = 60\n"
        "[[setting]]\nnumber = 2\nsets = \"travel-x\"\nunit = \"m\"\nfactor = 1000\n[[setting]]\nnumber = 3\nsets = \"homes\"\nyes = 2\n",
        "other.toml");
    const Machine m = made_from("P1=50\nP2=0.25\nP3=1\nP7=9\n$110=1\n", desk(), other).machine;
    CHECK((m.rapid[0] == 3000 && m.travel[0] == 250 && !m.homes));
    CHECK(made_from("P3=2\n", desk(), other).machine.homes);
    const auto wrong = [](const std::string& toml) { return refusal([&] { (void)read_controller(toml, "other.toml"); }, Fault::usage); };
    CHECK_THAT(wrong("mark = \"\"\n"), ContainsSubstring("[[setting]]"));
    CHECK_THAT(wrong("mark = \"\"\n[[setting]]\nnumber = 1\nsets = \"rapid-w\"\n"),
               ContainsSubstring("line 4") && ContainsSubstring("rapid-"));
    CHECK_THAT(wrong("mark = \"\"\n[[setting]]\nnumber = 1\nsets = \"rapid-x\"\n[[setting]]\nnumber = 2\nsets = \"rapid-x\"\n"),
               ContainsSubstring("line 7") && ContainsSubstring("number 1"));
    CHECK_THAT(wrong("mark = \"\"\nknown = [1, 2.5]\n"), ContainsSubstring("line 2"));
}

TEST_CASE("lists that cannot be are refused with their line") {
    const auto wrong = [](const std::string& text) { return refusal([&] { (void)made_from(text); }); };
    CHECK_THAT(wrong(""), ContainsSubstring("no line") && ContainsSubstring("$$"));
    CHECK_THAT(wrong("Dear keeper,\nthe lamp is out = dark\n"), ContainsSubstring("no line"));
    CHECK_THAT(wrong(std::string("$110=1\0", 7)), ContainsSubstring("no text"));
    CHECK_THAT(wrong("$110=\n"), ContainsSubstring("line 1") && ContainsSubstring("no value"));
    CHECK_THAT(wrong("$110=5\n$110=6\n"), ContainsSubstring("line 2") && ContainsSubstring("line 1"));
    CHECK_THAT(wrong("\n$110=2000,5\n"), ContainsSubstring("line 2") && ContainsSubstring("comma"));
    CHECK_THAT(wrong(std::string(SettingsList::most_bytes + 1, ' ')), ContainsSubstring("larger"));
    for (const char* value : {"nan", "inf", "1e3", "2000mm", "0x10", "-", "+", "1.2.3"})
        CHECK_THAT(wrong(std::string("$110=") + value), ContainsSubstring("decimal"));
    for (const char* line : {"$110=0", "$110=-5", "$120=0", "$130=0", "$131=99999", "$132=-1", "$11=0", "$11=11", "$30=9999999"}) {
        INFO(line);
        CHECK_THAT(wrong(std::string("ok\n") + line + "\n"), ContainsSubstring("line 2") && ContainsSubstring("no machine has"));
    }
    CHECK(wrong("$132=0\n") != "nothing was wrong");  // a spindle needs to go down
    // The same twice is no fault, nor is text of what nobody asks.
    CHECK(made_from("\xef\xbb\xbf$110=5\n$110=5\n$74=keeper's net\n").machine.rapid[0] == 5);
}

TEST_CASE("how a machine sets its zero stands in its file") {  // NISTIR 6556: G10 L2, G92; G10 L20 is common practice
    CHECK(desk().zero_by == ZeroBy::g10_l20);
    Machine machine = desk();
    for (const ZeroBy by : {ZeroBy::g10_l20, ZeroBy::g10_l2, ZeroBy::g92}) {
        machine.zero_by = by;
        CHECK(read_machine(write_machine(machine), "m.toml").zero_by == by);
    }
    CHECK_THAT(refusal([] { (void)read_machine("zero-by = \"G10 L3\"\n" + write_machine(desk()), "m.toml"); }, Fault::usage),
               ContainsSubstring("line 1") && ContainsSubstring("G10 L20"));
}

TEST_CASE("headers without a name and letters without quotes are told, and what only looks like them is left alone") {  // TOML 1.0: tables,
                                                                                                                        // arrays, strings
    for (const char* text : {"[$=4\n", "a = 1\n[\n", "[[ \t]\n[[", "a = [\n1]\n  [%]\n", "a = '''\n[$]\n'''\n[\x01]\n"})
        CHECK_THAT(refusal([&] { (void)read_machine(text, "m.toml"); }, Fault::usage), ContainsSubstring("m.toml, line"));
    CHECK_THAT(refusal([] { (void)read_machine("a = '''\n[$]\n'''\n[\x01]\n", "m.toml"); }, Fault::usage),
               ContainsSubstring("line 4: this is not TOML"));
    for (const char* text : {"größe = 1\n", "[größe]\n", "name = Möwe\n", "\"a\" \xc3\xb6 = 1\n"})
        CHECK_THAT(refusal([&] { (void)read_machine(text, "m.toml"); }, Fault::usage),
                   ContainsSubstring("line 1") && ContainsSubstring("quotes"));
    for (const char* text : {"\xef\xbb\xbfname = \"Möwe\" # Möwe\n", "name = 'Mö' # [ö\n", "[\"größe\"]\n", "\"größe\" = 1\n"})
        CHECK_THAT(refusal([&] { (void)read_machine(text, "m.toml"); }, Fault::usage), !ContainsSubstring("not TOML"));
    // None of these is wrong TOML: the complaint is about the key.
    for (const char* text : {"colour = [\n[1],\n[\n2]]\n", "colour = \"\"\"\n[$ \\\"\"\" \n[$\"\"\"\"\n", "# [$\ncolour = '[$' # [\n",
                             "[ colour ]\n[[ \"$\" ]]\n[-]\n"})
        CHECK_THAT(refusal([&] { (void)read_machine(text, "m.toml"); }, Fault::usage), !ContainsSubstring("not TOML"));
}
