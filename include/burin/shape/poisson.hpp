#pragma once
/// Surfaces from what is known of their slopes and bends. Both solvers work on cells of side 1: lengths are the caller's.
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"

namespace burin {

/// A net of conductors over the cells: `right(i, j)` joins cell (i, j) with (i + 1, j), `up(i, j)` with (i, j + 1), both
/// ≥ 0 (the last column and row are not read); `ground(i, j)` ≥ 0 joins the cell with 0, or `ground` is empty.
/// Σ over neighbours of conductance × (u − u_neighbour) + ground × u = source.
/// That is the five-point Laplacian where all conductances are 1. Cells joined to nothing keep u = 0.
struct Net {
    HeightMap right, up, ground;
};

/// Solves the net for u by conjugate gradients over multigrid cycles, starting from the u given: red-black relaxation,
/// coarser nets by series and parallel connection of the finer conductors, corrections interpolated along conductors
/// (Trottenberg, Oosterlee, Schüller 2001, ch. 7). Stops after `cycles`, or once the residual's norm is below `tolerance` × that of
/// the source. Returns that ratio. Without ground anywhere, u is known up to a constant and comes out with mean 0.
/// Takes about four grids beside the arguments. Stops early where float's rounding lets no more be gained. Same bytes for any number of
/// threads.
double solve_net(const Net& net, HeightMap source, HeightMap& u, double tolerance, int cycles, const Crew& crew);

/// Solves ∇²u = bend (five-point, cells of side 1) with no flow through the border, by cosine transform; mean 0.
/// `bend` loses its mean first, as such a u can have none. Sizes that are even and made of 2, 3 and 5 are exact (to
/// float's rounding). Others are padded by a mirrored border to the next such size, and what the border bends is then
/// put right by multigrid, to a residual of 10⁻⁴ or as near as float comes (for very long and narrow maps
/// that is some 10⁻³ of the span).
[[nodiscard]] HeightMap solve_poisson(const HeightMap& bend, const Crew& crew);

/// As above without putting right: a good start for solve_net.
[[nodiscard]] HeightMap nearly_solve_poisson(const HeightMap& bend, const Crew& crew);

/// The smallest size ≥ n that is even and made of 2, 3 and 5 only: what cosine transforms are quick at.
[[nodiscard]] int quick_size(int n);

}  // namespace burin
