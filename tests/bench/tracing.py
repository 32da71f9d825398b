"""The peer of tracing.cpp: contours of the same four megapixels with scikit-image, timed. Usage: tracing.py"""
import time

import numpy
from skimage import filters, measure

size = 2000
y, x = numpy.mgrid[0:size, 0:size] - size * 0.5
r = numpy.hypot(x, y) + 8 * numpy.sin(17 * numpy.arctan2(y, x))
grey = numpy.round(255 * (1 - 0.9 * numpy.clip(8.5 - abs((r + 400) % 40 - 20), 0, 1))) / 255
start = time.perf_counter()
lines = measure.find_contours(grey, filters.threshold_otsu(grey))
took = time.perf_counter() - start
print(f"Otsu's threshold and find_contours, 4 megapixels: {1000 * took:.0f} ms, {sum(len(line) for line in lines)} points")
