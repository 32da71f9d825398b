"""Thresholds and contours as scikit-image finds them.

Usage: tracing.py FOLDER. Writes pictures (8-bit samples from the top row) and answers, and expected.txt, a line for each case:
what, width, height, a number (its meaning is the case's), picture, answer. Answers: of sauvola 32-bit floats from the bottom row, of
contours 64-bit floats, for each line how many points it has, then x and y of each, pixels from the lower left corner of the picture.
"""
import pathlib
import sys

import numpy
from scipy import ndimage
from skimage import filters, measure

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
numbers = numpy.random.default_rng(44)
lines = []


def case(what, picture, answer, number=0.0):
    name = f"{what}{len(lines)}"
    picture.astype(numpy.uint8).tofile(folder / f"{name}.in")
    answer.tofile(folder / f"{name}.out")
    lines.append(" ".join(str(v) for v in (what, picture.shape[1], picture.shape[0], number, f"{name}.in", f"{name}.out")))


def blots(height, width, scale, blur):
    """Blots of ink with soft edges on grainy paper."""
    field = ndimage.gaussian_filter(numbers.normal(0, 1, (height, width)), scale)
    ink = ndimage.gaussian_filter((field > 0.4 * field.std()).astype(float), blur)
    return numpy.clip(225 - 190 * ink, 0, 255)


for scale in (3, 6, 12):
    picture = numpy.round(numpy.clip(blots(120, 170, scale, 0.8) + numbers.normal(0, 9, (120, 170)), 0, 255)).astype(numpy.uint8)
    case("otsu", picture, numpy.zeros(1), filters.threshold_otsu(picture))

for window, k in ((15, 0.2), (25, 0.34), (61, 0.5)):
    shade = numpy.linspace(0.4, 1, 140)[None, :]
    picture = numpy.round(numpy.clip(blots(110, 140, 5, 0.7) * shade + numbers.normal(0, 5, (110, 140)), 0, 255)).astype(numpy.uint8)
    threshold = filters.threshold_sauvola(picture, window_size=window, k=k) / 255
    case("sauvola", picture, threshold[::-1].astype(numpy.float32), window + k)

# Blurred far enough that linear interpolation and the share of ink agree. Framed by paper, so that every line closes.
for scale in (5, 9, 14):
    picture = blots(150, 200, scale, 2.0)
    picture[:3] = picture[-3:] = 225
    picture[:, :3] = picture[:, -3:] = 225
    picture = numpy.round(picture).astype(numpy.uint8)
    level = 127.3
    answer = []
    for line in measure.find_contours(picture.astype(float), level):
        points = numpy.c_[line[:-1, 1] + 0.5, picture.shape[0] - line[:-1, 0] - 0.5]
        answer += [numpy.array([len(points)], float), points.ravel()]
    case("contours", picture, numpy.concatenate(answer), level)

(folder / "expected.txt").write_text("\n".join(lines) + "\n", encoding="ascii")
