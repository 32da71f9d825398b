// Measured points as people have them. No standard says how; each form below is common practice, no source.
#include "burin/workshop/probe_log.hpp"

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

TEST_CASE("Plain lines, tables and bracketed reports say the same", "[probe_log]") {
    for (const char* text : {"10 20 -0.15\n30\t20 +0.05\n", "# measured in the boathouse\nx,y,z\n10,20,-0.15\r\n30,20,0.05\r\n",
                             "z;y;x;when\n-0.15;20;10;9:40\n0.05;20;30;9:41", "10, 20, -0.15\n\n30, 20, .05\n",
                             "\"X (mm)\",\"Y (mm)\",\"Z (mm)\"\n10,20,-0.15\n30,20,0.05\n"}) {
        const ProbeLog log = read_probe_log(text);
        INFO(text);
        REQUIRE(log.points.size() == 2);
        CHECK_FALSE(log.reports);
        CHECK(log.points[0].at == Point3{10, 20, -0.15});
        CHECK(log.points[1].at == Point3{30, 20, 0.05});
    }
    const ProbeLog log = read_probe_log(
        "ok\n> G38.2 Z-2 F60\n[PRB:-110.000,-80.250,-12.345:1]\nok\n[PRB:-90.000,-80.250,-14.000:0]\n[PRB:-90.000,-80.250,-12.300:1]\n");
    CHECK(log.reports);
    REQUIRE(log.points.size() == 2);
    CHECK(log.points[0].at == Point3{-110, -80.25, -12.345});
    CHECK(log.points[1].line == 6);
    CHECK(log.passed_over == 4);
}

TEST_CASE("What is no measured point is told with its line", "[probe_log]") {
    const auto told = [](const char* text, const char* words) { CHECK_THROWS_WITH(read_probe_log(text), ContainsSubstring(words)); };
    told("", "no measured points");
    told("# nothing\n\n", "no measured points");
    told("1 2\n", "Line 1");
    told("1 2 3\n4 5 six\n", "Line 2");
    told("1 2 nan\n", "Line 1");
    told("1 2 inf\n", "Line 1");
    told("1 2 1e9\n", "within 10 m");
    told("10,5, 20,0, -0,15\n", "point and not a comma");
    told("10,5;20,0;-0,15\n", "point and not a comma");
    told("1 2 3 4\n", "three numbers");
    told("[PRB:1,2,3]\n", "Line 1");
    told("[PRB:1,2:1]\n", "fewer than three");
    told("[PRB:1,2,3:x]\n", "neither 0 nor 1");
    told("[PRB:1,2,3:0]\n", "none of a probe that touched");
    CHECK_THROWS_WITH(read_probe_log(std::string("1 2 3\n\0", 7)), ContainsSubstring("no text"));
    CHECK_THROWS_WITH(read_probe_log("1 2 3\n1 3 3\n", {.most_bytes = 100, .most_points = 1}), ContainsSubstring("Line 2"));
    CHECK_THROWS_WITH(read_probe_log("1 2 3\n1 3 3\n", {.most_bytes = 5, .most_points = 1}), ContainsSubstring("bytes"));
}
