/// Job files: what they say, what is wrong with them, and that a written one reads back. No source: the contract of
/// job_file.hpp.
#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/job/job_file.hpp"
#include "burin/workshop/presets.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr const char* heron = R"(name = "Heron on an ash slice"          # the museum shop's best seller
machine = "desk-240x150"
material = "wood/ash.toml"
stock = "round:95x14"
zero = "centre"

[[cut]]
make = "relief"
picture = "heron.png"
heights = "map"
width = 60
depth = 2.5
at = [1, -2.5]
levels = "2,98"
invert = true
bit = ["flat:3.175", { use = "ball:1.0", feed = 700 }]
)";

std::string wrong(const std::string& text) {
    try {
        (void)read_job(text, "heron.toml", "/museum");
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::usage);
        return error.what();
    }
    return "";
}
std::string with(const std::string& line) { return std::string(heron) + line + "\n"; }

}  // namespace

TEST_CASE("a job file is read, paths from where it lies") {
    const Job job = read_job(heron, "heron.toml", "/museum");
    CHECK(job.name == "Heron on an ash slice");
    CHECK(job.machine == "desk-240x150");
    CHECK(job.material == "/museum/wood/ash.toml");
    CHECK(job.stock == "round:95x14");
    REQUIRE(job.cuts.size() == 1);
    const Cut& cut = job.cuts[0];
    CHECK(cut.picture == "/museum/heron.png");
    CHECK(cut.width == 60);
    CHECK(cut.depth == 2.5);
    CHECK(cut.invert == true);
    CHECK_FALSE(cut.height);
    CHECK((cut.at && *cut.at == Point{1, -2.5}));
    CHECK((cut.levels && *cut.levels == Point{2, 98}));
    REQUIRE(cut.bits.size() == 2);
    CHECK(cut.bits[0].use == "flat:3.175");
    CHECK(cut.bits[1].use == "ball:1.0");
    CHECK(cut.bits[1].wishes.feed == 700);
}

TEST_CASE("a written job file reads back to the same") {
    Job job = read_job(heron, "heron.toml", "/museum");
    job.trial = Point{20, 15};
    job.inch = true;
    job.reckoned = {"zero"};
    job.cuts[0].sha256 = "00ff";
    job.cuts[0].reckoned = {"depth", "at", "bit"};
    job.cuts[0].bits[1].reckoned = {"feed"};
    job.cuts[0].bits[1].bit = Bit::parse("ball:1.0");
    job.machine_table = read_machine(read_text(BURIN_SOURCE "/presets/machines/desk-240x150.toml", "preset"), "desk-240x150.toml");
    job.material_table = read_material(read_text(BURIN_SOURCE "/presets/materials/walnut.toml", "preset"), "walnut.toml");
    const std::string text = write_job(job);
    INFO(text);
    const Job back = read_job(text, "job.toml", "/elsewhere");
    CHECK(write_job(back) == text);
    CHECK(back.reckoned == std::vector<std::string>{"zero"});
    CHECK(back.cuts[0].reckoned.size() == 3);
    CHECK(back.cuts[0].bits[1].reckoned == std::vector<std::string>{"feed"});
    CHECK(back.cuts[0].picture == "/museum/heron.png");
    CHECK(back.machine == "desk-240x150");
    CHECK(back.material == "walnut");
    REQUIRE(back.machine_table);
    CHECK(back.machine_table->travel == job.machine_table->travel);
    REQUIRE(back.cuts[0].bits[1].bit);
    CHECK(back.cuts[0].bits[1].bit->name() == "ball:1.0");
    CHECK((back.trial && *back.trial == Point{20, 15}));
    CHECK(text.find("\nstock = ") < text.find("\nzero = "));  // the order of the table, not of the alphabet
    CHECK(text.find("\nwidth = ") < text.find("\ndepth = "));
}

