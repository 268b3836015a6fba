"""Our prints before outside readers, and how well their mistakes agree with what we predict.

Run it from the checkout with the extra `ocr` installed: python tests/benchmarks/ocr.py [LINES]
It prints tables; 225 lines take some twenty minutes. Nothing is random between two runs.

The one parameter of the general reader, how far it blurs, is chosen so that the font foretold worst
is foretold best. Beside the figures of the parameter we ship, chosen on all fonts, stand those of
each font with the parameter chosen on the six others.
"""

import sys
import time
import warnings
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "reading" / "ocr"))

from outside_reader import (
    ALPHABET,
    OutsideReader,
    SecondReader,
    Tally,
    even_lines,
    rank_correlation,
    take_tally,
)

from rasterc.fonts.load import load_font
from rasterc.fonts.model import Font
from rasterc.reading.general import BLUR, GeneralReader
from rasterc.reading.lost import LostDropReader
from rasterc.reading.shapes import Templates, shapes_of
from rasterc.resources import resource_dir

# Losses at which the outside reader gets about nine and three of four characters right.
LOSSES = {
    "upright-5": (0.1, 0.2),
    "upright-7": (0.1, 0.25),
    "upright-9": (0.25, 0.35),
    "upright-12": (0.25, 0.4),
    "tall-12": (0.25, 0.4),
    "upright-16": (0.35, 0.5),
    "tall-16": (0.35, 0.5),
}
BLURS = tuple(round(0.7 + 0.1 * n, 1) for n in range(11))


@dataclass(frozen=True)
class Seen:
    """What a reader made of a font: whole prints, and each loss in two halves of the lines."""

    whole: Tally
    halves: tuple[tuple[Tally, Tally], ...]

    @property
    def damaged(self) -> list[Tally]:
        return [one + other for one, other in self.halves]

    def mistakes(self, half: int | None = None) -> list[float]:
        """How often each character was taken for another, summed over the losses."""
        tallies = self.damaged if half is None else [halves[half] for halves in self.halves]
        return [sum(t.taken_rate(c) for t in tallies) for c in ALPHABET]

    def more_mistakes(self) -> list[float]:
        """The same, less those made in whole prints."""
        whole = (len(self.halves) * self.whole.taken_rate(c) for c in ALPHABET)
        return [a - b for a, b in zip(self.mistakes(), whole, strict=True)]


def seen_by(reader: OutsideReader | SecondReader, name: str, lines: int) -> Seen:
    rows = int(name.split("-")[1])
    texts = even_lines(lines, seed=20271125 + rows)

    def half(loss: float, start: int) -> Tally:
        return take_tally(reader, texts[start::2], name, rows, loss, seed=2 * rows + start)

    whole = half(0.0, 0) + half(0.0, 1)
    return Seen(whole, tuple((half(loss, 0), half(loss, 1)) for loss in LOSSES[name]))


@cache
def font_of(name: str) -> Font:
    return load_font(resource_dir("fonts-demo") / f"{name}.bdf").font


@cache
def general(name: str, blur: float) -> list[GeneralReader]:
    shapes = shapes_of(font_of(name), ALPHABET)
    return [GeneralReader(shapes, loss, blur) for loss in LOSSES[name]]


@cache
def counting(name: str) -> list[LostDropReader]:
    return [LostDropReader(shapes_of(font_of(name), ALPHABET), loss) for loss in LOSSES[name]]


def foretold(name: str, blur: float) -> list[float]:
    """By the general reader, summed over the losses."""
    return [sum(r.misread(c).middle for r in general(name, blur)) for c in ALPHABET]


def baselines(name: str) -> dict[str, list[float]]:
    """What is to be beaten: the drops counted, those of a Hamming distance, plain overlap."""
    templates = Templates(shapes_of(font_of(name), ALPHABET))
    found: dict[str, list[float]] = {"fewest drops": [], "Hamming": [], "overlap": []}
    for char in ALPHABET:
        o = templates.overlaps(char)
        alike = o.both / np.sqrt(len(o.x) * o.sizes[o.rival])
        found["fewest drops"].append(-len(o.x))
        found["Hamming"].append(sum(r.misread(char).bracket.middle for r in counting(name)))
        found["overlap"].append(float(alike.max()))
    return found


