"""Random and mutated sources give diagnostics or a result: never a traceback, never over 2 s.

The suite tries some hundred here, and 2,000 among the readers. More, from the shell:

    python tests/fuzz/test_sources.py 100000
"""

from __future__ import annotations

import random
import re
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from rasterc.api import load_text
from rasterc.diagnostics import InputError
from rasterc.source.formatting.format import format_text
from rasterc.source.load import parse_messages

LIMIT_S = 10.0  # of processor time: other work on the machine counts little, idle it is 0.2 s
MESSAGES = Path(__file__).parents[2] / "shared" / "messages"
SEEDS = tuple(path.read_text(encoding="utf-8") for path in sorted(MESSAGES.glob("*.rasterc")))
TOKENS = re.compile(r'"(?:[^"\\\n]|\\.)*"|#[^\n]*|[\w-]+|\s+|.')

VOCABULARY = """
use message raster font language spacing gap clock shift counter input table text check block line
picture symbol require expect in day from start of to short month end down step repeat base digits
restart daily monthly never per at stop wrap matching one length default letters every minutes hour
on mon fri row align center bold wide inverse tower fixed other upper first last height length mm
packed best crew case lot month-letter serial digit gs1-mod10 iso7064-mod97-10 upright-7 upright-16
upright-9 luhn days weeks months years hours next friday last-day carry blanks pad no-points
{ } { } ( ) : , = -> + - <= >= 0 1 2 7 9 16 17 99 9999 1.5 06:00 23:59 24:00 2028-02-29 2027-13-01
"A" "" "L" "MMM" "Europe/Dublin" "Mars/Base" "[A-Z]{2}[0-9]{4}" "(a|b)*" "\\u{41}" "\\N{DASH}" "é"
(MMM yyyy) (yyDDD) (HH:mm) (0000) (upper) (M, table month-letter) (dd, first 1) (in de) () (bb) ('
# " \\ ; @ € \0 \ufeff 𝔘
""".split()  # noqa: SIM905 - a page of words reads better than a list of them


def random_tokens(rng: random.Random) -> str:
    """Words of the language in no order."""
    count = rng.choice((3, 10, 40, 200))
    return rng.choice((" ", "\n")).join(rng.choices(VOCABULARY, k=count))


def random_characters(rng: random.Random) -> str:
    """Characters in no order."""
    pool = rng.choice(('{}()":,=#\\\n "', "".join(map(chr, range(32, 383))), "\0\r\n\t é𝔘\u202e"))
    return "".join(rng.choices(pool, k=rng.choice((1, 20, 300))))


def mutated(rng: random.Random) -> str:
    """A good message with a few tokens or characters dropped, doubled, swapped or replaced."""
    parts = TOKENS.findall(rng.choice(SEEDS)) if rng.random() < 0.8 else list(rng.choice(SEEDS))
    for _ in range(rng.choice((1, 1, 2, 5, 20))):
        at = rng.randrange(len(parts))
        action = rng.randrange(5)
        if action == 0 and len(parts) > 1:
            del parts[at]
        elif action == 1:
            parts.insert(at, parts[rng.randrange(len(parts))])
        elif action == 2:
            other = rng.randrange(len(parts))
            parts[at], parts[other] = parts[other], parts[at]
        elif action == 3:
            parts[at] = f" {rng.choice(VOCABULARY)} "
        else:
            parts = parts[: at + 1]
    return "".join(parts)


