"""Whether a PNG file is whole. Decoders are content with what they can get of one that is cut.

The layout is that of PNG, third edition (W3C), sections 5.3 and 10.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

SIGNATURE = b"\x89PNG\r\n\x1a\n"
_BYTES_PER_PIXEL = 8  # at most: 16 bits of red, green, blue and alpha


def is_whole_png(data: bytes, width: int, height: int) -> bool:
    """Whether all chunks are there and as written, and the picture's data end where they should.

    Args:
        data: the file, with its signature.
        width, height: of the picture; they bound how much is unpacked.
    """
    try:
        chunks = list(_chunks(data))
    except (struct.error, ValueError):
        return False
    if not chunks or chunks[-1][0] != b"IEND":
        return False
    packed = b"".join(content for kind, content in chunks if kind == b"IDAT")
    # the rows, each with its filter; interlaced ones have at most 7 more a row
    return _unpacks(packed, height * (width * _BYTES_PER_PIXEL + 8) + 64)


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Kind and content of each chunk as far as IEND; raises when one is cut or changed."""
    at, kind = len(SIGNATURE), b""
    while kind != b"IEND":
        length, kind = struct.unpack_from(">I4s", data, at)
        content = data[at + 8 : at + 8 + length]
        (check,) = struct.unpack_from(">I", data, at + 8 + length)
        if zlib.crc32(kind + content) != check:
            raise ValueError(kind)
        yield kind, content
        at += 12 + length


def _unpacks(packed: bytes, most: int) -> bool:
    """Whether zlib data end within so many bytes, with the right check sum."""
    unpacking = zlib.decompressobj()
    try:
        size = 0
        while not unpacking.eof and size <= most and packed:
            size += len(unpacking.decompress(packed, 1 << 16))
            packed = unpacking.unconsumed_tail
    except zlib.error:
        return False
    return unpacking.eof and size <= most
