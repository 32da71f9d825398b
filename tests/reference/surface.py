"""Smooth surfaces through measured points, as SciPy's RBFInterpolator with a thin plate spline has them.

Usage: surface.py FOLDER. Writes points-N.txt (x y z) and answers-N.txt (x y z), the latter within the points' convex hull.
"""
import pathlib
import sys

import numpy
from scipy.interpolate import RBFInterpolator
from scipy.spatial import Delaunay

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
chance = numpy.random.default_rng(2026)
for case, count in enumerate((4, 9, 40, 200)):
    places = chance.uniform([-40, 10], [160, 110], (count, 2))
    heights = 0.4 * numpy.sin(places[:, 0] / 40) - 0.002 * places[:, 1] + chance.normal(0, 0.05, count)
    surface = RBFInterpolator(places, heights, kernel="thin_plate_spline", degree=1)
    asked = chance.uniform(places.min(axis=0), places.max(axis=0), (400, 2))
    asked = asked[Delaunay(places).find_simplex(asked) >= 0]
    numpy.savetxt(folder / f"points-{case}.txt", numpy.column_stack([places, heights]), fmt="%.17g")
    numpy.savetxt(folder / f"answers-{case}.txt", numpy.column_stack([asked, surface(asked)]), fmt="%.17g")
