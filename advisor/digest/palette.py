"""A PNG made small: a flat picture has few colours, and one byte a pixel tells which.

Written from the standard (PNG, third edition, W3C 2023): chunks, the five filters, the palette.
"""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

SIGNATURE = b"\x89PNG\r\n\x1a\n"

COLOURS = 32
"""The edges of letters have hundreds of shades; of more than so many nobody sees the difference."""

Pixels = NDArray[np.uint8]


def with_palette(png: bytes, colours: int = COLOURS) -> bytes:
    """The same picture with at most so many colours (2 to 256): the most frequent ones, and for
    each other one the nearest of them.

    Takes what the renderer writes, RGBA of 8 bits that is opaque and not interlaced; ValueError for
    anything else.
    """
    pixels = _pixels(png)[:, :, :3].astype(np.int64)
    packed = (pixels[:, :, 0] << 16) | (pixels[:, :, 1] << 8) | pixels[:, :, 2]
    found, index, count = np.unique(packed, return_inverse=True, return_counts=True)
    # By the colour itself where two are as frequent, so that the bytes are the same each time.
    kept = found[np.lexsort((found, -count))[:colours]]
    apart = _parts(found)[:, None, :] - _parts(kept)[None, :, :]
    nearest = (apart * apart).sum(axis=2).argmin(axis=1).astype(np.uint8)
    rows = nearest[index.reshape(packed.shape)]
    height, width = rows.shape
    body = np.zeros((height, width + 1), dtype=np.uint8)  # each row begins with its filter: none
    body[:, 1:] = rows
    return SIGNATURE + b"".join((
        _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0)),
        _chunk(b"PLTE", _parts(kept).astype(np.uint8).tobytes()),
        _chunk(b"IDAT", zlib.compress(body.tobytes(), 9)),
        _chunk(b"IEND", b""),
    ))  # fmt: skip


def _parts(packed: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.stack([packed >> 16, packed >> 8 & 255, packed & 255], axis=1)


def _chunk(name: bytes, data: bytes) -> bytes:
    check = zlib.crc32(name + data)
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", check)


def _pixels(png: bytes) -> Pixels:
    """The pixels, shape (height, width, 4)."""
    width, height, data = _read(png)
    rows = np.frombuffer(zlib.decompress(data), dtype=np.uint8).reshape(height, 4 * width + 1)
    kind, filtered = rows[:, 0], rows[:, 1:].reshape(height, width, 4).astype(np.int16)
    # A pixel leans on those to its left, above it and above that: so all of one diagonal, from the
    # top right to the bottom left, are worked out at once. A border of zeros lies above and left.
    out = np.zeros((height + 1, width + 1, 4), dtype=np.int16)
    for diagonal in range(height + width - 1):
        y = np.arange(max(0, diagonal - width + 1), min(height, diagonal + 1))
        x = diagonal - y
        left, above, corner = out[y + 1, x], out[y, x + 1], out[y, x]
        guess = left + above - corner
        off_left, off_above, off_corner = abs(guess - left), abs(guess - above), abs(guess - corner)
        paeth = np.where(
            (off_left <= off_above) & (off_left <= off_corner), left,
            np.where(off_above <= off_corner, above, corner),
        )  # fmt: skip
        by = kind[y][:, None]
        added = np.select(
            [by == 1, by == 2, by == 3, by == 4], [left, above, (left + above) >> 1, paeth], 0
        )
        out[y + 1, x + 1] = (filtered[y, x] + added) & 255
    return out[1:, 1:].astype(np.uint8)


def _read(png: bytes) -> tuple[int, int, bytes]:
    """Width, height and the data, still compressed."""
    if not png.startswith(SIGNATURE):
        raise ValueError("this is no PNG")
    at, data, head = len(SIGNATURE), b"", b""
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        name, body = png[at + 4 : at + 8], png[at + 8 : at + 8 + length]
        if name == b"IHDR":
            head = body
        elif name == b"IDAT":
            data += body
        at += 12 + length
    width, height, *how = struct.unpack(">IIBBBBB", head)
    if tuple(how) != (8, 6, 0, 0, 0):
        raise ValueError("the PNG is not RGBA of 8 bits")
    return width, height, data