TEST_CASE("a mistake is named by file, line, key and the nearest right one") {
    CHECK_THAT(wrong(with("widht = 3")), ContainsSubstring("heron.toml, line 17: cut.widht") && ContainsSubstring("'width'"));
    CHECK_THAT(wrong(std::string("zreo = \"centre\"\n") + heron), ContainsSubstring("line 1: zreo") && ContainsSubstring("'zero'"));
    CHECK_THAT(wrong(with("stepover = 0")), ContainsSubstring("line 17: cut.stepover") && ContainsSubstring("above 0"));
    CHECK_THAT(wrong(with("stepover = nan")), ContainsSubstring("cut.stepover"));
    CHECK_THAT(wrong(with("stepover = inf")), ContainsSubstring("cut.stepover"));
    CHECK_THAT(wrong(with("stepover = \"0.1\"")), ContainsSubstring("a number"));
    CHECK_THAT(wrong(with("mirror = 1")), ContainsSubstring("true or false"));
    CHECK_THAT(wrong(with("height = 4")), !ContainsSubstring("heron"));  // that one is right
    CHECK_THAT(wrong(with("border = \"soft\"")), ContainsSubstring("cut.border"));
    CHECK_THAT(wrong(with("machine = \"desk-300x200\"")), ContainsSubstring("top of the file"));
    CHECK_THAT(wrong(std::string("depth = 2\n") + heron), ContainsSubstring("[[cut]]"));
    CHECK_THAT(wrong(with("depth = 3")), ContainsSubstring("heron.toml, line 17"));  // twice the same key: TOML itself forbids it
    CHECK_THAT(wrong("name = \"x\"\n"), ContainsSubstring("[[cut]]"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"relief\"\n"), ContainsSubstring("cut.picture"));
    CHECK_THAT(wrong("name = \"x\"\n[[cut]]\npicture = \"a\"\n"), ContainsSubstring("line 2: cut.make") && ContainsSubstring("relief"));
    CHECK_THAT(wrong(with("reckoned = [\"width\"]")), ContainsSubstring("line 17: cut.reckoned") && ContainsSubstring("table"));
    CHECK_THAT(wrong(with("reckoned = { widht = 3 }")), ContainsSubstring("cut.reckoned.widht") && ContainsSubstring("'width'"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"releif\"\npicture = \"a\"\n"),
               ContainsSubstring("line 2: cut.make") && ContainsSubstring("'relief'"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"relief\"\npicture = \"a\"\nbit = { use = \"ball:1.0\", fede = 3 }\n"),
               ContainsSubstring("cut.bit.fede") && ContainsSubstring("'feed'"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"relief\"\npicture = \"a\"\nbit = { feed = 3 }\n"), ContainsSubstring("use"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"relief\"\npicture = \"a\"\nbit = []\n"), ContainsSubstring("cut.bit"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"relief\"\npicture = \"a\"\nbit = \"ball:-1\"\n"), ContainsSubstring("line 4: cut.bit"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"relief\"\npicture = \"a\"\nbit = { use = \"ball:1\", sizes = { shape = \"bal\" } }\n"),
               ContainsSubstring("heron.toml"));
    CHECK_THAT(wrong("cut = 3\n"), ContainsSubstring("[[cut]]"));
    CHECK_THAT(wrong("= 3\n"), ContainsSubstring("heron.toml, line 1"));
    CHECK_THAT(wrong("[machine]\ntravle = [1, 2, 3]\n[[cut]]\npicture = \"a\"\n"), ContainsSubstring("heron.toml, line 1: machine.travel"));
}

TEST_CASE("a value that an earlier run chose counts as chosen until somebody changes it") {
    const std::string head = "[[cut]]\nmake = \"relief\"\npicture = \"a\"\nwidth = 60\n";
    const auto left = [&](const std::string& lines) { return read_job(head + lines, "job.toml", "/").cuts[0].reckoned; };
    const std::vector<std::string> none;
    CHECK(left("stepover = 0.1\nreckoned = { stepover = 0.1 }\n") == std::vector<std::string>{"stepover"});
    CHECK(left("stepover = 0.2\nreckoned = { stepover = 0.1 }\n") == none);
    CHECK(left("reckoned = { stepover = 0.1 }\n") == none);
    CHECK(left("border = \"step\"\nat = [3, 4]\nreckoned = { border = \"step\", at = \"3,4\" }\n").size() == 2);
    CHECK(left("bit = [\"flat:3\", \"ball:1\"]\nreckoned = { bit = [\"flat:3\", \"ball:1\"] }\n").size() == 1);
    CHECK(left("bit = [\"flat:3\", \"ball:2\"]\nreckoned = { bit = [\"flat:3\", \"ball:1\"] }\n") == none);
    const auto feeds = [&](const std::string& feed) {
        return read_job(head + "bit = { use = \"ball:1\", feed = " + feed + ", plunge = 100, reckoned = { feed = 400, plunge = 100 } }\n",
                        "job.toml", "/")
            .cuts[0]
            .bits[0]
            .reckoned;
    };
    CHECK(feeds("400") == std::vector<std::string>{"feed", "plunge"});
    CHECK(feeds("300") == std::vector<std::string>{"plunge"});
}

TEST_CASE("sizes that were written out for another bit than the one named now are left aside") {
    const auto bit = [](const std::string& use, const std::string& name) {
        return read_job("[[cut]]\nmake = \"relief\"\npicture = \"a\"\n[[cut.bit]]\nuse = \"" + use + "\"\n[cut.bit.sizes]\nname = \"" +
                            name +
                            "\"\nshape = \"ball\"\ndiameter = 1\ncutting-length = 4\nstick-out = 18\nshank = 3.175\nflutes = 2\n"
                            "centre-cutting = true\n",
                        "job.toml", "/")
            .cuts[0]
            .bits[0]
            .bit;
    };
    REQUIRE(bit("ball:1.0", "ball:1.0"));
    CHECK(bit("ball:1.0", "ball:1.0")->diameter() == 1);
    CHECK_FALSE(bit("ball:2.0", "ball:1.0"));
}

TEST_CASE("sentences about options speak of keys where a job file is meant") {
    CHECK(in_keys("Give a smaller --depth-per-pass.") == "Give a smaller 'depth-per-pass'.");
    CHECK(in_keys("--at places the design; add --stock, as in --stock 100x80x12.") ==
          "'at' places the design; add 'stock', as in 'stock' 100x80x12.");
    CHECK(in_keys("Give another folder with -o, or --trial 20x20.") == "Give another folder with -o, or --trial 20x20.");
    CHECK(in_keys("-- --nothing ---depth") == "-- --nothing ---depth");
    CHECK(in_keys("--depth") == "'depth'");
}