def grown(rng: random.Random) -> str:
    """A message grown from the grammar: mostly right in form, often wrong in meaning."""

    declared = ["packed", "best", "crew", "case", "lot", "t"]

    def name() -> str:
        return rng.choice(declared) if rng.random() < 0.98 else "nowhere"

    def new() -> str:
        declared.append(f"n{len(declared)}" if rng.random() < 0.95 else "packed")
        return declared[-1]

    def number() -> str:
        return rng.choice(("0", "1", "2", "7", "16", "99", "9999", "1000000000000"))

    def text() -> str:
        return rng.choice(
            ('"A"', '"BEST "', '"L"', '""', '"[A-Z]{2}"', '"(a?){9}"', '"0123"', '" "')
        )

    def field() -> str:
        if rng.random() < 0.1:
            options = ("(yyDDD)", "(MMM, upper)", "(00)", "", "(first 2)", "(HH', 'mm)", "(in xx)")
            return name() + rng.choice(options)
        return rng.choice(
            ("packed(yyDDD)", "packed(HH:mm)", "best(MMM yyyy, in cs, upper)", "crew",
             "case(00000)", "lot(last 3)", "packed(H, table t)", "packed(M, table t)")
        )  # fmt: skip

    def pieces() -> str:
        count = rng.randrange(1, 5)
        return " ".join(text() if rng.random() < 0.3 else field() for _ in range(count))

    def clock() -> str:
        unit = rng.choice(("days", "months", "years", "minutes", "weeks"))
        move = rng.choice(("", " to month end", " to friday", " to previous mon"))
        zone = rng.choice(('"Europe/Dublin"', '"America/New_York"', '"UTC"', '"Nowhere"'))
        start = rng.choice(("05:30", "0:00", "23:59"))
        return rng.choice(
            (
                f"clock {new()} in {zone}",
                f"clock {new()} in {zone}, day from {start}",
                f"clock {new()} = {name()} {rng.choice('+-')} {number()} {unit}{move}",
                f"clock {new()} = start of {name()}{move}",
                f"clock {new()} = 2028-02-29 + {number()} {unit}, short month carry",
            )
        )

    def declaration() -> str:
        return rng.choice(
            (
                clock(),
                clock(),
                f'shift {new()} of {name()} {{ "A" from 06:00 "B" from 22:00 on mon to fri }}',
                f"counter {new()} from {number()} to {number()}, step {number()}, at end wrap",
                f"counter {new()} from {number()} down to {number()}, base 34",
                f"counter {new()} from 1 to 99, restart daily of {name()}",
                f"input {new()} matching {text()}, length {number()}",
                f"input {new()} one of {text()} {text()}, default {text()}",
                f"table {new()} {{ 1 -> {text()} {text()} -> {text()} other -> {text()} }}",
                f'table {new()} from {number()}, letters "ABCDEFGHJKLM"',
                f"table {new()} every 30 minutes of hour {{ {text()} {text()} }}",
                f"text {new()} = {pieces()}",
                f"check {new()} = {rng.choice(('gs1-mod10', 'luhn', 'crc'))} of {pieces()}",
                f"require {rng.choice(('length', 'drops', 'height'))} <= {number()} mm",
                f"expect at 2028-02-29 05:59, case {number()} {{ {text()} {text()} }}",
            )
        )

    def line() -> str:
        attribute = rng.choice(
            ("", "", "font upright-5 ", "bold 2 ", "wide 3 ", "tower ", "inverse ",
             "fixed ", "align right ", "spacing 2 ", "", "", "", "", "", 'font "x.bdf" ')
        )  # fmt: skip
        return f"line {attribute}: {pieces()}"

    raster, font, most = rng.choice(
        (
            (5, 5, 1),
            (7, 7, 1),
            (9, 9, 1),
            (12, 5, 2),
            (16, 7, 2),
            (16, 5, 3),
            (16, 16, 1),
            (7, 9, 3),
        )
    )
    body = [f"raster {raster}", f"font upright-{font}"]
    body += [
        'clock packed in "Europe/Dublin", day from 06:00',
        "clock best = packed + 9 months to month end",
        'shift crew of packed { "A" from 06:00 "B" from 18:00 }',
        "counter case from 1 to 9999",
        'input lot matching "[A-Z]{2}[0-9]{4}", default "AB1234"',
        'table t from 0, letters "ABCDEFGHJKLMNPQRSTUVWXYZ"',
    ]
    body += [declaration() for _ in range(rng.choice((0, 0, 0, 1, 3)))]
    for _ in range(rng.randrange(1, 3)):
        inside = "\n".join(line() for _ in range(rng.randint(1, most)))
        body.append(
            f"block {{ {inside} }}" if rng.random() < 0.95 else 'block { picture "none.png" }'
        )
    return "message m {\n" + "\n".join(body) + "\n}\n"


KINDS = (random_tokens, random_characters, mutated, mutated, grown, grown)


def sources(seed: int, count: int) -> Iterator[tuple[str, random.Random]]:
    """So many sources, the same for the same seed."""
    for index in range(count):
        rng = random.Random(f"{seed} {index}")
        yield rng.choice(KINDS)(rng), rng


