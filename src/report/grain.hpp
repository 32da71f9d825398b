#pragma once
/// What a material looks like at a place inside it: grain runs through the depth, so that carving cuts across it.
#include <array>

#include "burin/workshop/material.hpp"
#include "burin/workshop/stock.hpp"

namespace burin::grain {

using Light = std::array<float, 3>;  ///< linear red, green, blue

/// IEC 61966-2-1.
[[nodiscard]] Light linear(const std::array<double, 3>& srgb);

/// A block of the material, cut to the stock.
class Block {
public:
    Block(const Material& material, const Stock& stock);
    /// Share of the light that comes back from the place (x, y, z) mm, work coordinates; `cut`: 0 the weathered top, 1 a
    /// fresh cut.
    [[nodiscard]] Light at(float x, float y, float z, float cut) const;

private:
    Grain grain_;
    Light top_, fresh_;
    bool along_y_;  ///< wood runs along the longer side
    float x0_, y0_, size_;
    float across_;  ///< where the heart of the trunk lies across the board, mm
};

/// Bark at a distance outside the stock's rim; `angle` about its middle.
[[nodiscard]] Light bark(float outside, float angle);

}  // namespace burin::grain
