"""Our prints before an outside reader, and how well its mistakes agree with what we predict.

Run it from the checkout with the extra `ocr` installed: python tests/benchmarks/ocr.py [LINES]
It prints tables; 200 lines take some eight minutes. Nothing is random between two runs.
"""

import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "reading" / "ocr"))

from outside_reader import (
    ALPHABET,
    OutsideReader,
    Tally,
    predicted,
    rank_correlation,
    strings,
    take_tally,
)

from rasterc.fonts.load import load_font
from rasterc.fonts.model import Font
from rasterc.resources import resource_dir

FONTS = (("upright-5", 5), ("upright-7", 7), ("upright-9", 9), ("upright-16", 16))
LOSSES = (0.0, 0.05, 0.10, 0.15, 0.25)


def main(lines: int) -> None:
    began = time.perf_counter()
    reader = OutsideReader()
    texts = strings(lines, seed=20271125)
    fonts = {name: load_font(resource_dir("fonts-demo") / f"{name}.bdf").font for name, _ in FONTS}
    tallies = {
        (name, loss): take_tally(reader, texts, name, rows, loss, seed=rows)
        for name, rows in FONTS
        for loss in LOSSES
    }
    print_reading(tallies)
    print_agreement(fonts, tallies)
    print(f"\n{lines} lines, {time.perf_counter() - began:.0f} s")


def print_reading(tallies: dict[tuple[str, float], Tally]) -> None:
    """How much the reader gets right."""
    print("| font | drops lost | characters right | lines right | commonest mistakes |")
    print("| --- | --- | --- | --- | --- |")
    for (name, loss), tally in tallies.items():
        common = ", ".join(f"{a} as {b} ({n})" for (a, b), n in tally.confusions().most_common(4))
        whole = tally.whole / tally.lines
        print(f"| {name} | {loss:.0%} | {tally.accuracy:.1%} | {whole:.0%} | {common} |")


def print_agreement(fonts: dict[str, Font], tallies: dict[tuple[str, float], Tally]) -> None:
    """Whether the characters and pairs we call likely are those the reader mistakes."""
    print("\n| font | rank correlation, by character | mistakes more than in whole prints | "
          "of these among our three likeliest of 35 rivals (by chance 9 %) |")  # fmt: skip
    print("| --- | --- | --- | --- |")
    everywhere: list[tuple[float, float]] = []
    for name, font in fonts.items():
        damaged = [(loss, tallies[name, loss]) for loss in LOSSES if loss]
        readers = {loss: predicted(font, loss) for loss, _ in damaged}
        chars = [c for c in ALPHABET if c in font.glyphs and c in damaged[0][1].read]
        ours = [sum(r.misread(c).bracket.middle for r in readers.values()) for c in chars]
        plain = tallies[name, 0.0]
        theirs = [sum(t.error_rate(c) - plain.error_rate(c) for _, t in damaged) for c in chars]
        more = sum(((t.confusions() - plain.confusions()) for _, t in damaged), start=Counter())
        more = {pair: n for pair, n in more.items() if set(pair) <= set(chars)}
        hits = sum(n for (a, b), n in more.items() if b in readers[LOSSES[1]].likeliest(a))
        total = sum(more.values())
        share = f"{hits} of {total}" if total else "none made"
        print(f"| {name} | {rank_correlation(ours, theirs):.2f} | {total} | {share} |")
        for loss, tally in damaged:
            mean = sum(readers[loss].misread(c).bracket.middle for c in chars) / len(chars)
            everywhere.append((mean, 1 - tally.accuracy))
    across = rank_correlation(*map(list, zip(*everywhere, strict=True)))
    print(f"\nRank correlation over the {len(everywhere)} fonts and losses: {across:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