def outcome(text: str, rng: random.Random) -> str:
    """Parse, format, load, resolve, compile and check one source; what came of it.

    Anything but a result or an `InputError` with diagnostics that can be rendered is a failure.
    """
    messages, diagnostics = parse_messages(text, "fuzz.rasterc")
    for diagnostic in diagnostics:
        assert diagnostic.render()
        assert diagnostic.as_dict()
    try:
        format_text(text)
    except InputError as error:
        assert error.diagnostics
    if not messages:
        assert _refused(text) >= len(diagnostics)
        return "no message" if not diagnostics else "rejected"
    when = datetime(1990, 1, 1) + timedelta(minutes=rng.randrange(60 * 365 * 24 * 60))
    try:
        code = load_text(text, next(iter(messages)))
        inputs = {name: rng.choice(("AB1234", "", "é" * 9)) for name in code.message.inputs}
        printed = code.resolve(when, inputs=inputs)
        for finding in printed.check():
            assert finding.render()
        printed.strokes().art()
    except InputError as error:
        assert error.diagnostics
        assert str(error)
        return "rejected"
    return "printed"


def _refused(text: str) -> int:
    """How many mistakes all steps together find in a text that cannot be used."""
    try:
        load_text(text, name="fuzz.rasterc")
    except InputError as error:
        places = [d.span for d in error.diagnostics if d.span and d.span.source.text == text]
        assert places == sorted(places, key=lambda span: span.start)
        assert len(set(error.diagnostics)) == len(error.diagnostics)
        assert str(error)
        return len(error.diagnostics)
    raise AssertionError("it was taken")


def try_all(seed: int, count: int) -> tuple[dict[str, int], float]:
    """Outcomes of so many sources, and the longest time one took, in s."""
    seen: dict[str, int] = {}
    slowest = 0.0
    for text, rng in sources(seed, count):
        start = time.process_time()
        try:
            result = outcome(text, rng)
        except Exception as error:
            raise AssertionError(f"{error!r} for the source:\n{text}") from error
        took = time.process_time() - start
        assert took < LIMIT_S, f"{took:.1f} s for the source:\n{text}"
        slowest = max(slowest, took)
        seen[result] = seen.get(result, 0) + 1
    return seen, slowest


@pytest.mark.parametrize("seed", range(2))
def test_sources_give_diagnostics_or_a_result(seed):
    seen, _ = try_all(seed, 300)
    assert seen["rejected"] > 50
    assert seen["printed"] > 10


@pytest.mark.parametrize(
    "text",
    [
        "{" * 100_000,
        "(" * 100_000,
        '"' * 100_001,
        "message m { " * 20_000,
        "line : " * 50_000,
        "a" * 1_000_000,
        "# comment\n" * 90_000,
        "message m { raster 7 font upright-7 block { line: " + '"A" ' * 200_000 + "} }",
        "message m { raster 7 font upright-7 block { line: " + '"' + "A" * 30_000 + '" } }',
        "message m { raster 7 font upright-7 block { " + 'line: "A" ' * 60_000 + "} }",
        "message m { raster 7 " + "clock a = a + 1 day " * 40_000 + "}",
        'message m { raster 7 font upright-7 text t0 = "AA" '
        + " ".join(f"text t{i} = t{i - 1} t{i - 1}" for i in range(1, 60))
        + " block { line: t59 } }",
        'message m { raster 7 font upright-7 input a matching "' + "(" * 3000 + ')" }',
        'message m { raster 7 font upright-7 input a matching "' + "(a*)*" * 500 + '" }',
        "\ufeff" * 100_000,
        "x" * (1 << 20) + "y",
    ],
    ids=lambda text: text[:20],
)
def test_large_and_nested_sources_are_answered_in_time(text):
    start = time.process_time()
    outcome(text, random.Random(0))
    assert time.process_time() - start < LIMIT_S


def main(count: int) -> None:
    """Try so many sources on two processes, and say what came of them."""
    share = 1000
    seeds = range(1000, 1000 + -(-count // share))
    totals: dict[str, int] = {}
    slowest = 0.0
    with ProcessPoolExecutor(2) as pool:
        for seen, took in pool.map(try_all, seeds, [share] * len(seeds)):
            slowest = max(slowest, took)
            for result, number in seen.items():
                totals[result] = totals.get(result, 0) + number
            print(f"\r{sum(totals.values())} sources", end="", file=sys.stderr, flush=True)
    print(f"\n{totals}, slowest {slowest:.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
