"""Board files as gerbv (Debian's package, a viewer of its own code) paints them: bitmaps of 0.01 mm a pixel for gerber.cpp."""
import math
import random
import subprocess
import sys
from pathlib import Path

here = Path(__file__).resolve().parent
board = here.parent.parent / "images" / "board"
out = Path(sys.argv[1])
out.mkdir(parents=True, exist_ok=True)

HEAD = "%FSLAX46Y46*%\n%MOMM*%\n"
LOW, WIDE, HIGH = -1.27, 25.4 * 1.8, 25.4 * 1.4  # mm: what is painted


def place(x, y, prefix=""):
    return f"{prefix}X{round(x * 1e6)}Y{round(y * 1e6)}"


def all_kinds():
    """Every kind of object once or more; gerbv knows neither block apertures nor mirrored, turned and scaled ones."""
    return HEAD + (
        "%AMRING*0 a ring*$3=$1x0.5*1,1,$1,0,0*1,0,$3,0,0*%\n"
        "%AMBARS*20,1,0.5,0,0,2,1,$1*21,1,1,0.5,-1,-1,$1*%\n"
        "%AMTRI*4,1,3,0,0,2,0,0,2,0,0,0*%\n%AMHEX*5,1,6,0,0,2,0*%\n"
        "%ADD10C,0.4*%\n%ADD11R,1X0.6*%\n%ADD12O,1.4X0.7*%\n%ADD13P,1.2X6X15*%\n%ADD14RING,2*%\n%ADD15BARS,30*%\n"
        "%ADD16TRI*%\n%ADD17HEX*%\n%ADD18C,2X0.8*%\n%ADD19R,2X1.5X0.5*%\n"
        "D10*\nG01*\nX1000000Y1000000D02*\nX9000000D01*\nG75*\nG03*\nX11000000Y3000000I0J2000000D01*\nG01*\nY9000000D01*\n"
        "G74*\nG02*\nX13000000Y11000000I2000000J0D01*\nG01*\n"
        "D12*\nX3000000Y4000000D03*\nD13*\nX6000000Y4000000D03*\nD14*\nX3000000Y8000000D03*\nD15*\nX7000000Y8000000D03*\n"
        "D16*\nX5000000Y12000000D03*\nD17*\nX9000000Y12000000D03*\nD18*\nX3000000Y16000000D03*\nD19*\nX7000000Y16000000D03*\n"
        "G36*\nG01*\nX14000000Y1000000D02*\nX18000000D01*\nY5000000D01*\nG75*\nG03*\nX14000000Y1000000I-4000000J0D01*\nG01*\nG37*\n"
        "%LPC*%\nD11*\nX16500000Y2000000D03*\n%LPD*%\n"
        "%SRX2Y3I3J2*%\nD11*\nX14000000Y9000000D03*\n%SR*%\nM02*\n"
    )


def random_layer(seed):
    """Pads, lines, arcs and areas anywhere, some taken away again."""
    r = random.Random(seed)
    text = HEAD + "%ADD10C,0.3*%\n%ADD11C,1.1*%\n%ADD12R,1.3X0.8*%\n%ADD13O,0.9X1.7*%\n%ADD14P,1.6X5X10*%\n"
    for n in range(60):
        x, y = r.uniform(2, 38), r.uniform(2, 28)
        if n % 9 == 8:
            text += "%LPC*%\n" if n % 2 else "%LPD*%\n"
        kind = r.randrange(4)
        if kind == 0:
            text += f"D{r.choice((11, 12, 13, 14))}*\n" + place(x, y) + "D03*\n"
        elif kind == 1:
            text += f"D{r.choice((10, 11))}*\nG01*\n" + place(x, y) + "D02*\n" + place(r.uniform(2, 38), r.uniform(2, 28)) + "D01*\n"
        elif kind == 2:
            radius, a, b = r.uniform(0.5, 1.9), r.uniform(0, 6.28), r.uniform(0, 6.28)
            start, end = (x + radius * math.cos(a), y + radius * math.sin(a)), (x + radius * math.cos(b), y + radius * math.sin(b))
            way = r.choice(("G02", "G03"))
            text += f"D10*\nG75*\n{way}*\n" + place(*start) + "D02*\n" + place(*end)
            text += f"I{round((x - start[0]) * 1e6)}J{round((y - start[1]) * 1e6)}D01*\nG01*\n"
        else:
            ring = [(x + r.uniform(0.5, 2) * math.cos(k * 1.2566), y + r.uniform(0.5, 2) * math.sin(k * 1.2566)) for k in range(5)]
            text += "G36*\nG01*\n" + place(*ring[0]) + "D02*\n" + "".join(place(*p) + "D01*\n" for p in ring[1:] + ring[:1]) + "G37*\n"
    return text + "%LPD*%\nD10*\nM02*\n"


files = [board / name for name in ("lamp-top.gbr", "lamp-bottom.gbr", "lamp-edge.gbr", "lamp.drl")]
for name, text in [("kinds.gbr", all_kinds())] + [(f"random-{seed}.gbr", random_layer(seed)) for seed in range(1854, 1857)]:
    (out / name).write_text(text)
    files.append(out / name)
lines = []
for file in files:
    picture = out / (file.stem + ("-holes" if file.suffix == ".drl" else "") + ".png")
    subprocess.run(
        ["gerbv", "-x", "png", "-B", "0", "-D", "2540", "-b", "#ffffff", "-f", "#000000ff", "-O", f"{LOW / 25.4}x{LOW / 25.4}",
         "-W", f"{WIDE / 25.4}x{HIGH / 25.4}", "-o", str(picture), str(file)],
        check=True, capture_output=True, env={"HOME": str(out), "PATH": "/usr/bin:/bin"})
    lines.append(f"{file}\t{picture}\n")
(out / "expected.txt").write_text("".join(lines))
