// Paints the demo pictures into a folder: what hangs in the workshop of a small lighthouse museum.
#include <cstdio>
#include <exception>
#include <string>

#include "scene.hpp"

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fputs("Usage: burin_paint FOLDER\n", stderr);
        return 2;
    }
    try {
        paint::paint_lighthouse(argv[1]);
        paint::paint_drawings(argv[1]);
        paint::paint_prints(argv[1]);
        paint::paint_slice(argv[1]);
        paint::write_board(argv[1]);
    } catch (const std::exception& problem) {
        std::fprintf(stderr, "%s\n", problem.what());
        return 4;
    }
    return 0;
}
