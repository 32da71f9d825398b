"""Filled areas of SVG drawings as librsvg paints them (rsvg-convert, Debian's librsvg2-bin): hand-made cases, and drawings of Debian's
package openclipart-svg chosen by a seed.

Usage: svg.py FOLDER [SEED]. Writes FOLDER/expected.txt: the file, its share of dark pixels (coded luma below a half on white) of the
page, and the page's width over its height.
"""
import pathlib
import random
import subprocess
import sys

import numpy as np
from PIL import Image

sys.dont_write_bytecode = True  # the source folder stays clean
from clipart_drawings import fetched

Image.MAX_IMAGE_PIXELS = None
folder = pathlib.Path(sys.argv[1])
seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1854
cases = {
    "shapes": "<rect x='5' y='5' width='30' height='20' rx='4'/><circle cx='60' cy='20' r='12'/><ellipse cx='50' cy='70' rx='30' ry='9'/>",
    "paint_order": "<rect x='10' y='10' width='60' height='60'/><circle cx='40' cy='40' r='20' fill='white'/><rect x='35' y='35' width='10' height='10' fill='#333'/>",
    "rules": "<path fill-rule='evenodd' d='M50 5 79 95 2 39H98L21 95Z'/>",
    "nonzero": "<path d='M50 5 79 95 2 39H98L21 95Z'/>",
    "curves": "<path d='M10 50C10 10 40 10 50 50S90 90 90 50L80 50C80 70 60 80 50 55S20 30 20 50Z'/><path d='M5 90q10-20 20 0t20 0t20 0v5h-60z'/>",
    "arcs": "<path d='M10 40a20 12 30 1 1 40 10zM60 30A15 25-20 0 0 90 60L80 80A1 1 0 0 1 60 30'/>",
    "strokes": "<path fill='none' stroke='black' stroke-width='6' stroke-linejoin='miter' d='M10 80 30 20 50 80'/><path fill='none' stroke='black' stroke-width='5' stroke-linejoin='round' stroke-linecap='round' d='M60 80 75 20 90 80'/><path fill='none' stroke='#000' stroke-width='4' stroke-linejoin='bevel' stroke-linecap='square' d='M10 95H40L50 88L90 95'/>",
    "dashes": "<path fill='none' stroke='black' stroke-width='4' stroke-dasharray='9 4 2' stroke-dashoffset='3' d='M10 50C30 0 60 100 90 40'/>",
    "nested": "<g transform='translate(50 50) rotate(30)'><g transform='scale(2 1) skewX(20)'><rect x='-10' y='-10' width='20' height='20' stroke='black' stroke-width='3' fill='none'/></g></g>",
    "inner_page": "<svg x='10' y='10' width='60' height='30' viewBox='0 0 10 10' preserveAspectRatio='xMaxYMid meet'><rect width='10' height='10'/></svg><svg x='10' y='50' width='60' height='30' viewBox='0 0 10 10' preserveAspectRatio='xMidYMid slice'><circle cx='5' cy='5' r='5'/></svg>",
    "uses": "<defs><symbol id='s' viewBox='0 0 10 10'><path d='M0 0h10l-5 10z'/></symbol></defs><use href='#s' x='10' y='10' width='30' height='30'/><use href='#s' x='50' y='40' width='40' height='20'/>",
    "styles": "<style>.d{fill:navy}#k{fill:none;stroke:#111;stroke-width:3}rect{opacity:1}</style><rect class='d' x='5' y='5' width='30' height='30'/><rect id='k' x='50' y='5' width='30' height='30'/><rect x='5' y='50' width='30' height='30' style='fill:yellow'/><g fill='none'><circle cx='65' cy='65' r='12' fill='currentColor' color='#400'/></g>",
    "hidden": "<rect x='5' y='5' width='20' height='20' display='none'/><rect x='30' y='5' width='20' height='20' visibility='hidden'/><rect x='60' y='5' width='20' height='20' fill-opacity='0.2'/><rect x='60' y='50' width='20' height='20' opacity='0.9'/>",
    "clipped": "<clipPath id='c'><circle cx='50' cy='50' r='30'/></clipPath><rect x='10' y='30' width='80' height='30' clip-path='url(#c)'/>",
    "over_the_page": "<circle cx='0' cy='50' r='40'/><rect x='80' y='-20' width='50' height='60'/>",
}


def measured(drawing):
    """Share of dark and width over height; None where it cannot be painted. What a threshold makes of lines a pixel wide is off in
    proportion to the pixel: from two sizes of picture it is reckoned for pixels of no size (Richardson 1911)."""
    coarse, fine = painted(drawing, 2500), painted(drawing, 5000)
    return (2 * fine[0] - coarse[0], fine[1]) if coarse and fine else None


def painted(drawing, width):
    picture = folder / "painted.png"
    words = ["rsvg-convert", "--width", str(width), "--keep-aspect-ratio", "--background-color", "white", "-o", picture, drawing]
    if subprocess.run(words, capture_output=True).returncode != 0:
        return None
    image = Image.open(picture)
    if image.height > 1.5 * width:
        return None
    dark = 0
    for top in range(0, image.height, 500):  # strips, for memory's sake
        strip = np.asarray(image.crop((0, top, image.width, min(top + 500, image.height))).convert("RGB"), dtype=np.float32)
        dark += int(((strip @ np.float32([0.2126, 0.7152, 0.0722])) < 127.5).sum())
    return dark / (image.width * image.height), image.width / image.height


lines = []
for name, inside in cases.items():
    file = folder / f"{name}.svg"
    file.write_text(f"<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='100mm' viewBox='0 0 100 100'>{inside}</svg>")
    share, ratio = measured(file)
    lines.append(f"{file}\t{share:.9f}\t{ratio:.6f}")
chance, chosen = random.Random(seed), 0
drawings = fetched(folder)
chance.shuffle(drawings)
for drawing in drawings:
    seen = measured(drawing)
    if seen and seen[0] > 0.01 and chosen < 30:
        lines.append(f"{drawing}\t{seen[0]:.9f}\t{seen[1]:.6f}")
        chosen += 1
    if chosen == 30:
        break
(folder / "expected.txt").write_text("\n".join(lines) + "\n")
print(f"seed {seed}: {len(cases)} cases and {chosen} drawings")
