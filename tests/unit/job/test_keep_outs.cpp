/// Keep-outs in words, in job files, and through whole jobs. Source: the definition in the help, by hand.
#include "burin/base/drawn_refusal.hpp"
#include "burin/job/check.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/job/run.hpp"
#include "check.hpp"
#include "hill.hpp"

using namespace burin;

namespace {

std::string refused(const Job& job) {
    try {
        (void)run_job(job, tried::presets, tried::crew_of(2));
    } catch (const Error& error) {
        CHECK((error.fault() == Fault::refused || error.fault() == Fault::usage));
        return error.what();
    }
    return "";
}

std::string file_of(const Finished& finished, const std::string& name) {
    for (const OutputFile& file : finished.files)
        if (file.name == name) return file.content;
    return "";
}

}  // namespace

TEST_CASE("keep-outs are read from words") {
    const KeepOut box = parse_keep_out("box:-5,0,15.5,30:12", 2);
    CHECK(box.name() == "keep-out 2");
    CHECK(box.shape() == KeepOut::Shape::box);
    CHECK(box.bounds() == Box{{-5, 0}, {15.5, 30}});
    CHECK(box.height() == 12);
    const KeepOut screw = parse_keep_out("circle:50,5,8:-0.5:left screw");
    CHECK(screw.name() == "left screw");
    CHECK(screw.shape() == KeepOut::Shape::circle);
    CHECK(screw.bounds() == Box{{46, 1}, {54, 9}});
    CHECK(screw.height() == -0.5);
    for (const char* bad : {"", "box", "box:1,2,3:4", "box:1,2,3,4,5:6", "box:1,2,3,4", "box:1,2,3,4:", "box:1,2,,4:5", "circle:1,2:3",
                            "cone:1,2,3:4", "box:1,2,3,4:nan", "box:5,2,3,4:5", "box:1,4,3,4:5", "circle:1,2,0:4", "circle:1,2,-3:4",
                            "box:0,0,1e3,2:4", "box:0,0,900000,2:4", "circle:1,2,3:4:a name that is far too long to stand on a drawing"}) {
        CAPTURE(bad);
        try {
            (void)parse_keep_out(bad);
            FAIL("it was taken");
        } catch (const Error& error) {
            CHECK(error.fault() == Fault::usage);
            CHECK(std::string(error.what()).size() > 30);
        }
    }
    CHECK_THROWS_AS(parse_keep_outs(std::vector<std::string>(101, "circle:0,0,1:1")), Error);
}

TEST_CASE("job files hold keep-outs, one or a list, and write them back") {
    const std::string cut = "[[cut]]\nmake = \"relief\"\npicture = \"a\"\n";
    const Job one = read_job("keep-out = \"box:0,0,5,5:9\"\n" + cut, "job.toml", "/");
    CHECK(one.keep_outs == std::vector<std::string>{"box:0,0,5,5:9"});
    const Job two = read_job("keep-out = [\"box:0,0,5,5:9\", \"circle:9,9,2:1:screw\"]\n" + cut, "job.toml", "/");
    CHECK(two.keep_outs.size() == 2);
    CHECK(read_job(write_job(two), "job.toml", "/").keep_outs == two.keep_outs);
    for (const char* bad : {"keep-out = [\"box:0,0,5,5:9\", \"screw\"]\n", "keep-out = [7]\n", "keep-out = 7\n",
                            "reckoned = { keep-out = \"box:0,0,5,5:9\" }\n"}) {
        CAPTURE(bad);
        try {
            (void)read_job(bad + cut, "job.toml", "/");
            FAIL("it was taken");
        } catch (const Error& error) {
            CHECK_THAT(error.what(), ContainsSubstring("job.toml, line 1") && ContainsSubstring("keep-out"));
        }
    }
}

TEST_CASE("a job travels over its clamps, and is refused where one stands on the design") {
    const tried::Hill hill;
    Job job = hill.job();
    job.stock = "40x30x12";
    job.keep_outs = {"box:-8,10,4,20:8:left clamp", "circle:37,27,5:3"};
    const Finished finished = run_job(job, tried::presets, tried::crew_of(2));
    const std::string json = file_of(finished, "report.json"), paths = file_of(finished, "paths.svg");
    CHECK_THAT(json,
               ContainsSubstring("clear of keep-outs") && ContainsSubstring("\"left clamp\"") && ContainsSubstring("\"height_mm\": 8"));
    CHECK_THAT(paths, ContainsSubstring("left clamp"));
    CHECK_THAT(file_of(finished, "report.html"), ContainsSubstring("left clamp"));
    CHECK_THAT(file_of(finished, "job.toml"), ContainsSubstring("safe-height = 10\n"));
    // The same job from its own file, and one whose clamp is gone: the height follows.
    Job again = read_job(file_of(finished, "job.toml"), "job.toml", "/");
    CHECK(file_of(run_job(again, tried::presets, tried::crew_of(1)), "job.toml") == file_of(finished, "job.toml"));
    again.keep_outs.clear();
    CHECK_THAT(file_of(run_job(again, tried::presets, tried::crew_of(1)), "job.toml"), ContainsSubstring("safe-height = 3\n"));

    job.keep_outs = {"box:10,10,20,20:8:left clamp"};
    CHECK_THAT(refused(job), ContainsSubstring("clear of keep-outs") && ContainsSubstring("left clamp"));
    job.keep_outs = {"box:0,0,4,4:300:post"};  // higher than the machine can travel
    CHECK_THAT(refused(job), ContainsSubstring("post"));
}

