"""The drawings of Debian's package openclipart-svg, for the scripts beside this one."""
import subprocess


def fetched(folder):
    """Paths of the drawings, sorted. The package is fetched from the registry into `folder`, 25 MB, and unpacked there, not installed.
    Programs' emblems (its folder "computer") are left out."""
    unpacked = folder / "drawings"
    if not unpacked.is_dir():
        folder.mkdir(parents=True, exist_ok=True)
        subprocess.run(["apt-get", "download", "openclipart-svg"], cwd=folder, check=True, stdout=subprocess.DEVNULL)
        package = next(folder.glob("openclipart-svg*.deb"))
        subprocess.run(["dpkg-deb", "-x", package, folder / "unpacking"], check=True)
        package.unlink()
        (folder / "unpacking").rename(unpacked)
    return [drawing for drawing in sorted(unpacked.rglob("*.svg")) if "computer" not in drawing.parts]
