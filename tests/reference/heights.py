"""Filters, resampling, lightness and Poisson's equation as NumPy, SciPy and scikit-image work them out.

Usage: heights.py FOLDER. Writes pictures and maps, and expected.txt, a line for each case:
what, width and height of the input, width and height of the answer, a number (its meaning is the case's), input, answer.
Inputs are 16-bit grey or RGB samples from the top row (pictures) or 32-bit floats from the bottom row (maps); answers are
32-bit floats from the bottom row.
"""
import pathlib
import sys

import numpy
from scipy import fft, ndimage
from skimage import color

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
SEED = 33
numbers = numpy.random.default_rng(SEED)
lines = []


def case(what, given, answer, number=0.0):
    name = f"{what}{len(lines)}"
    given.astype(numpy.uint16 if given.dtype == numpy.uint16 else numpy.float32).tofile(folder / f"{name}.in")
    numpy.ascontiguousarray(answer, dtype=numpy.float32).tofile(folder / f"{name}.out")
    size = (given.shape[1], given.shape[0], answer.shape[1], answer.shape[0])
    lines.append(" ".join(str(v) for v in (what, *size, number, f"{name}.in", f"{name}.out")))


def noise(height, width, *planes):
    """Waves, an edge and grain, on 16 bits."""
    y, x = numpy.mgrid[0:height, 0:width]
    waves = 0.5 + 0.2 * numpy.sin(x / 9 + y / 13) + 0.15 * (x > width / 3)
    if planes:
        waves = waves[..., None]
    return numpy.clip((waves + numbers.uniform(-0.15, 0.15, (height, width, *planes))) * 65535, 0, 65535).astype(numpy.uint16)


def shares(cells, wanted):
    """Row k: how much of each of `cells` lies under cell k of `wanted` on the same way; rows sum to 1."""
    edges = numpy.arange(wanted + 1) * cells / wanted
    lo, hi = edges[:-1, None], edges[1:, None]
    j = numpy.arange(cells)
    return numpy.clip(numpy.minimum(hi, j + 1) - numpy.maximum(lo, j), 0, None) / (cells / wanted)


# Area means by their definition, linear enlargement by SciPy (spline of order 1 over whole cells).
for h, w, ch, cw in ((120, 180, 40, 60), (121, 187, 50, 71), (300, 200, 299, 77), (40, 30, 40, 30)):
    picture = noise(h, w)
    case("area", picture, (shares(h, ch) @ (picture / 65535) @ shares(w, cw).T)[::-1])
for h, w, ch, cw in ((20, 30, 60, 90), (33, 21, 50, 47)):
    picture = noise(h, w)
    zoomed = ndimage.zoom(picture / 65535, (ch / h, cw / w), order=1, mode="nearest", grid_mode=True)
    case("linear", picture, zoomed[::-1])

# Lightness L* of colours (scikit-image, rgb2lab; white of D65).
picture = noise(60, 80, 3)
case("lightness", picture, color.rgb2lab(picture / 65535)[::-1, :, 0] / 100)

# Poisson's equation with no flow through the border (SciPy, dctn of any size, in double).
for h, w in ((90, 120), (101, 97), (211, 64)):
    bend = numbers.normal(0, 1, (h, w))
    bend -= bend.mean()
    j, i = numpy.mgrid[0:h, 0:w]
    values = 2 * numpy.cos(numpy.pi * i / w) - 2 + 2 * numpy.cos(numpy.pi * j / h) - 2
    values[0, 0] = 1
    waves = fft.dctn(bend, norm="ortho") / values
    waves[0, 0] = 0
    case("poisson", bend.astype(numpy.float32), fft.idctn(waves, norm="ortho"))

# Slopes laid back: grey-scale erosion by a cone (SciPy, grey_erosion).
for angle in (35, 50, 70):
    z = -2 * numbers.random((60, 70)) ** 8
    reach = int(2 / (numpy.tan(numpy.radians(angle)) * 0.1)) + 1
    y, x = numpy.mgrid[-reach : reach + 1, -reach : reach + 1]
    cone = -numpy.hypot(x, y) * 0.1 * numpy.tan(numpy.radians(angle))
    case("slope", z.astype(numpy.float32), ndimage.grey_erosion(z, structure=cone, mode="constant", cval=10), angle)

# Means over a window of whole cells (SciPy, uniform_filter), compared away from the border.
field = numbers.random((50, 60))
case("mean", field.astype(numpy.float32), ndimage.uniform_filter(field, 7), 3.5)

(folder / "expected.txt").write_text("\n".join(lines) + "\n", encoding="ascii")
