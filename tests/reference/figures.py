"""Figures on a raster: SciPy's distance_transform_edt and scikit-image's medial_axis.

Usage: figures.py FOLDER. Writes expected.txt, a line for each figure: name, loops, cell in mm, width and height in cells; then
NAME.loops (text: corners of a loop, then its x and y in mm), NAME.depth (32-bit floats: distance of each cell's centre from the nearest
centre on the other side of the line, mm, positive inside) and NAME.axis (bytes: 1 on the medial axis). Row 0 is the lowest.
"""
import inspect
import pathlib
import sys

import numpy
from scipy import ndimage
from skimage import draw, morphology

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
CELL, SIZE = 0.05, 480  # 24 mm
chance = numpy.random.default_rng(2026)
# The axis is thinned in an order that is drawn by lot among equals; the name of the lot's seed differs between versions.
ties = {name: 1 for name in ("random_state", "seed", "rng") if name in inspect.signature(morphology.medial_axis).parameters}
ties = dict(list(ties.items())[-1:])


def disc(x, y, r, n=180):
    a = numpy.arange(n) * 2 * numpy.pi / n
    return numpy.column_stack((x + r * numpy.cos(a), y + r * numpy.sin(a)))


def star(x, y, n, least, most):
    a = numpy.arange(n) * 2 * numpy.pi / n
    r = chance.uniform(least, most, n)
    return numpy.column_stack((x + r * numpy.cos(a), y + r * numpy.sin(a)))


figures = {
    "bar": [[(2.2, 3.1), (21.4, 3.1), (21.4, 10.3), (2.2, 10.3)]],
    "ell": [[(2, 2), (22, 2), (22, 8), (8, 8), (8, 22), (2, 22)]],
    "ring": [disc(12, 12, 10), disc(12.5, 11.5, 4)],
    "cross": [[(9, 2), (15, 2), (15, 9), (22, 9), (22, 15), (15, 15), (15, 22), (9, 22), (9, 15), (2, 15), (2, 9), (9, 9)]],
    "wedge": [[(1, 11), (23, 4), (20, 20)]],
}
for k in range(6):
    figures[f"star{k}"] = [star(12, 12, 5 + 2 * k, 5, 11), star(12, 12, 7, 1, 2.5)]

lines = []
for name, loops in figures.items():
    inside = numpy.zeros((SIZE, SIZE), bool)
    with open(folder / f"{name}.loops", "w", encoding="ascii") as out:
        for loop in loops:
            loop = numpy.asarray(loop, float)
            out.write(f"{len(loop)}\n" + "".join(f"{x:.9f} {y:.9f}\n" for x, y in loop))
            at = loop / CELL - 0.5  # in cells, centres on whole numbers
            row, column = draw.polygon(at[:, 1], at[:, 0], inside.shape)
            inside[row, column] ^= True
    depth = (ndimage.distance_transform_edt(inside) - ndimage.distance_transform_edt(~inside)) * CELL
    axis = morphology.medial_axis(inside, **ties)
    depth.astype(numpy.float32).tofile(folder / f"{name}.depth")
    axis.astype(numpy.uint8).tofile(folder / f"{name}.axis")
    lines.append(f"{name} {len(loops)} {CELL} {SIZE} {SIZE}")
(folder / "expected.txt").write_text("\n".join(lines) + "\n", encoding="ascii")
