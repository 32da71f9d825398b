"""Pictures of every kind written by Pillow, and what Pillow itself reads from them.

Usage: pictures.py FOLDER. Writes the pictures and expected.txt, a line for each:
file, kind, width, height, channels, alpha (0 or 1), bits, tolerance, width in mm (0: none), file of 16-bit samples.
The samples are those of the upright picture, little-endian, 8-bit ones times 257: colours of a pixel, then its alpha.
Source: Pillow (Debian's python3-pil), read through its own decoders and turned by its ImageOps.exif_transpose.
"""
import io
import pathlib
import random
import sys

import numpy
from PIL import Image, ImageOps

folder = pathlib.Path(sys.argv[1])
folder.mkdir(parents=True, exist_ok=True)
SEED = 20
numbers = numpy.random.default_rng(SEED)
lines = []
WIDTH, HEIGHT = 61, 43


def smooth(width, height, channels):
    """Waves and an edge: what lossy kinds are made for."""
    y, x = numpy.mgrid[0:height, 0:width]
    planes = [127 + 80 * numpy.sin(x / (7 + 3 * c) + y / 11) + 40 * (x + y > (width + height) / 2) for c in range(channels)]
    return numpy.clip(numpy.stack(planes, axis=-1), 0, 255).astype(numpy.uint8)


def noise(width, height, channels):
    return numbers.integers(0, 256, (height, width, channels), dtype=numpy.uint8)


def image(mode, pixels):
    """A Pillow image of that mode from 8-bit planes."""
    if mode == "1":
        return Image.fromarray(pixels[..., 0]).convert("1")
    if mode == "I;16":
        wide = numbers.integers(0, 65536, pixels.shape[:2], dtype=numpy.uint16)
        return Image.fromarray(wide)
    if mode == "P":
        return Image.fromarray(pixels[..., :3]).quantize(37)
    if mode == "PA":
        out = Image.fromarray(pixels[..., :3]).quantize(37)
        out.info["transparency"] = bytes(numbers.integers(0, 256, 37, dtype=numpy.uint8))
        return out
    if mode == "L":
        return Image.fromarray(pixels[..., 0])
    if mode == "CMYK":
        return Image.fromarray(pixels[..., :4], "CMYK")
    return Image.fromarray(pixels[..., : len(mode)], mode)


def unpacked(read):
    """Samples on 16 bits, channels, alpha, of an upright Pillow image."""
    if read.mode.startswith("I"):
        return numpy.asarray(read).astype(numpy.uint16)[..., None], 1, 0
    if read.mode == "P":
        read = read.convert("RGBA" if "transparency" in read.info else "RGB")
    elif "transparency" in read.info and read.mode in ("1", "L", "RGB"):
        read = read.convert("LA" if read.mode in ("1", "L") else "RGBA")
    elif read.mode in ("CMYK", "RGBX"):
        read = read.convert("RGB")
    elif read.mode == "1":
        read = read.convert("L")
    values = numpy.asarray(read).astype(numpy.uint16) * 257
    if values.ndim == 2:
        values = values[..., None]
    alpha = 1 if read.mode in ("LA", "RGBA") else 0
    return values, values.shape[2] - alpha, alpha


def add(name, kind, data, bits=8, tolerance=0, width_mm=0.0, channels=None):
    """Keeps the picture and what Pillow reads from it. `channels`: ours are 3 where Pillow says grey."""
    (folder / name).write_bytes(data)
    read = Image.open(io.BytesIO(data))
    read.load()
    # Pillow turns TIFF upright by itself.
    values, colours, alpha = unpacked(read if kind == "TIFF" else ImageOps.exif_transpose(read))
    if alpha and (values[..., -1] == 65535).all():
        values, alpha = values[..., :-1], 0
    if channels == 3 and colours == 1:
        values = numpy.concatenate([values[..., :1]] * 3 + [values[..., 1:]], axis=-1)
        colours = 3
    raw = name + ".raw"
    values.astype("<u2").tofile(folder / raw)
    lines.append(f"{name} {kind} {values.shape[1]} {values.shape[0]} {colours} {alpha} {bits} {tolerance} {width_mm:.6f} {raw}")


