// A stock as it is: its file, and what lies on it.
#include "burin/workshop/traced_piece.hpp"

#include "burin/base/error.hpp"
#include "burin/workshop/stock.hpp"
#include "check.hpp"

using namespace burin;

namespace {

const Loop edge{{0, 0}, {80, 0}, {80, 40}, {40, 60}, {0, 40}}, wood{{3, 3}, {77, 3}, {77, 38}, {40, 56}, {3, 38}};

std::string sentence(const char* toml) {
    try {
        (void)read_traced_piece(toml, "slice.toml");
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::usage);
        return error.what();
    }
    return "";
}

bool says(const std::string& text, const char* part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("What may be cut of a traced piece is its wood", "[traced]") {
    const Stock stock = make_stock(TracedPiece(edge, wood, 14), Anchor::lower_left);
    CHECK(stock.bounds == Box{{0, 0}, {80, 60}});
    CHECK(stock.thickness == 14);
    CHECK(stock.holds({40, 30}));
    CHECK_FALSE(stock.holds({1, 1}));    // bark
    CHECK_FALSE(stock.holds({75, 55}));  // in the rectangle round it, beside the piece
    CHECK_FALSE(stock.holds({2, 20}));
    CHECK(stock.holds({2, 20}, 1.01));
    CHECK_FALSE(stock.holds({2, 20}, 0.99));
    const Stock centred = make_stock(TracedPiece(edge, wood, 14), Anchor::centre);
    CHECK(centred.bounds == Box{{-40, -30}, {40, 30}});
    CHECK(centred.holds({0, 25}));
    CHECK_FALSE(centred.holds({-38.5, -28.5}));
}

TEST_CASE("A piece's file is read as it was written", "[traced]") {
    TracedPiece piece(edge, wood, 14);
    piece.photo = "straight.png";
    piece.photo_box = {{-6, -6}, {86, 66}};
    piece.marks = {{10, 10}, {70, 10}};
    const TracedPiece again = read_traced_piece(write_traced_piece(piece), "slice.toml");
    CHECK(again.outer() == piece.outer());
    CHECK(again.wood() == piece.wood());
    CHECK(again.photo == "straight.png");
    CHECK(again.photo_box == piece.photo_box);
    CHECK(again.marks == piece.marks);
    CHECK(write_traced_piece(again) == write_traced_piece(piece));
    CHECK_FALSE(read_traced_piece("thickness = 5\nouter = [[0,0],[9,0],[0,9]]\n", "s").has_bark());
}

TEST_CASE("A piece that cannot be is told with its file", "[traced]") {
    CHECK(says(sentence("thickness = 14\nouter = [[0,0],[80,0],[0,60],[80,60]]\n"), "crosses itself"));
    CHECK(says(sentence("thickness = 14\nouter = [[0,0],[80,0]]\n"), "slice.toml, line 2: outer"));
    CHECK(says(sentence("outer = [[0,0],[80,0],[0,60]]\n"), "thickness"));
    CHECK(says(sentence("thickness = 14\nouter = [[0,0],[9000,0],[0,60]]\n"), "5 m"));
    CHECK(says(sentence("thickness = 14\nouter = [[0,0],[80,0],[0,60]]\nwood = [[0,0],[90,0],[0,60]]\n"), "sticks out"));
    CHECK(says(sentence("thickness = 14\nouter = [[0,0],[80,0],[0,60]]\nphoto = \"p.png\"\n"), "photo-box"));
    CHECK(says(sentence("thickness = 14\nouter = [[0,0],[80,0],[0,60]]\nbrak = 3\n"), "brak"));
}
