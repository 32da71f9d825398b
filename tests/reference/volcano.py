"""A real relief, carved: R's `volcano` (heights of Maunga Whau, a grid of 87 x 61), compared with SciPy's closing.

Usage: volcano.py PROGRAM FOLDER. The grid comes from R when this runs, is drawn finer by a spline to one pixel a cell of
0.1 mm, and carved 60 mm wide and 3.5 mm deep by the program. What its simulation left (surface.png) is held against the
picture: nowhere more than 0.02 mm below it, the lowest of the picture within one cell counting; and above the picture's
closing by the finishing bit (SciPy, grey_dilation and grey_erosion) by no more than the scallop and 0.02 mm along the
normal, the lowest of the surface within one cell counting. Sources: promises 1 and 2 of a job; grey-scale closing
(Serra 1982, ch. XII).
"""
import json
import pathlib
import subprocess
import sys

import numpy
from PIL import Image
from scipy import ndimage

CELL, WIDTH, DEPTH, STEPOVER, DIAMETER = 0.1, 60, 3.5, 0.1, 1.0
program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
folder.mkdir(parents=True, exist_ok=True)

table = subprocess.run(
    ["Rscript", "-e", "write.table(volcano, row.names = FALSE, col.names = FALSE)"], check=True, capture_output=True, text=True
).stdout
heights = numpy.array([[float(v) for v in line.split()] for line in table.splitlines()]).T
assert heights.shape == (61, 87) and heights.min() == 94 and heights.max() == 195, "R gave another volcano"
columns = round(WIDTH / CELL)
rows = round(columns * 61 / 87)
fine = ndimage.zoom(heights, (rows / 61, columns / 87), order=3, mode="nearest", grid_mode=True)
samples = numpy.round((fine - fine.min()) / (fine.max() - fine.min()) * 65535).astype(numpy.uint16)
Image.fromarray(samples).save(folder / "volcano.png")

words = [program, "relief", str(folder / "volcano.png"), "--heights", "map", "--width", str(WIDTH), "--depth", str(DEPTH)]
words += ["--bit", "flat:3.175", "--bit", f"ball:{DIAMETER}", "--stepover", str(STEPOVER), "--cell", str(CELL), "-o", str(folder / "job")]
run = subprocess.run(words, capture_output=True, text=True)
assert run.returncode == 0, f"the program ended with {run.returncode}:\n{run.stderr}"

picture = Image.open(folder / "job" / "surface.png")
low, high = float(picture.text["Height of 0 (mm)"]), float(picture.text["Height of 65535 (mm)"])
cell = float(picture.text["Cell (mm)"])
assert abs(cell - CELL) < 1e-9, f"cells of {cell} mm"
surface = low + numpy.asarray(picture, dtype=float) / 65535 * (high - low)
aside, above = (surface.shape[1] - columns) / 2, (surface.shape[0] - rows) / 2
assert aside == int(aside) and above == int(above), "the surface's cells are not the picture's pixels"
design = numpy.zeros(surface.shape)
design[int(above) : int(above) + rows, int(aside) : int(aside) + columns] = samples / 65535 * DEPTH - DEPTH

reach = round(DIAMETER / 2 / CELL)
y, x = numpy.mgrid[-reach : reach + 1, -reach : reach + 1] * CELL
r = numpy.hypot(x, y)
under = r < DIAMETER / 2 - 1e-6
ball = numpy.where(under, DIAMETER / 2 - numpy.sqrt(numpy.maximum(DIAMETER**2 / 4 - r * r, 0)), 0)
tips = ndimage.grey_dilation(design, footprint=under, structure=-ball, mode="constant", cval=-1e9)
closing = ndimage.grey_erosion(tips, footprint=under, structure=-ball, mode="constant", cval=1e9)
along_y, along_x = numpy.gradient(closing, CELL)
steepest = ndimage.maximum_filter(along_x**2 + along_y**2, size=3)
gouge = (ndimage.minimum_filter(design, size=3) - surface).max()
standing = ((ndimage.minimum_filter(surface, size=3) - closing) / numpy.sqrt(1 + steepest)).max()
scallop = DIAMETER / 2 - numpy.sqrt(DIAMETER**2 / 4 - STEPOVER**2 / 4)

report = json.loads((folder / "job" / "report.json").read_text(encoding="utf-8"))
print(f"volcano: deepest gouge {gouge:.4f} mm, left standing {standing:.4f} mm, {report['time_s'] / 60:.0f} minutes")
assert surface.min() < -0.98 * DEPTH, "hardly anything was carved"
assert gouge <= 0.02, f"{gouge:.4f} mm below the design"
assert standing <= scallop + 0.02, f"{standing:.4f} mm left standing"
assert abs(report["proof"]["deepest_gouge_mm"] - max(gouge, 0)) < 0.002, f"the report says {report['proof']['deepest_gouge_mm']}, not {gouge}"
assert abs(report["proof"]["left_standing_mm"] - standing) < 0.002, f"the report says {report['proof']['left_standing_mm']}, not {standing}"
