// The blinking lamp's board as the files that a program for drawing boards writes: two Gerber layers of copper, its edge, and the holes.
// The same places as in the drawings of images/board.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "scene.hpp"

namespace paint {
namespace {

struct Place {
    double x, y;
};
using Way = std::vector<Place>;

const std::vector<Place> pads{{3, 26},  {3, 4}, {8, 26}, {8, 18}, {14, 26}, {14, 18}, {22, 26}, {22, 18}, {30, 26}, {30, 19}, {34, 19},
                              {34, 14}, {6, 8}, {9, 8},  {12, 8}, {24, 8},  {27, 8},  {30, 8},  {11, 13}, {17, 13}, {20, 10}, {14, 13}};
const std::vector<Way> upper{
    {{3, 26}, {30, 26}}, {{8, 18}, {11, 15}, {11, 10}, {12, 8}}, {{17, 13}, {22, 18}, {27, 13}, {27, 8}}, {{30, 19}, {34, 19}}};
const std::vector<Way> lower{{{3, 4}, {30, 4}},
                             {{6, 8}, {6, 4}},
                             {{30, 8}, {30, 4}},
                             {{14, 18}, {14, 11}, {9, 11}, {9, 8}},
                             {{20, 10}, {22, 8}, {24, 8}, {24, 12}, {26, 14}, {34, 14}}};

/// Whole steps of 0.000001 mm.
std::string gerber_place(const Place& p) {
    const auto steps = [](double mm) { return std::to_string(std::llround(mm * 1e6)); };
    return "X" + steps(p.x) + "Y" + steps(p.y);
}

std::string gerber_head(const std::string& function) {
    return "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction," + function +
           "*%\n%TF.Part,Single*%\nG04 The blinking lamp of the model lighthouse*\n";
}

std::string gerber_ways(const std::vector<Way>& ways) {
    std::string text;
    for (const Way& way : ways)
        for (std::size_t k = 0; k < way.size(); ++k) text += gerber_place(way[k]) + (k == 0 ? "D02*\n" : "D01*\n");
    return text;
}

std::string copper(const std::string& function, const std::vector<Way>& ways) {
    std::string text = gerber_head(function) + "%ADD10C,0.8*%\n%ADD11C,1.8*%\nG01*\nD10*\n" + gerber_ways(ways) + "D11*\n";
    for (const Place& pad : pads) text += gerber_place(pad) + "D03*\n";
    return text + "M02*\n";
}

/// A rectangle with round corners of 2 mm.
std::string edge() {
    constexpr double width = 40, height = 30, r = 2;
    const auto arc = [](const Place& to, const Place& centre) {
        const auto steps = [](double mm) { return std::to_string(std::llround(mm * 1e6)); };
        return "G03*\n" + gerber_place(to) + "I" + steps(centre.x) + "J" + steps(centre.y) + "D01*\nG01*\n";
    };
    return gerber_head("Profile,NP") + "%ADD10C,0.1*%\nD10*\nG75*\nG01*\n" + gerber_place({r, 0}) + "D02*\n" +
           gerber_place({width - r, 0}) + "D01*\n" + arc({width, r}, {0, r}) + gerber_place({width, height - r}) + "D01*\n" +
           arc({width - r, height}, {-r, 0}) + gerber_place({r, height}) + "D01*\n" + arc({0, height - r}, {0, -r}) + gerber_place({0, r}) +
           "D01*\n" + arc({r, 0}, {r, 0}) + "M02*\n";
}

/// The component holes, two holes of 2.2 mm for screws, and a slot for the strap that holds the lamp.
std::string drilled() {
    const auto place = [](const Place& p) {
        const auto text = [](double mm) {
            std::string s = std::to_string(mm);
            return s.substr(0, s.find('.') + 4);
        };
        return "X" + text(p.x) + "Y" + text(p.y);
    };
    std::string text = "M48\n; The blinking lamp of the model lighthouse\nMETRIC\nT1C0.800\nT2C2.200\nT3C1.500\n%\nG90\nG05\nT1\n";
    for (const Place& pad : pads) text += place(pad) + "\n";
    text += "T2\n" + place({37, 3}) + "\n" + place({37, 27}) + "\n";
    return text + "T3\n" + place({36, 8}) + "G85" + place({38, 8}) + "\nM30\n";
}

void write(const std::filesystem::path& file, const std::string& text) { std::ofstream(file, std::ios::binary) << text; }

}  // namespace

void write_board(const std::string& images) {
    const std::filesystem::path folder = std::filesystem::path(images) / "board";
    write(folder / "lamp-top.gbr", copper("Copper,L1,Top", upper));
    write(folder / "lamp-bottom.gbr", copper("Copper,L2,Bot", lower));
    write(folder / "lamp-edge.gbr", edge());
    write(folder / "lamp.drl", drilled());
}

}  // namespace paint
