"""Advances, areas and the height of capitals as fontTools reads them from the fonts' tables, and fonts that it builds.

Usage: lettering.py FOLDER. Writes expected.txt, a line for each glyph: path of the font, character's code, the height of capitals (sCapHeight
of OS/2 where that is, else yMax of H), advance (hmtx), xMin and xMax (glyf), all in font units, and the area within its outline (areaPen,
absolute; of glyphs whose contours do not overlap); then made.ttf and made.otf, whose capitals are 680 units high by OS/2 and 700 by their H,
whose A and V kern by -120, and whose f and i are joined to one glyph.
"""
import pathlib
import sys

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
lines = []
for name in ("DejaVuSans", "DejaVuSerif", "DejaVuSans-Bold", "DejaVuSansMono"):
    path = next(pathlib.Path("/usr/share/fonts").rglob(f"{name}.ttf"))  # Debian's fonts-dejavu-core
    font = TTFont(path)
    glyphs, names, shapes = font.getGlyphSet(), font.getBestCmap(), font["glyf"]
    capitals = getattr(font["OS/2"], "sCapHeight", 0) or shapes[names[ord("H")]].yMax
    for character in "HIOSabegikoqx0258&?@":
        name = names[ord(character)]
        pen = AreaPen(glyphs)
        glyphs[name].draw(pen)
        lines.append(" ".join(str(v) for v in (path, ord(character), capitals, font["hmtx"][name][0], shapes[name].xMin,
                                               shapes[name].xMax, abs(pen.value))))
(folder / "expected.txt").write_text("\n".join(lines) + "\n")

# Letters of bars and bows, as a joiner would saw them.
shapes = {
    ".notdef": (500, [[(50, 0), (50, 700), (450, 700), (450, 0)]]),
    "space": (300, []),
    "H": (700, [[(100, 0), (100, 700), (200, 700), (200, 400), (500, 400), (500, 700), (600, 700), (600, 0), (500, 0), (500, 300), (200, 300),
                 (200, 0)]]),
    "A": (700, [[(0, 0), (350, 700), (700, 0)]]),
    "V": (700, [[(0, 700), (700, 700), (350, 0)]]),
    "f": (400, [[(100, 0), (100, 700), (300, 700), (300, 600), (200, 600), (200, 0)]]),
    "i": (300, [[(100, 0), (100, 500), (200, 500), (200, 0)]]),
    "f_i": (550, [[(100, 0), (100, 700), (450, 700), (450, 0), (350, 0), (350, 600), (200, 600), (200, 0)]]),
    # two bars that overlap, as parts of variable fonts do
    "plus": (600, [[(50, 250), (50, 350), (550, 350), (550, 250)], [(250, 50), (250, 550), (350, 550), (350, 50)]]),
    "o": (600, None),
}
FEATURES = "feature kern { pos A V -120; } kern; feature liga { sub f i by f_i; } liga;"


def draw(pen, contours, quadratic):
    if contours is None:  # a bow on either side, of the kind the font has
        pen.moveTo((50, 250))
        if quadratic:
            pen.qCurveTo((50, 500), (300, 500))
            pen.qCurveTo((550, 500), (550, 250))
        else:
            pen.curveTo((50, 400), (200, 500), (300, 500))
            pen.curveTo((400, 500), (550, 400), (550, 250))
        pen.closePath()
    for contour in contours or ():
        pen.moveTo(contour[0])
        for point in contour[1:]:
            pen.lineTo(point)
        pen.closePath()
    return pen


for ending in ("ttf", "otf"):
    true_type = ending == "ttf"
    builder = FontBuilder(1000, isTTF=true_type)
    builder.setupGlyphOrder(list(shapes))
    builder.setupCharacterMap({32: "space", 43: "plus", **{ord(c): c for c in "HAVfio"}})
    if true_type:
        builder.setupGlyf({name: draw(TTGlyphPen(None), contours, True).glyph() for name, (_, contours) in shapes.items()})
    else:
        strings = {name: draw(T2CharStringPen(width, None), contours, False).getCharString() for name, (width, contours) in shapes.items()}
        builder.setupCFF("Made", {}, strings, {})
    # left side bearings: xMin of each, as the formats want
    left = {name: 50 if contours is None else min((x for contour in contours for x, _ in contour), default=0)
            for name, (_, contours) in shapes.items()}
    builder.setupHorizontalMetrics({name: (width, left[name]) for name, (width, _) in shapes.items()})
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Made", "styleName": "Regular"})
    builder.setupOS2(sTypoAscender=800, sTypoDescender=-200, sCapHeight=680, sxHeight=500)
    builder.setupPost(keepGlyphNames=False)
    builder.addOpenTypeFeatures(FEATURES)
    builder.font["head"].created = builder.font["head"].modified = 0
    builder.font.recalcTimestamp = False
    builder.save(folder / f"made.{ending}")
