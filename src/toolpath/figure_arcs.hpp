#pragma once
/// Inside the room only.
#include "burin/toolpath/figures.hpp"

namespace burin {

/// The path with runs that lie on a circle as arcs, where the order asks for it.
[[nodiscard]] Toolpath with_arcs(Toolpath path, const FigureOrder& order);

}  // namespace burin
