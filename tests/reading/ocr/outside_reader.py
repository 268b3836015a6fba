"""General readers of printed text, with our prints before them: what neither side was made for.

The reader is RapidOCR (extra `ocr`), a general library whose models lie in its wheel; beside it,
to tell how far two readers agree, stands ddddocr, whose models were trained by others on distorted
characters. Neither knows of dot fonts, of our templates or of what a field can hold. Prints are
drawn by
`rasterc.output.code.kinds.png` with dots that run into one another a little, and blurred, as a
camera sees them; the text line is cut out already, so only recognition is asked for.
"""

import io
import random
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from msgspec import structs
from PIL import Image, ImageFilter

from rasterc.api import load_text
from rasterc.output.code.geometry import DropGeometry
from rasterc.output.code.kinds.png import render_png
from rasterc.reading.lost import LostDropReader
from rasterc.reading.shapes import shapes_of

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_MERGED = DropGeometry(dot_diameter_mm=0.42)  # at a pitch of 0.35 mm: dots overlap by a sixth
_PIXELS_PER_MM = 16
_BLUR = 2.0  # pixels, standard deviation


@dataclass(slots=True)
class Tally:
    """What was read for each printed character; None where the reader saw nothing."""

    read: dict[str, Counter] = field(default_factory=dict)
    lines: int = 0
    whole: int = 0

    @property
    def printed(self) -> int:
        return sum(counts.total() for counts in self.read.values())

    @property
    def right(self) -> int:
        return sum(counts[char] for char, counts in self.read.items())

    @property
    def accuracy(self) -> float:
        return self.right / self.printed

    def taken_rate(self, char: str) -> float:
        """How often it was taken for another, where something was seen."""
        counts = self.read.get(char, Counter())
        seen = counts.total() - counts[None]
        return 1 - counts[char] / seen if seen else 0.0

    def __add__(self, other: "Tally") -> "Tally":
        both = {c: self.read.get(c, Counter()) + other.read.get(c, Counter()) for c in
                {*self.read, *other.read}}  # fmt: skip
        return Tally(both, self.lines + other.lines, self.whole + other.whole)

    def confusions(self) -> Counter:
        """How often each character was read as another one."""
        return Counter(
            {
                (char, seen): n
                for char, counts in self.read.items()
                for seen, n in counts.items()
                if seen is not None and seen != char
            }
        )


class OutsideReader:
    """Reads the picture of one line."""

    def __init__(self) -> None:
        from rapidocr import RapidOCR

        settings = {"log_level": "error", "use_det": False, "use_cls": False}
        self._engine = RapidOCR(params={f"Global.{key}": value for key, value in settings.items()})

    def read(self, picture: Image.Image) -> str:
        """The text in capitals and without blanks, which a reader of lines places as it likes."""
        result = self._engine(np.asarray(picture))
        return "".join("".join(result.txts or ()).split()).upper()


class SecondReader:
    """Another reader of the same pictures."""

    def __init__(self) -> None:
        import ddddocr

        self._engine = ddddocr.DdddOcr(show_ad=False)

    def read(self, picture: Image.Image) -> str:
        """As `OutsideReader.read`."""
        png = io.BytesIO()
        picture.save(png, "PNG")
        return "".join(self._engine.classification(png.getvalue()).split()).upper()


