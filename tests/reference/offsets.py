"""Offsets by a bit and what a bit sweeps, as SciPy's grey_dilation and grey_erosion with a structure work them out.

Usage: offsets.py FOLDER. Writes maps and expected.txt, a line for each case:
offset or sweep, bit, cell in mm, width and height in cells, input, answer. Maps are 32-bit floats.
The shapes of the bits are written out anew here, from plane geometry.
"""
import pathlib
import sys

import numpy
from scipy import ndimage

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
SEED = 2026
chance = numpy.random.default_rng(SEED)


def shape(bit):
    """Diameter, and height above the tip at a distance from the axis."""
    kind, *sizes = bit.split(":")
    sizes = [float(s) for s in sizes]
    if kind == "flat":
        return sizes[0], lambda r: 0 * r
    if kind == "ball":
        return sizes[0], lambda r: sizes[0] / 2 - numpy.sqrt(numpy.maximum(sizes[0] ** 2 / 4 - r * r, 0))
    if kind == "vee":
        angle, tip, diameter = sizes
        return diameter, lambda r: numpy.maximum(r - tip / 2, 0) / numpy.tan(numpy.radians(angle / 2))
    if kind == "bull":
        diameter, corner = sizes
        return diameter, lambda r: corner - numpy.sqrt(corner**2 - numpy.clip(r - diameter / 2 + corner, 0, corner) ** 2)
    tip, side, diameter = sizes
    radius, a = tip / 2, numpy.radians(side)
    touch = radius * numpy.cos(a)

    def rise(r):
        ball = radius - numpy.sqrt(numpy.maximum(radius**2 - r * r, 0))
        return numpy.where(r <= touch, ball, radius * (1 - numpy.sin(a)) + (r - touch) / numpy.tan(a))

    return diameter, rise


def surface(width, height, cell):
    """Waves, boxes, grain and needles, down to about 3 mm."""
    y, x = numpy.mgrid[0:height, 0:width] * cell
    z = -1 + 0.6 * numpy.sin(1.7 * x) * numpy.cos(1.1 * y)
    for _ in range(12):
        i, j, w, h = chance.integers(0, width), chance.integers(0, height), chance.integers(1, 50), chance.integers(1, 30)
        z[j : j + h, i : i + w] = chance.uniform(-3, 0)
    z += chance.uniform(-0.02, 0.02, z.shape)
    for _ in range(20):
        z[chance.integers(0, height), chance.integers(0, width)] = chance.uniform(-3, 0.5)
    return z.astype(numpy.float32)


lines = []
for bit in ("flat:3.175", "flat:1.0", "ball:3.175", "ball:1.0", "vee:60:0.1:3.175", "vee:90:0:3.175", "taper:0.5:10:3.175", "bull:3.175:0.5"):
    fine = [(0.02, 190, 30)] if bit in ("flat:3.175", "ball:3.175") else []
    for cell, width, height in [(0.1, 150, 110), (0.05, 131, 70), *fine]:
        diameter, rise = shape(bit)
        reach = int(numpy.ceil(diameter / 2 / cell))
        y, x = numpy.mgrid[-reach : reach + 1, -reach : reach + 1] * cell
        r = numpy.hypot(x, y)
        under = r < diameter / 2 - 1e-6
        height_above = numpy.where(under, rise(numpy.minimum(r, diameter / 2)), 0)
        z = surface(width, height, cell)
        for what in ("offset", "sweep"):
            name = f"{what}{len(lines)}"
            if what == "offset":
                answer = ndimage.grey_dilation(z.astype(float), footprint=under, structure=-height_above, mode="constant", cval=-1e9)
            else:
                answer = ndimage.grey_erosion(z.astype(float), footprint=under, structure=-height_above, mode="constant", cval=1e9)
            z.tofile(folder / f"{name}.in")
            answer.astype(numpy.float32).tofile(folder / f"{name}.out")
            lines.append(f"{what} {bit} {cell} {width} {height} {name}.in {name}.out")
(folder / "expected.txt").write_text("\n".join(lines) + "\n", encoding="ascii")
