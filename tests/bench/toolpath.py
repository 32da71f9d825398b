"""The peers of toolpath.cpp: the same offsets with SciPy's grey_dilation and with OpenCV's dilate. Usage: toolpath.py

SciPy takes the bit's shape as a structure. OpenCV dilates by flat shapes only, so the offset is put together from one
dilation for each ring of cells of equal rise: max over rings of dilate(map, ring) − rise. A flat bit is one dilation.
"""
import os
import time

import cv2
import numpy
from scipy import ndimage


def landscape(cell):
    """As in toolpath.cpp."""
    y, x = numpy.mgrid[0 : round(160 / cell), 0 : round(256 / cell)]
    x, y = (x + 0.5) * cell, (y + 0.5) * cell
    z = -1.1 + 0.5 * numpy.sin(x / 19) * numpy.cos(y / 13) + 0.15 * numpy.sin(x / 3.1 + y / 4.3) + 0.03 * numpy.sin(2.3 * x) * numpy.sin(1.9 * y)
    z[y > 100 + 12 * numpy.sin(x / 25)] -= 0.4
    r2 = (x - 90) ** 2 + (y - 70) ** 2
    z += numpy.where(r2 < 900, 0.5 * numpy.sqrt(numpy.maximum(1 - r2 / 900, 0)), 0)
    tower = (numpy.abs(x - 180) < 9 - y / 20) & (y < 130) & (y > 20)
    return numpy.clip(numpy.where(tower, -0.1 - 0.002 * (x - 180) ** 2, z), -2, 0).astype(numpy.float32)


def shape(diameter, ball, cell):
    reach = int(numpy.ceil(diameter / 2 / cell))
    y, x = numpy.mgrid[-reach : reach + 1, -reach : reach + 1]
    steps = x * x + y * y
    r = numpy.sqrt(steps) * cell
    under = r < diameter / 2 - 1e-6
    rise = numpy.where(under & ball, diameter / 2 - numpy.sqrt(numpy.maximum(diameter**2 / 4 - r * r, 0)), 0)
    return steps, under, rise


def scipy_offset(z, diameter, ball, cell):
    _, under, rise = shape(diameter, ball, cell)
    return ndimage.grey_dilation(z, footprint=under, structure=-rise, mode="constant", cval=-1e6)


def opencv_offset(z, diameter, ball, cell):
    steps, under, rise = shape(diameter, ball, cell)
    if not ball:
        return cv2.dilate(z, under.astype(numpy.uint8))
    best = numpy.full_like(z, -1e6)
    for s in numpy.unique(steps[under]):
        ring = under & (steps == s)
        numpy.maximum(best, cv2.dilate(z, ring.astype(numpy.uint8)) - numpy.float32(rise[ring][0]), out=best)
    return best


def timed(work):
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


cv2.setNumThreads(2)
print(f"load {os.getloadavg()[0]:.1f}")
for name, diameter, ball, cell in (
    ("flat:3.175 at 0.1", 3.175, False, 0.1),
    ("ball:1.0 at 0.1", 1.0, True, 0.1),
    ("ball:3.175 at 0.1", 3.175, True, 0.1),
    ("ball:3.175 at 0.05", 3.175, True, 0.05),
):
    z = landscape(cell)
    # SciPy goes through every cell under the bit at every cell: a strip is enough, the time goes with the rows.
    strip = z[: max(120, z.shape[0] // 10)]
    slow, ours = timed(lambda: scipy_offset(strip, diameter, ball, cell))
    fast, theirs = timed(lambda: opencv_offset(z, diameter, ball, cell))
    same = numpy.abs(theirs[: len(strip) - round(diameter / cell)] - ours[: len(strip) - round(diameter / cell)]).max()
    print(
        f"offset of 256 x 160 mm by {name}: SciPy grey_dilation {slow * z.shape[0] / strip.shape[0]:.1f} s (one thread, from a strip), "
        f"OpenCV dilate, one for each ring, {1000 * fast:.0f} ms; they differ by {same:.1e} mm"
    )