def even_lines(count: int, seed: int) -> list[str]:
    """Lines of eight characters of which all 36 come equally often, but for the last few."""
    draw = random.Random(seed)
    chars = list(ALPHABET) * -(-count * 8 // len(ALPHABET))
    draw.shuffle(chars)
    return ["".join(chars[8 * n : 8 * n + 8]) for n in range(count)]


def strings(count: int, seed: int) -> list[str]:
    """Dates, lots and serials, a third each; always the same for a seed."""
    draw = random.Random(seed)
    makers = (_date, _lot, _serial)
    return [makers[n % 3](draw) for n in range(count)]


def _date(draw: random.Random) -> str:
    day = date(2026, 1, 1) + timedelta(days=draw.randrange(3000))
    forms = "%d.%m.%Y", "EXP %d/%m/%y", "BEST %d %b %Y", "USE BY %d %b %y", "L%y%j"
    return day.strftime(draw.choice(forms)).upper()


def _lot(draw: random.Random) -> str:
    return "LOT " + "".join(draw.choices(ALPHABET, k=8))


def _serial(draw: random.Random) -> str:
    letters = "".join(draw.choices(ALPHABET[10:], k=3))
    return f"{letters}{draw.randrange(10**7):07}{draw.choice(ALPHABET[10:])}"


def picture_of(text: str, font: str, rows: int, loss: float, draw: np.random.Generator):
    """A line printed with drops lost at random, as a camera sees it."""
    code = load_text(f'message m {{ raster {rows} font {font} block {{ line: "{text}" }} }}')
    strokes = code.resolve().strokes()
    kept = draw.random((len(strokes), rows)) >= loss
    mask = (kept.astype(np.uint16) << np.arange(rows, dtype=np.uint16)).sum(axis=1)
    left = strokes.columns & mask.astype(np.uint16)
    damaged = structs.replace(strokes, bits=tuple(left.tolist()))
    png = render_png(damaged, _MERGED, pixels_per_mm=_PIXELS_PER_MM)
    with Image.open(io.BytesIO(png)) as picture:
        return picture.convert("RGB").filter(ImageFilter.GaussianBlur(_BLUR))


def take_tally(
    reader: OutsideReader | SecondReader,
    texts: list[str],
    font: str,
    rows: int,
    loss: float,
    seed: int,
) -> Tally:
    """Print and read every text once."""
    draw = np.random.default_rng(seed)
    tally = Tally()
    for text in texts:
        printed = text.replace(" ", "")
        seen = reader.read(picture_of(text, font, rows, loss, draw))
        tally.lines += 1
        tally.whole += seen == printed
        for char, as_what in aligned(printed, seen):
            tally.read.setdefault(char, Counter())[as_what] += 1
    return tally


def aligned(printed: str, seen: str) -> list[tuple[str, str | None]]:
    """Each printed character with what was read for it, in an alignment of fewest edits."""
    cost = np.zeros((len(printed) + 1, len(seen) + 1), dtype=int)
    cost[:, 0], cost[0, :] = range(len(printed) + 1), range(len(seen) + 1)
    for i, a in enumerate(printed, 1):
        for j, b in enumerate(seen, 1):
            cost[i, j] = min(cost[i - 1, j - 1] + (a != b), cost[i - 1, j] + 1, cost[i, j - 1] + 1)
    pairs: list[tuple[str, str | None]] = []
    i, j = len(printed), len(seen)
    while i:
        same = j and cost[i, j] == cost[i - 1, j - 1] + (printed[i - 1] != seen[j - 1])
        if same:
            pairs.append((printed[i - 1], seen[j - 1]))
            i, j = i - 1, j - 1
        elif cost[i, j] == cost[i - 1, j] + 1:
            pairs.append((printed[i - 1], None))
            i -= 1
        else:
            j -= 1
    return pairs[::-1]


def predicted(font, loss: float) -> LostDropReader:
    """Our reader of the characters of `strings` in a font."""
    return LostDropReader(shapes_of(font, ALPHABET), loss)


def rank_correlation(a: list[float], b: list[float]) -> float:
    """Spearman's: Pearson's of the ranks, equal values sharing the mean of theirs."""
    return float(np.corrcoef(_ranks(a), _ranks(b))[0, 1])


def _ranks(values: list[float]) -> np.ndarray:
    array = np.asarray(values)
    below = (array[:, None] > array).sum(axis=1)
    equal = (array[:, None] == array).sum(axis=1)
    return below + (equal + 1) / 2
