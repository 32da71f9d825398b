"""A whole job, timed from start to end: a relief of 256 x 160 mm from an invented 16-bit depth map of 2560 x 1600 pixels.

Usage: relief.py PROGRAM [OTHER PICTURES ...]. The program runs under a terminal of our own, so that its progress line tells
when it goes over from one stage to the next; presets are those of the source folder.
"""
import json
import os
import pathlib
import pty
import re
import subprocess
import sys
import tempfile
import time

import numpy
from PIL import Image

source = pathlib.Path(__file__).resolve().parents[2]


def landscape():
    """The lighthouse's island: hills, cliffs, a tower with its gallery, waves and rock."""
    y, x = numpy.mgrid[0:1600, 0:2560] / 10.0
    y = 160 - y
    chance = numpy.random.default_rng(1600)
    z = 0.25 + 0.06 * numpy.sin(x / 19) * numpy.cos(y / 13) + 0.01 * numpy.sin(2.3 * x + 6 * numpy.sin(y / 9))
    island = 60 - 0.006 * (x - 120) ** 2 + 5 * numpy.sin(x / 7) - y
    z = numpy.where(island > 0, 0.4 + 0.12 * numpy.tanh(island / 25) + 0.02 * numpy.sin(x * 0.9) * numpy.sin(y * 1.1), z)
    tower = numpy.abs(x - 150) / (14 - y / 16)
    z = numpy.where((tower < 1) & (y > 40) & (y < 130), 0.6 + 0.35 * numpy.sqrt(numpy.maximum(0, 1 - tower**2)), z)
    z = numpy.where((numpy.abs(x - 150) < 11) & (numpy.abs(y - 132) < 2), 0.95, z)
    z = numpy.where(numpy.hypot(x - 150, y - 140) < 7, 0.7 + 0.04 * numpy.sqrt(numpy.maximum(0, 49 - (x - 150) ** 2 - (y - 140) ** 2)), z)
    grain = chance.normal(0, 1, (400, 640)).repeat(4, axis=0).repeat(4, axis=1)
    z += numpy.where(island > 0, 0.004, 0.0015) * grain
    return numpy.round(numpy.clip(z, 0, 1) * 65535).astype(numpy.uint16)


def run(words, env):
    """Seconds of wall time, seconds of both processors, seconds of each stage. (tests/jobs/test_memory.cpp measures memory.)"""
    mine, theirs = pty.openpty()
    start = time.perf_counter()
    child = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=theirs, env=env)
    os.close(theirs)
    marks, text = [(0.0, "start")], ""
    while True:
        try:
            piece = os.read(mine, 4096).decode("utf-8", "replace")
        except OSError:  # the child has closed its end
            break
        if not piece:
            break
        text += piece
        for word in re.findall(r"[a-z]{4,}", re.sub(r"\x1b\[[0-9;]*[A-Za-z]", " ", piece)):
            if word != marks[-1][1]:
                marks.append((time.perf_counter() - start, word))
    _, status, usage = os.wait4(child.pid, 0)
    wall = time.perf_counter() - start
    os.close(mine)
    if status != 0:
        sys.exit(f"the program ended with {os.waitstatus_to_exitcode(status)}:\n{text}")
    stages = {}
    for (begin, stage), (end, _) in zip(marks, [*marks[1:], (wall, "end")]):
        stages[stage] = stages.get(stage, 0) + end - begin
    return wall, usage.ru_utime + usage.ru_stime, stages


program = os.path.abspath(sys.argv[1])
env = {**os.environ, "BURIN_PRESETS": str(source / "presets"), "NO_COLOR": "1"}
with tempfile.TemporaryDirectory() as scratch:
    picture = f"{scratch}/island.png"
    Image.fromarray(landscape()).save(picture, compress_level=1)
    for given in [picture, *sys.argv[2:]]:
        words = [program, "relief", given, "--heights", "map", "--width", "256", "--depth", "2", "--machine", "desk-300x200"]
        words += ["--bit", "flat:3.175", "--bit", "ball:1.0", "-o", f"{scratch}/job"]
        best = min((run(words, env) for _ in range(3)), key=lambda r: r[0])
        wall, processor, stages = best
        report = json.loads(pathlib.Path(scratch, "job", "report.json").read_text(encoding="utf-8"))
        lines = sum(p["lines"] for p in report["programs"])
        told = ", ".join(f"{stage} {1000 * seconds:.0f} ms" for stage, seconds in stages.items() if seconds > 0.002)
        print(
            f"{os.path.basename(given)} at 256 mm, load {os.getloadavg()[0]:.1f}: {wall:.2f} s of wall time, {processor:.2f} s of "
            f"processor time, {lines} lines, {report['time_s'] / 3600:.1f} h of cutting; {told}"
        )
