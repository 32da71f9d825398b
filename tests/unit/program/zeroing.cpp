/// Words that probe and set zeros: NISTIR 6556 (G38.2, G10 L2, G92, G92.1, parameters #5061 …, #5221 …); G10 L20 is common practice, no
/// source.
#include "burin/program/zeroing.hpp"

#include <limits>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

using Kind = ZeroStep::Kind;

using Axes = std::array<std::optional<double>, 3>;
constexpr auto no = std::nullopt;

const std::vector<ZeroStep> plate{{Kind::probe, true, Axes{no, no, -20.0}, 100, {}}, {Kind::set, false, Axes{no, no, 15.2}, 0, {}},
                                  {Kind::rapid, false, Axes{no, no, 17.2}, 0, {}},   {Kind::pause, false, Axes{}, 0, "Look (here)"},
                                  {Kind::feed, true, Axes{-3.0, no, no}, 200.9, {}}, {Kind::probe, false, Axes{2.0, no, no}, 25, {}},
                                  {Kind::set, false, Axes{-1.5, no, no}, 0, {}}};

bool refused(const std::vector<ZeroStep>& steps, ZeroBy by = ZeroBy::g10_l20) {
    try {
        (void)write_zeroing(steps, {by, {}});
    } catch (const Error& error) {
        return error.fault() == Fault::refused;
    }
    return false;
}

}  // namespace

TEST_CASE("a probing program is written word by word") {
    const std::string head = "(Lamp, zero)\nG21 G90 G17 G94 G54\nM5\n",
                      look = "G0 Z17.200\n(MSG, Look [here])\nM0\nG91\nG1 X-3.000 F200\nG90\nG38.2 X2.000 F25\n";
    CHECK(write_zeroing(plate, {ZeroBy::g10_l20, {"Lamp; zero"}}) ==
          head + "G91\nG38.2 Z-20.000 F100\nG90\nG10 L20 P1 Z15.200\n" + look + "G10 L20 P1 X-1.500\nM5\nM2\n");
    CHECK(write_zeroing(plate, {ZeroBy::g92, {"Lamp; zero"}}) ==
          head + "G91\nG38.2 Z-20.000 F100\nG90\nG92 Z15.200\n" + look + "G92 X-1.500\nM5\nM2\n");
    CHECK(write_zeroing(plate, {ZeroBy::g10_l2, {"Lamp; zero"}}) ==
          head + "G92.1\nG91\nG38.2 Z-20.000 F100\nG90\nG10 L2 P1 Z[#5223+#5063-15.200]\n" + look +
              "G10 L2 P1 X[#5221+#5061+1.500]\nM5\nM2\n");
}

TEST_CASE("steps that cannot be written are refused") {
    CHECK(refused({{Kind::rapid, false, Axes{}, 0, {}}}));
    CHECK(refused({{Kind::probe, true, Axes{no, no, -5.0}, 0, {}}}));
    CHECK(refused({{Kind::feed, true, Axes{no, no, -5.0}, 1e6, {}}}));
    CHECK(refused({{Kind::rapid, false, Axes{no, no, std::numeric_limits<double>::quiet_NaN()}, 0, {}}}));
    CHECK(refused({{Kind::set, false, Axes{20000.0, no, no}, 0, {}}}));
    CHECK(refused({{Kind::set, false, Axes{0.0, no, no}, 0, {}}}, ZeroBy::g10_l2));  // nothing was probed
    CHECK_FALSE(refused({{Kind::set, false, Axes{0.0, no, no}, 0, {}}}));
}
