"""Installs an RS-274 reader that no one here wrote: the npm packages gcode-parser and gcode-toolpath, into FOLDER.

Usage: programs.py FOLDER. The C++ side writes programs there and lets programs.cjs read them with those packages.
Node and npm come from Debian (nodejs, npm); where they are missing they are installed, which takes root.
"""
import pathlib
import shutil
import subprocess
import sys

PACKAGES = ["gcode-parser@2.2.0", "gcode-toolpath@3.0.0"]

folder = pathlib.Path(sys.argv[1]).resolve()
folder.mkdir(parents=True, exist_ok=True)
missing = [package for word, package in (("node", "nodejs"), ("npm", "npm")) if not shutil.which(word)]
if missing:
    subprocess.run(["apt-get", "install", "-y", "--no-install-recommends", *missing], check=True)
(folder / "package.json").write_text('{"private": true}\n')
subprocess.run(["npm", "install", "--no-audit", "--no-fund", "--no-save", "--loglevel=error", *PACKAGES], cwd=folder, check=True)
