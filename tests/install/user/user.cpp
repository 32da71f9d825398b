// Uses the installed library from its headers alone: a 60 degree vee is 1.1547 mm wide at 1 mm (plane geometry), and a
// 3.175 mm ball leaves 0.00710 mm between lines 0.3 mm apart (Machinery's Handbook, milling).
#include <burin/picture/picture.hpp>
#include <burin/workshop/bit.hpp>
#include <cmath>

int main() {
    const bool width = std::abs(burin::Bit::parse("vee:60:0:3.175").width_at(1) - 1.1547) < 0.0001;
    const bool scallop = std::abs(burin::scallop_height(3.175 / 2, 0.3) - 0.00710) < 0.00001;
    return width && scallop ? 0 : 1;
}
