"""The misread brackets of whole alphabets: their time and width, beside the sum over all subsets.

Run it from the checkout: python tests/benchmarks/misread.py
The target for lost drops is a relative width of 2 % in 250 ms for a message's alphabet.
"""

import time
from collections.abc import Callable
from itertools import combinations

from rasterc.fonts.load import load_font
from rasterc.fonts.model import Font
from rasterc.reading.general import GeneralReader
from rasterc.reading.lost import LostDropReader
from rasterc.reading.moved import MovedDropReader
from rasterc.reading.shapes import Templates, shapes_of
from rasterc.resources import resource_dir

DIGITS = "0123456789"
CAPITALS = DIGITS + "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
ALPHABETS = {"digits": DIGITS, "digits, capitals": CAPITALS}
FONTS = ("upright-5", "upright-7", "upright-9", "upright-12", "upright-16", "tall-12", "tall-16")
NEGLIGIBLE = 1e-12


def best_of(runs: int, work: Callable[[], object]) -> float:
    """Least processor time of several runs, in ms: other work on the machine does not count."""
    times = []
    for _ in range(runs):
        began = time.process_time()
        work()
        times.append(time.process_time() - began)
    return min(times) * 1000


def read_all(font: Font, alphabet: str, loss: float) -> dict:
    reader = LostDropReader(shapes_of(font, alphabet), loss)
    return {char: reader.misread(char) for char in alphabet}


def move_all(font: Font, alphabet: str) -> None:
    reader = MovedDropReader(shapes_of(font, alphabet))
    for char in alphabet:
        reader.misread(char)


def blur_all(font: Font, alphabet: str, loss: float) -> None:
    reader = GeneralReader(shapes_of(font, alphabet), loss)
    for char in alphabet:
        reader.misread(char)


def all_subsets(font: Font, char: str, alphabet: str, loss: float) -> float:
    """Ties counted, by the sum over all subsets of lost drops: 2 ** drops of them."""
    templates = Templates(shapes_of(font, alphabet))
    o = templates.overlaps(char)
    masks = {}
    for index, kept in enumerate(templates.drops_at(o, list(range(len(o.rival))))):
        mask = sum(1 << i for i, has in enumerate(kept.tolist()) if not has)
        apart = len(o.x) + int(o.sizes[o.rival[index]]) - 2 * int(o.both[index])
        masks[mask] = min(apart, masks.get(mask, apart))
    chance, drops = 0.0, range(len(o.x))
    for lost in range(len(o.x) + 1):
        each = loss**lost * (1 - loss) ** (len(o.x) - lost)
        for subset in combinations(drops, lost):
            bits = sum(1 << i for i in subset)
            chance += each * any(2 * (bits & m).bit_count() >= n for m, n in masks.items())
    return chance


def main() -> None:
    fonts = {n: load_font(resource_dir("fonts-demo") / f"{n}.bdf").font for n in FONTS}
    print("| font | alphabet | loss | lost drops, ms | widest bracket | moved drops, ms | "
          "general, ms |")  # fmt: skip
    print("| --- " * 7 + "|")
    for name, font in fonts.items():
        for kind, alphabet in ALPHABETS.items():
            moved = best_of(1, lambda f=font, a=alphabet: move_all(f, a))
            for loss in (0.02, 0.1):
                found = read_all(font, alphabet, loss)
                took = best_of(3, lambda f=font, a=alphabet, p=loss: read_all(f, a, p))
                blurred = best_of(1, lambda f=font, a=alphabet, p=loss: blur_all(f, a, p))
                ends = [end for m in found.values() for end in (m.clear, m.tied)]
                wide = [e.relative_width for e in ends if e.high - e.low > NEGLIGIBLE]
                row = f"{took:.0f} | {max(wide, default=0):.1%} | {moved:.0f} | {blurred:.0f}"
                print(f"| {name} | {kind} | {loss:.0%} | {row} |")
    font = fonts["upright-7"]
    began = time.process_time()
    exact = all_subsets(font, "8", DIGITS, 0.02)
    slow = (time.process_time() - began) * 1000
    fast = best_of(5, lambda: LostDropReader(shapes_of(font, DIGITS)).misread("8"))
    tied = LostDropReader(shapes_of(font, DIGITS)).misread("8").tied
    assert tied.low * 0.999 <= exact <= tied.high * 1.001
    drops = font.glyphs["8"].drops
    print(f"\n8 of upright-7, {drops} drops: {exact:.6g} by all subsets in "
          f"{slow:.0f} ms, {tied.low:.6g} to {tied.high:.6g} in {fast:.1f} ms")  # fmt: skip


if __name__ == "__main__":
    main()