TEST_CASE("a beam burns no clamp") {
    const tried::Hill hill;
    Job job = hill.job();
    job.cuts[0] = Cut{};
    job.cuts[0].make = "burn";
    job.cuts[0].picture = hill.path.string();
    job.cuts[0].width = 14;
    job.stock = "40x30x6";
    job.keep_outs = {"box:0,0,4,4:8"};
    CHECK_THAT(file_of(run_job(job, tried::presets, tried::crew_of(2)), "report.json"),
               ContainsSubstring("clear of keep-outs") && ContainsSubstring("How low the laser's head hangs is not known"));
    job.keep_outs = {"circle:20,15,3:8:screw"};  // in the middle of the picture
    CHECK_THAT(refused(job), ContainsSubstring("The beam would burn 'screw'"));
}

TEST_CASE("where the way over a clamp is too high, rapids go round it") {
    // A ridge between two hollows: from the one to the other a low rapid would meet it.
    const tried::Hill hill;
    Job job = hill.job(12);
    job.cuts[0].columns = 2;
    job.cuts[0].gap = Point{12, 0};
    job.stock = "60x40x12";
    job.safe_height = 3;
    job.keep_outs = {"circle:30,20,4:9:screw"};
    const Finished finished = run_job(job, tried::presets, tried::crew_of(2));
    CHECK_THAT(file_of(finished, "report.json"), ContainsSubstring("clear of keep-outs"));
    // Without it the way from one to the other is straight: there are more rapids now.
    Job without = job;
    without.keep_outs.clear();
    const auto rapids = [](const std::string& program) {
        std::size_t count = 0;
        for (std::size_t at = program.find("X"); at != std::string::npos; at = program.find("X", at + 1)) ++count;
        return count;
    };
    CHECK(rapids(file_of(finished, "2-finish.nc")) >= rapids(file_of(run_job(without, tried::presets, tried::crew_of(2)), "2-finish.nc")));
    job.keep_outs = {"circle:30,20,4:9:screw", "box:25,15,60,40:5:clamp"};  // on the second hollow
    try {
        (void)run_job(job, tried::presets, tried::crew_of(2));
        FAIL("it was made");
    } catch (const DrawnRefusal& refusal) {
        CHECK_THAT(refusal.what(), ContainsSubstring("clamp"));
        CHECK_THAT(refusal.drawing(), ContainsSubstring("<svg") && ContainsSubstring("clamp") && ContainsSubstring("r=\"5\""));
    }
}

TEST_CASE("a machine's file may hold the clamps that always stand there") {
    Machine machine = find_machine(tried::presets, "desk-240x150");
    CHECK(machine.keep_outs.empty());
    const std::string zones =
        "[[keep-out]]\nname = \"fence\"\nbox = [[-10, -5], [0, 100]]\nheight = 4\n[[keep-out]]\ncircle = [20, 15, 3]\nheight = 8\n";
    machine = read_machine(write_machine(machine) + zones, "own.toml");
    REQUIRE(machine.keep_outs.size() == 2);
    CHECK(machine.keep_outs[0].name() == "fence");
    CHECK(machine.keep_outs[0].bounds() == Box{{-10, -5}, {0, 100}});
    CHECK(machine.keep_outs[1].name() == "keep-out 2");
    CHECK(machine.keep_outs[1].shape() == KeepOut::Shape::circle);
    const Machine again = read_machine(write_machine(machine), "own.toml");
    CHECK(
        (again.keep_outs.size() == 2 && again.keep_outs[1].height() == 8 && again.keep_outs[0].bounds() == machine.keep_outs[0].bounds()));
    for (const char* bad :
         {"[[keep-out]]\nheight = 4\n", "[[keep-out]]\nbox = [[1, 2]]\nheight = 4\n", "[[keep-out]]\ncircle = [1, 2, 3]\n",
          "[[keep-out]]\nbox = [[1, 2], [0, 9]]\nheight = 4\n", "[[keep-out]]\nbox = [[1, 2], [3, 4]]\ncircle = [1, 2, 3]\nheight = 4\n"}) {
        CAPTURE(bad);
        CHECK_THROWS_AS(read_machine(write_machine(find_machine(tried::presets, "desk-240x150")) + bad, "own.toml"), Error);
    }
    const tried::Hill hill;
    std::ofstream(hill.folder / "own.toml") << write_machine(machine);
    Job job = hill.job();
    job.stock = "40x30x12";
    job.machine = (hill.folder / "own.toml").string();
    CHECK_THAT(refused(job), ContainsSubstring("keep-out 2"));  // it stands in the middle of the design
}

TEST_CASE("check holds any program against keep-outs") {
    const std::string program = "G21 G90 G17 G94 G54\nG0 Z3\nM3 S10000\nG4 P3\nG0 X10 Y10\nG1 Z-0.5 F100\nG1 X30 F300\nG0 Z3\nM5\nM2\n";
    const auto looked_at = [&](const std::vector<std::string>& zones) {
        Job job;
        job.cuts.emplace_back().bits.emplace_back().use = "flat:3.175";
        job.stock = "60x50x12";
        job.keep_outs = zones;
        return check_programs({{"1.nc", program}}, job, tried::presets, false, tried::crew_of(2));
    };
    CHECK(looked_at({"box:40,0,50,40:9:clamp"}).holds);
    const Checked hit = looked_at({"box:28,0,50,40:9:clamp"});
    CHECK_FALSE(hit.holds);
    REQUIRE_FALSE(hit.findings.empty());
    CHECK_THAT(hit.findings.front(), ContainsSubstring("1.nc, line 7") && ContainsSubstring("clamp"));
}
