"""Damage of the kinds that files suffer, the same for the same seed."""

from __future__ import annotations

import random

NUMBERS = (0, 1, 2, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF)
LONGEST = 1 << 18  # bytes; damage does not grow an input past this


def damaged(rng: random.Random, data: bytes, words: tuple[bytes, ...] = ()) -> bytes:
    """The data with one to twenty things changed; ``words`` are worth putting in."""
    out = bytearray(data)
    for _ in range(rng.choice((1, 1, 1, 2, 3, 5, 20))):
        _change(rng, out, words)
    return bytes(out[:LONGEST])


def _change(rng: random.Random, out: bytearray, words: tuple[bytes, ...]) -> None:
    at = rng.randrange(len(out) + 1)
    size = rng.choice((1, 1, 2, 4, 8, 64))
    action = rng.randrange(9)
    if action == 0 and out:
        out[at % len(out)] ^= 1 << rng.randrange(8)
    elif action == 1 and out:
        out[at % len(out)] = rng.randrange(256)
    elif action == 2:
        del out[at : at + size]
    elif action == 3:
        out[at:at] = out[at : at + size] * rng.choice((1, 2, 30))
    elif action == 4:
        source = rng.randrange(len(out) + 1)
        out[at : at + size] = out[source : source + size]
    elif action == 5:
        width = rng.choice((1, 2, 4))
        number = rng.choice(NUMBERS) & (1 << 8 * width) - 1
        out[at : at + width] = number.to_bytes(width, rng.choice(("big", "little")))
    elif action == 6:
        del out[at:]
    elif words:
        word = rng.choice(words)
        out[at : at + rng.choice((0, 0, size))] = word
    else:
        out[at:at] = bytes(rng.randrange(256) for _ in range(size))
