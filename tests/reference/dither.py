"""Error diffusion as Pillow does it (Floyd and Steinberg, rows from the top, each from left to right).

Usage: dither.py FOLDER. Writes 8-bit greys (black 0, rows from the top), Pillow's black and white of them, a byte a pixel, and
expected.txt, a line for each case: width, height, greys, answer.
"""
import pathlib
import sys

import numpy
from PIL import Image
from scipy import ndimage

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
numbers = numpy.random.default_rng(76)
wedge = numpy.tile(numpy.linspace(0, 255, 320), (240, 1))
field = ndimage.gaussian_filter(numbers.normal(0, 1, (240, 320)), 6)
blots = 128 + 60 * field / field.std()
sharp = blots + 40 * (numpy.indices((240, 320)).sum(axis=0) % 16 < 8)
lines = []
for k, grey in enumerate((wedge, blots, sharp)):
    grey = numpy.clip(numpy.round(grey), 0, 255).astype(numpy.uint8)
    grey.tofile(folder / f"{k}.in")
    white = numpy.asarray(Image.fromarray(grey).convert("1"))  # Image.Dither.FLOYDSTEINBERG is its default
    white.astype(numpy.uint8).tofile(folder / f"{k}.out")
    lines.append(f"{grey.shape[1]} {grey.shape[0]} {k}.in {k}.out")
(folder / "expected.txt").write_text("\n".join(lines) + "\n", encoding="ascii")
