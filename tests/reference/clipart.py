"""Drawings that nobody here made: twenty of Debian's package openclipart-svg, chosen by a seed, go through every strategy for
figures. Each job must be proved (status 0) or refused (1) for a reason that lies in the drawing; a plan that its own proof
refuses, a crash or an endless run fails the test.

Usage: clipart.py PROGRAM FOLDER [SEED]. The package is fetched from the registry into FOLDER, 25 MB, and unpacked there, not
installed. Programs' emblems (its folder "computer") are left out. The last lines are a table for DEVELOPERS.md.
"""
import json
import os
import pathlib
import random
import re
import subprocess
import sys

sys.dont_write_bytecode = True  # the source folder stays clean
from clipart_drawings import fetched

program, folder = os.path.abspath(sys.argv[1]), pathlib.Path(sys.argv[2])
seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1854
strategies = {
    "incise": ["--bit", "vee:60:0.1:6.35"],
    "outline": ["--bit", "flat:1.0", "--side", "outside", "--depth", "1"],
    "pocket": ["--bit", "flat:2.0", "--bit", "flat:1.0", "--depth", "1"],
    "stroke": ["--bit", "vee:60:0.1:3.175", "--depth", "0.5"],
    "cutout": ["--bit", "flat:2.0", "--stock", "90x120x4"],
}
width = 70  # mm


def short(drawing):
    """What it shows: the first words of its name that are neither a number nor part of its maker's name."""
    makers = re.findall(r"<dc:creator.*?</dc:creator>", drawing.read_text(encoding="utf-8", errors="replace"), re.DOTALL)
    names = re.findall(r"[^\W\d]{3,}", re.sub(r"<[^>]*>", " ", " ".join(makers)).lower())
    words = re.findall(r"[^\W\d_]{3,}", drawing.stem)
    return " ".join([word for word in words if not any(name.startswith(word.lower()[:4]) for name in names)][:2]) or drawing.parent.name


def painted(drawing, picture):
    """The drawing as a picture of 10 pixels a mm on white; False where it cannot be painted so that 70 x 100 mm hold it."""
    words = ["rsvg-convert", "--width", str(10 * width), "--keep-aspect-ratio", "--background-color", "white", "-o", picture, drawing]
    done = subprocess.run(words, capture_output=True)
    if done.returncode != 0:
        return False
    head = picture.read_bytes()[:24]
    return 200 < int.from_bytes(head[20:24], "big") <= 1000


def outcome(strategy, picture):
    """One word or sentence for the table, and whether the test may pass."""
    job = folder / "job"
    words = [program, strategy, picture, "--width", str(width), *strategies[strategy], "--quiet", "-o", job]
    try:
        done = subprocess.run(words, capture_output=True, text=True, timeout=120)
    except subprocess.TimeoutExpired:
        return "no end within 120 s", False
    if done.returncode == 0:
        report = json.loads((job / "report.json").read_text(encoding="utf-8"))
        minutes = report["time_s"] / 60
        return f"{minutes:.0f} min", all(check["ok"] for check in report["proof"]["checks"])
    told = re.sub(r"^burin: (Refused: )?", "", done.stderr.strip().splitlines()[-1] if done.stderr.strip() else "said nothing")
    first = done.stderr.strip().splitlines()[0] if done.stderr.strip() else ""
    if done.returncode != 1 or "would break a promise" in done.stderr:
        return f"FAILED {done.returncode}: {first} {told}", False
    return "refused: " + re.sub(r"^burin: (Refused: )?", "", first), True


drawings = fetched(folder)
chance = random.Random(seed)
chosen, rows, good = [], [], True
while len(chosen) < 20:
    drawing = drawings[chance.randrange(len(drawings))]
    picture = folder / "drawing.png"
    if drawing in chosen or not painted(drawing, picture):
        continue
    chosen.append(drawing)
    cells = []
    for strategy in strategies:
        cell, fine = outcome(strategy, picture)
        good = good and fine
        cells.append(cell)
        print(f"{short(drawing)}: {strategy}: {cell}", flush=True)
    rows.append((short(drawing), cells))

print(f"\nseed {seed}, {len(drawings)} drawings in the package\n")
print("| drawing | " + " | ".join(strategies) + " |\n|" + "---|" * (len(strategies) + 1))
reasons = []
for name, cells in rows:
    short = []
    for cell in cells:
        if cell.startswith("refused: "):
            reason = cell.removeprefix("refused: ")
            if reason not in reasons:
                reasons.append(reason)
            cell = f"refused ({reasons.index(reason) + 1})"
        short.append(cell)
    print(f"| {name} | " + " | ".join(short) + " |")
for number, reason in enumerate(reasons, 1):
    print(f"({number}) {reason}")
sys.exit(0 if good else "a drawing was neither proved nor refused for a reason of its own")