def pair_share(seen: Seen, readers: list[GeneralReader] | list[LostDropReader]) -> float:
    """Of the mistakes made more than in whole prints those among our three likeliest."""
    hits = total = 0
    for tally, reader in zip(seen.damaged, readers, strict=True):
        more: Counter = tally.confusions() - seen.whole.confusions()
        more = Counter({pair: n for pair, n in more.items() if set(pair) <= set(ALPHABET)})
        total += more.total()
        hits += sum(n for (a, b), n in more.items() if b in reader.likeliest(a))
    return hits / total


def best_blur(seen: dict[str, Seen]) -> float:
    """The one with which the font foretold worst is foretold best."""

    def worst(blur: float) -> float:
        return min(rank_correlation(foretold(n, blur), s.mistakes()) for n, s in seen.items())

    return max(BLURS, key=worst)


def print_reading(seen: dict[str, Seen], second: dict[str, Seen]) -> None:
    """How much the readers get right."""
    print("| font | drops lost | characters right | by the second reader | commonest mistakes |")
    print("| --- | --- | --- | --- | --- |")
    for name, found in seen.items():
        cells = zip((0.0, *LOSSES[name]), [found.whole, *found.damaged], strict=True)
        others = [second[name].whole, *second[name].damaged] if name in second else [None] * 3
        for (loss, tally), other in zip(cells, others, strict=True):
            common = ", ".join(f"{a} as {b}" for (a, b), _ in tally.confusions().most_common(4))
            share = f"{other.accuracy:.1%}" if other else "-"
            print(f"| {name} | {loss:.0%} | {tally.accuracy:.1%} | {share} | {common} |")


def print_characters(seen: dict[str, Seen], second: dict[str, Seen]) -> None:
    """Rank correlations by character: ours, the baselines and the ceilings."""
    print(f"\n| font | general, blur {BLUR} | blur of the others | held out | less whole prints | "
          "fewest drops | Hamming | overlap | second reader | split halves |")  # fmt: skip
    print("| --- " * 10 + "|")
    for name, found in seen.items():
        theirs = found.mistakes()
        blur = best_blur({other: s for other, s in seen.items() if other != name})
        row = [rank_correlation(foretold(name, b), theirs) for b in (BLUR, blur)]
        row += [rank_correlation(foretold(name, BLUR), found.more_mistakes())]
        row += [rank_correlation(ours, theirs) for ours in baselines(name).values()]
        other = rank_correlation(second[name].mistakes(), theirs) if name in second else None
        halves = rank_correlation(found.mistakes(0), found.mistakes(1))
        said = [f"{value:.2f}" for value in row]
        said[1:1] = [f"{blur:g}"]
        said += ["-" if other is None else f"{other:.2f}", f"{halves:.2f}"]
        print(f"| {name} | {' | '.join(said)} |")
    print(f"\nChosen on all fonts: {best_blur(seen):g}")


def print_pairs(seen: dict[str, Seen], second: dict[str, Seen]) -> None:
    """Pairs among our three likeliest, and how often characters are misread in all."""
    print("\n| font | pairs: general | held out | Hamming | second reader's, general | "
          "misread, foretold | misread, seen |")  # fmt: skip
    print("| --- " * 7 + "|")
    for name, found in seen.items():
        blur = best_blur({other: s for other, s in seen.items() if other != name})
        row = [pair_share(found, general(name, b)) for b in (BLUR, blur)]
        row += [pair_share(found, counting(name))]
        row += [pair_share(second[name], general(name, BLUR)) if name in second else float("nan")]
        each = len(LOSSES[name]) * len(ALPHABET)
        row += [sum(foretold(name, BLUR)) / each, sum(found.mistakes()) / each]
        print(f"| {name} | {' | '.join(f'{value:.2f}' for value in row)} |")


def main(lines: int) -> None:
    began = time.perf_counter()
    warnings.simplefilter("ignore")  # the readers' libraries may warn
    seen = {name: seen_by(OutsideReader(), name, lines) for name in LOSSES}
    try:
        second = {name: seen_by(SecondReader(), name, lines) for name in LOSSES}
    except ImportError:
        second = {}
    print_reading(seen, second)
    print_characters(seen, second)
    print_pairs(seen, second)
    print(f"\n{lines} lines, {time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 225)
