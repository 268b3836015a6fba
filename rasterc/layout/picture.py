"""1-bit pictures (PNG, PBM) as strokes: a dark pixel is a drop."""

from __future__ import annotations

import struct
import warnings
import zlib
from io import BytesIO
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TYPE_CHECKING

from rasterc.diagnostics import InputError
from rasterc.files import is_there, read_file, real_path
from rasterc.layout.model import MAX_PICTURE_PIXELS, MAX_RASTER
from rasterc.layout.png import is_whole_png
from rasterc.source.message import Picture

if TYPE_CHECKING:
    from PIL.Image import Image

MAX_PICTURE_BYTES = 16 * 1024 * 1024
_ONE_PIXEL = (
    f"one pixel is one drop: at most {MAX_RASTER} rows high, "
    f"and {MAX_PICTURE_PIXELS:,} pixels in all"
)
_BLACK, _WHITE = (0, 0, 0), (255, 255, 255)

# What Pillow's decoders raise on damaged files (found by feeding them damaged files).
_DECODER_ERRORS = (
    OSError, SyntaxError, ValueError, ArithmeticError, LookupError, TypeError, struct.error,
    zlib.error,
)  # fmt: skip


def find_picture(picture: Picture, folder: str) -> Path:
    """Where the picture's file lies inside ``folder``, links followed.

    Raises:
        InputError: the path leaves the folder, or there is nothing at it.
    """
    written = picture.path
    windows, posix = PureWindowsPath(written), PurePosixPath(written)
    if windows.drive or windows.root or posix.is_absolute() or ".." in windows.parts:
        raise _outside(picture)
    try:
        base = real_path(folder)
        path = real_path(base / written)
        inside, there = path.is_relative_to(base), is_there(path)
    except (OSError, ValueError):  # names no file can have
        raise _missing(picture) from None
    if not inside:
        raise _outside(picture)
    if not there:
        raise _missing(picture)
    return path


def read_picture(picture: Picture, path: Path) -> tuple[tuple[int, ...], int]:
    """The picture's strokes (bit 0 is its lowest row) and its height in rows.

    Raises:
        InputError: the file is damaged, too large, not 1-bit, or higher than any raster.
    """
    from PIL import Image

    name = f'picture "{picture.path}"'
    data = read_file(path, MAX_PICTURE_BYTES, place=picture.span, name=name, remedy=_ONE_PIXEL)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of very large pictures: they are refused by their size
        try:
            return _strokes_of(picture, data)
        except Image.DecompressionBombError:
            raise _too_large(picture, "more pixels than can be decoded safely") from None
        except _DECODER_ERRORS:
            raise _unreadable(picture) from None


def _strokes_of(picture: Picture, data: bytes) -> tuple[tuple[int, ...], int]:
    import numpy as np
    from PIL import Image

    image = Image.open(BytesIO(data), formats=("PNG", "PPM"))
    width, height = image.size
    if width * height > MAX_PICTURE_PIXELS:
        raise _too_large(picture, f"{width} x {height} pixels")
    if height > MAX_RASTER:
        raise InputError.one(
            "picture-too-high",
            f'picture "{picture.path}" is {height} rows high, a raster at most {MAX_RASTER}',
            picture.span,
            "scale it so that one pixel is one drop",
        )
    if image.format == "PNG" and not is_whole_png(data, width, height):
        raise _unreadable(picture)
    image.load()
    dark = ~np.asarray(_one_bit(picture, image), dtype=bool)
    weights = np.left_shift(1, np.arange(height - 1, -1, -1))
    return tuple(int(c) for c in weights @ dark), height


def _one_bit(picture: Picture, image: Image) -> Image:
    """The picture in mode "1"; a palette of pure black and white is as good."""
    from PIL.Image import Dither

    if "transparency" not in image.info:
        if image.mode == "1":
            return image
        colours = image.convert("RGB").getcolors(2) if image.mode == "P" else None
        if colours and {c for _, c in colours} <= {_BLACK, _WHITE}:
            return image.convert("1", dither=Dither.NONE)
    raise InputError.one(
        "picture-not-1-bit",
        f'picture "{picture.path}" has {_kind(image)}; a drop is either printed or not',
        picture.span,
        "save it as a black-and-white (1-bit) PNG or PBM without transparency; "
        "black pixels are printed",
    )


def _kind(image: Image) -> str:
    if "transparency" in image.info or image.mode in ("LA", "PA", "RGBA"):
        return "transparent pixels"
    return "grey pixels" if image.mode in ("L", "I", "F") or image.mode[:2] == "I;" else "colours"


def _outside(picture: Picture) -> InputError:
    return InputError.one(
        "picture-outside",
        f'picture "{picture.path}" is not inside the folder of the message file',
        picture.span,
        "put it beside the message file or below, and give its path from there",
    )


def _missing(picture: Picture) -> InputError:
    return InputError.one(
        "picture-missing",
        f'there is no picture file "{picture.path}"',
        picture.span,
        "its path starts at the folder of the message file",
    )


def _too_large(picture: Picture, size: str) -> InputError:
    return InputError.one(
        "picture-too-large",
        f'picture "{picture.path}" is too large: {size}',
        picture.span,
        _ONE_PIXEL,
    )


def _unreadable(picture: Picture) -> InputError:
    return InputError.one(
        "picture-unreadable",
        f'picture "{picture.path}" is damaged, or neither PNG nor PBM',
        picture.span,
        "save it again as a 1-bit PNG or PBM",
    )
