"""The peers of heights.cpp: the same steps with SciPy and OpenCV, timed. Usage: heights.py"""
import time

import cv2
import numpy
from scipy import fft, ndimage
from skimage import color


def best(work, repeat=3):
    times = []
    for _ in range(repeat):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000 * min(times)


def poisson(h, w):
    bend = numpy.random.default_rng(1).normal(0, 1, (h, w)).astype(numpy.float32)
    j, i = numpy.mgrid[0:h, 0:w]
    values = (2 * numpy.cos(numpy.pi * i / w) - 2 + 2 * numpy.cos(numpy.pi * j / h) - 2).astype(numpy.float32)
    values[0, 0] = 1
    return lambda: fft.idctn(fft.dctn(bend, workers=2) / values, workers=2)


for size in ((2000, 2000), (1999, 2003), (2053, 2039)):
    print(f"poisson {size[1]} x {size[0]}, SciPy dctn of any size, two workers: {best(poisson(*size)):.0f} ms")
grey = numpy.random.default_rng(2).integers(0, 65536, (1600, 2560), dtype=numpy.uint16)
rgb = numpy.repeat((grey / 65535)[..., None], 3, axis=2)
print(f"tone: lightness by scikit-image rgb2lab: {best(lambda: color.rgb2lab(rgb), 1):.0f} ms")
tones = (grey / 65535).astype(numpy.float32)


def guided():
    def mean(q):
        return cv2.blur(q, (11, 11))
    m = mean(tones)
    v = mean(tones * tones) - m * m
    a = v / (v + 0.01)
    return mean(a) * tones + mean(m * (1 - a))


print(f"edge-preserving smoothing, the same filter from OpenCV's blur: {best(guided):.0f} ms")