def saved(picture, kind, **how):
    out = io.BytesIO()
    picture.save(out, kind, **how)
    return out.getvalue()


def adam7(mode, pixels):
    """Pillow does not write interlaced PNG: the seven passes of PNG 8.2 put together by hand."""
    import struct
    import zlib

    types = {1: 0, 3: 2, 2: 4, 4: 6}
    height, width, channels = pixels.shape
    raw = b""
    for left, top, across, down in [(0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2)]:
        part = pixels[top::down, left::across]
        if part.size:
            raw += b"".join(b"\0" + row.tobytes() for row in part)
    bits = 8 * pixels.dtype.itemsize

    def chunk(name, content):
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))

    head = struct.pack(">IIBBBBB", width, height, bits, types[channels], 0, 0, 1)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(raw)) + chunk(b"IEND", b"")


def png():
    for mode, bits in [("1", 1), ("L", 8), ("LA", 8), ("I;16", 16), ("P", 8), ("PA", 8), ("RGB", 8), ("RGBA", 8)]:
        for label, pixels in [("noise", noise(WIDTH, HEIGHT, 4)), ("smooth", smooth(WIDTH, HEIGHT, 4))]:
            name = f"png-{mode.replace(';', '')}-{label}.png"
            add(name, "PNG", saved(image(mode, pixels), "PNG"), bits=bits)
    for colours in (2, 3, 9, 200):
        few = Image.fromarray(noise(WIDTH, HEIGHT, 3)).quantize(colours)
        add(f"png-palette-{colours}.png", "PNG", saved(few, "PNG"))
    add("png-clear-grey.png", "PNG", saved(image("L", noise(WIDTH, HEIGHT, 1) // 64), "PNG", transparency=2))
    add("png-clear-colour.png", "PNG", saved(image("RGB", noise(WIDTH, HEIGHT, 3) // 128), "PNG", transparency=(1, 0, 1)))
    add("png-size.png", "PNG", saved(image("L", noise(WIDTH, HEIGHT, 1)), "PNG", dpi=(254, 254)), width_mm=WIDTH / 10)
    for width, height in [(1, 1), (3, 2), (WIDTH, HEIGHT)]:
        for mode in ("L", "LA", "RGB", "RGBA"):
            add(f"png-interlaced-{mode}-{width}.png", "PNG", adam7(mode, noise(width, height, len(mode))))
    wide = numbers.integers(0, 65536, (HEIGHT, WIDTH, 1), dtype=numpy.uint16)
    add("png-interlaced-16.png", "PNG", adam7("L", wide.astype(">u2")), bits=16)


def jpeg():
    # Both read with the same library, so the same samples are expected; inks are put together in other roundings.
    for quality in (5, 40, 75, 95, 100):
        for progressive in (False, True):
            for subsampling in (0, 1, 2):
                name = f"jpeg-{quality}-{'p' if progressive else 'b'}-{subsampling}.jpg"
                data = saved(image("RGB", smooth(WIDTH, HEIGHT, 3)), "JPEG", quality=quality, progressive=progressive, subsampling=subsampling)
                add(name, "JPEG", data)
        add(f"jpeg-grey-{quality}.jpg", "JPEG", saved(image("L", smooth(WIDTH, HEIGHT, 1)), "JPEG", quality=quality))
        add(f"jpeg-inks-{quality}.jpg", "JPEG", saved(image("CMYK", smooth(WIDTH, HEIGHT, 4)), "JPEG", quality=quality), tolerance=257)
    for orientation in range(1, 9):
        for mode in ("L", "RGB"):
            tags = Image.Exif()
            tags[0x0112] = orientation
            data = saved(image(mode, noise(WIDTH, HEIGHT, 3)), "JPEG", exif=tags.tobytes(), quality=90)
            add(f"jpeg-turned-{orientation}-{mode}.jpg", "JPEG", data)
    add("jpeg-size.jpg", "JPEG", saved(image("L", smooth(WIDTH, HEIGHT, 1)), "JPEG", dpi=(254, 254)), width_mm=WIDTH / 10)


def tiff():
    for mode, bits in [("1", 1), ("L", 8), ("LA", 8), ("I;16", 16), ("P", 8), ("RGB", 8), ("RGBA", 8), ("CMYK", 8)]:
        for packing in (None, "tiff_lzw", "tiff_adobe_deflate", "packbits"):
            name = f"tiff-{mode.replace(';', '')}-{packing or 'plain'}.tif"
            how = {"compression": packing} if packing else {}
            # Inks are multiplied on 16 bits here and on 8 there: one step of 255 apart.
            add(name, "TIFF", saved(image(mode, noise(WIDTH, HEIGHT, 4)), "TIFF", **how), bits=bits, tolerance=257 if mode == "CMYK" else 0)
    for packing in ("group3", "group4"):
        add(f"tiff-1-{packing}.tif", "TIFF", saved(image("1", smooth(WIDTH, HEIGHT, 1)), "TIFF", compression=packing), bits=1)
    add("tiff-jpeg.tif", "TIFF", saved(image("RGB", smooth(WIDTH, HEIGHT, 3)), "TIFF", compression="jpeg", quality=90))
    for orientation in range(1, 9):
        data = saved(image("RGB", noise(WIDTH, HEIGHT, 3)), "TIFF", tiffinfo={0x0112: orientation})
        add(f"tiff-turned-{orientation}.tif", "TIFF", data)
    add("tiff-size.tif", "TIFF", saved(image("L", noise(WIDTH, HEIGHT, 1)), "TIFF", dpi=(254, 254)), width_mm=WIDTH / 10)
    many = [image("L", noise(WIDTH, HEIGHT, 1)) for _ in range(3)]
    add("tiff-three.tif", "TIFF", saved(many[0], "TIFF", save_all=True, append_images=many[1:]))
    large = image("RGB", smooth(900, 700, 3))
    add("tiff-large.tif", "TIFF", saved(large, "TIFF", compression="tiff_lzw"))


def webp():
    for mode in ("RGB", "RGBA"):
        for label, pixels in [("noise", noise(WIDTH, HEIGHT, 4)), ("smooth", smooth(WIDTH, HEIGHT, 4))]:
            add(f"webp-{mode}-{label}.webp", "WebP", saved(image(mode, pixels), "WEBP", lossless=True, exact=True))
            for quality in (10, 80):
                add(f"webp-{mode}-{label}-{quality}.webp", "WebP", saved(image(mode, pixels), "WEBP", quality=quality))
    for orientation in range(1, 9):
        tags = Image.Exif()
        tags[0x0112] = orientation
        data = saved(image("RGB", noise(WIDTH, HEIGHT, 3)), "WEBP", lossless=True, exif=tags.tobytes())
        add(f"webp-turned-{orientation}.webp", "WebP", data)


def broken():
    """Half of each kind: Pillow refuses to load it, or fills the rest in; ours must refuse."""
    random.seed(SEED)
    picture = image("RGB", noise(WIDTH, HEIGHT, 3))
    for name, kind in [("png", "PNG"), ("jpg", "JPEG"), ("tif", "TIFF"), ("webp", "WEBP")]:
        data = saved(picture, kind)
        for k in range(20):
            (folder / f"broken-{k}.{name}").write_bytes(data[: random.randrange(1, len(data))])
            lines.append(f"broken-{k}.{name} refused 0 0 0 0 0 0 0 -")
    for kind, name in [("GIF", "gif"), ("BMP", "bmp"), ("PPM", "ppm"), ("PDF", "pdf"), ("JPEG2000", "jp2")]:
        (folder / f"other.{name}").write_bytes(saved(picture, kind))
        lines.append(f"other.{name} refused 0 0 0 0 0 0 0 -")


png()
jpeg()
tiff()
webp()
broken()
(folder / "expected.txt").write_text("\n".join(lines) + "\n")
print(f"{len(lines)} pictures, seed {SEED}")
