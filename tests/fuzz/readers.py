"""Damaged input to every reader: each gives a result or an `InputError`, in time and memory.

The suite tries 20,000 (`test_readers.py`). More, from the shell, the same for the same seed:

    python tests/fuzz/readers.py --count 1000000
    python tests/fuzz/readers.py pcf --seed 7 --first 4711 --count 1 --show
"""

from __future__ import annotations

import argparse
import contextlib
import gzip
import importlib.util
import io
import json
import os
import random
import resource
import signal
import sqlite3
import struct
import sys
import tempfile
import time
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import ModuleType

from mutate import damaged
from PIL import Image

from rasterc.cli.edge import run
from rasterc.diagnostics import InputError, SourceText, Span
from rasterc.fonts.load import load_font
from rasterc.fonts.outline import load_outline
from rasterc.layout.picture import read_picture
from rasterc.plant import load_plant
from rasterc.profile.load import load_profile
from rasterc.source.message import Picture
from rasterc.sweep.measured import load_measured
from rasterc.sweep.model import Band, Case, Figures, Job
from rasterc.sweep.results import Results

ROOT = Path(__file__).parents[2]
LIMIT_S = 2.0  # of processor time for one input, so that other work on the machine does not count
MEMORY = 3 << 30  # bytes of address space for the process
Read = Callable[[bytes, random.Random], None]


class OutOfTimeError(BaseException):
    """One input took more than `LIMIT_S`. Nothing that looks for an `Exception` hides it."""


@dataclass(frozen=True)
class Reader:
    """A reader, what it is fed, and how many inputs of 20,000 it gets.

    ``read`` raises `InputError` for what it refuses; any other exception is a failure.
    """

    make: Callable[[random.Random], bytes]
    read: Read
    share: int


# -- sources: the generators of the language's own test -------------------------------------------


@cache
def module(path: str) -> ModuleType:
    """A test file, for what it can make."""
    spec = importlib.util.spec_from_file_location(Path(path).stem, ROOT / "tests" / path)
    loaded = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(loaded)
    return loaded


def make_source(rng):
    made = module("fuzz/test_sources.py")
    text = rng.choice(made.KINDS)(rng).encode(errors="replace")
    return damaged(rng, text) if rng.random() < 0.1 else text


def read_source(data, rng):
    from rasterc.source.load import read_source

    text = read_source(written("m.rasterc", data)).text
    if module("fuzz/test_sources.py").outcome(text, rng) != "printed":
        raise InputError([])


# -- profiles -------------------------------------------------------------------------------------

WORDS = (
    b" = ", b"\n", b'"', b"'", b"[", b"]", b"[[", b"]]", b"{", b"}", b".", b"#", b"-1", b"1e999",
    b"5e-324", b"0x" + b"f" * 400, b"9" * 30, b"9" * 5000, b"nan", b"-inf", b"true", b"2027-02-30",
    b"a." * 40, b'"""', b"\\u0041", b"\xff", b"\xef\xbb\xbf", b"throw_mm", b"[flight]", b"drops",
)  # fmt: skip


@cache
def profiles() -> list[bytes]:
    return [p.read_bytes() for p in sorted((ROOT / "shared").glob("*/*.toml"))]


def make_profile(rng):
    return damaged(rng, rng.choice(profiles()), WORDS)


def read_profile(data, _):
    load_profile(written("p.toml", data))


# -- plants ---------------------------------------------------------------------------------------

PLANT = b"""name = "a plant"
rules = ["eu-food"]
tables = ["t.csv"]
[defaults]
zone = "Europe/Dublin"
language = "en"
horizon_years = 5
[[line]]
name = "one"
profile = "p.toml"
speeds_m_s = [0.5, 1]
[[line.silence]]
rule = "two-digit-year"
because = "kept for days"
[[line]]
name = "two"
profile = "p.toml"
[[message]]
file = "m.rasterc"
lines = ["one"]
at = "2027-11-25 14:05"
set = ["case=2", "lot=B"]
[[message]]
file = "sub/**/*.rasterc"
[[message.silence]]
rule = "look-alike"
because = "known"
[[silence]]
rule = "serial-repeats"
because = "short"
lines = ["two"]
messages = ["m.rasterc", "sub/*"]
"""
PLANT_WORDS = (
    *WORDS, b"[[line]]", b"[[message]]", b"[line.silence]", b"[[silence.silence]]", b"**/", b"../",
    b"*" * 300, b"**/" * 90 + b"x", b"[" * 200, b"m.rasterc", b"file", b"/", b"one", b"\\", b"..",
)  # fmt: skip


def make_plant(rng):
    return damaged(rng, PLANT, PLANT_WORDS)


def read_plant(data, _):
    Path("sub/deep").mkdir(parents=True, exist_ok=True)
    for name in ("m.rasterc", "sub/a.rasterc", "sub/deep/b.rasterc", "p.toml", "t.csv"):
        Path(name).touch()
    load_plant(written("plant.toml", data))


# -- fonts ----------------------------------------------------------------------------------------


@cache
def bdf() -> bytes:
    """A font of three glyphs."""
    whole = (ROOT / "fonts-demo" / "upright-5.bdf").read_text()
    head, *glyphs = whole.split("STARTCHAR")
    return "STARTCHAR".join([head, *glyphs[16:19]]).encode() + b"ENDFONT\n"


BDF_WORDS = (
    b"\nENCODING ", b"\nBBX 256 256 0 0", b"\nDWIDTH 256 0", b"\nBITMAP\n", b"ENDCHAR\n", b"-",
    b"STARTCHAR x\n", b"99999", b"9" * 5000, b"\r", b"\nCHARS 3", b"\nFONT_ASCENT 300", b"-1 65",
)  # fmt: skip


def make_bdf(rng):
    data = damaged(rng, bdf(), BDF_WORDS)
    return damaged(rng, gzip.compress(data, 1)) if rng.random() < 0.1 else data


def read_bdf(data, _):
    load_font(written("f.bdf.gz" if data[:1] == b"\x1f" else "f.bdf", data))


def make_pcf(rng):
    given = (rng.choice("<>"), rng.random() < 0.5, *rng.choice(((1, 1), (2, 2), (4, 1))))
    return damaged(rng, pcf(*given))


@cache
def pcf(*given: object) -> bytes:
    return module("fonts/test_pcf.py").small_pcf(*given)


def read_pcf(data, _):
    load_font(written("f.pcf", data))


def make_art(rng):
    words = (b"\nglyph U+0041\n", b"#.#\n", b"spacing 1\n", b"ascent 0000009", b"9" * 5000, b"#")
    return damaged(
        rng, b"font f\nascent 3\ndescent 0\nspacing 1\nglyph U+0041\n.#.\n###\n#.#\n", words
    )


def read_art(data, _):
    load_font(written("f.txt", data))


@cache
def ttf() -> bytes:
    """An outline font of two squares, made by fontTools."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    pen = TTGlyphPen(None)
    for left in (100, 500):
        pen.moveTo((left, 0))
        for point in ((left, 700), (left + 300, 700), (left + 300, 0)):
            pen.lineTo(point)
        pen.closePath()
    glyphs = {".notdef": pen.glyph(), "A": pen.glyph(), "g": pen.glyph()}
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupCharacterMap({65: "A", 103: "g"})
    builder.setupGlyf(glyphs)
    builder.setupHorizontalMetrics(dict.fromkeys(glyphs, (900, 100)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupOS2()
    builder.setupPost()
    out = io.BytesIO()
    builder.font.save(out)
    return out.getvalue()


@cache
def real_ttf() -> bytes:
    """A font with hints and hundreds of glyphs, which comes with Matplotlib."""
    import matplotlib

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    return (folder / "cmtt10.ttf").read_bytes()


def make_ttf(rng):
    return damaged(rng, rng.choice((ttf, ttf, ttf, real_ttf))())


def read_ttf(data, _):
    load_outline(written("f.ttf", data), "f", 6, "Ag")


# -- pictures -------------------------------------------------------------------------------------


@cache
def pictures() -> list[bytes]:
    """Small pictures of every kind that Pillow can save as PNG or PBM."""
    out = []
    for mode in ("1", "L", "P", "RGB", "RGBA", "LA", "I;16"):
        for kind in ("PNG", "PPM"):
            with contextlib.suppress(OSError):
                data = io.BytesIO()
                Image.new(mode, (9, 5), 1 if mode in ("1", "L", "P") else None).save(data, kind)
                out.append(data.getvalue())
    return [*out, b"P1\n# note\n3 2\n1 0 0\n0 1 1\n"]


def make_picture(rng):
    data = damaged(rng, rng.choice(pictures()), (b"P1", b"P4 16 16\n", b"99999", b"#", b"IDAT"))
    return sealed(data) if rng.random() < 0.7 else data


def sealed(data: bytes) -> bytes:
    """A PNG whose check sums are right again, so that what is behind them is tried."""
    out, at = bytearray(data), 8
    while data.startswith(b"\x89PNG") and at + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, at)
        end = min(at + 8 + length, len(data) - 4)
        struct.pack_into(">I", out, end, zlib.crc32(data[at + 4 : end]))
        at = end + 4
    return bytes(out)


PICTURE = Picture("p.png", Span(SourceText("m.rasterc", '"p.png"'), 0, 7))


def read_a_picture(data, _):
    read_picture(PICTURE, written("p.png", data))


# -- results --------------------------------------------------------------------------------------

CASES = [Case(speed, 10.0) for speed in (0.5, 1.0, 2.0)]
FIGURES = Figures(
    worst_mm=0.1, rms_mm=0.1, dx_mm=0.1, dy_mm=0.1, worst_pitches=0.2, lowest_mm=2.0,
    row_pitch_mm=0.4, height_mm=3.0, slant_deg=4.0, merged=0, near=None, lost=0,
    stroke_pitch_mm=0.3, charge=0.2, least_v=0.0, most_v=99.0, residual_mm=0.0,
)  # fmt: skip
BAND = Band((0.75, 1.0, 1.1), (FIGURES,) * 3)


@cache
def job() -> Job:
    profile = load_profile(sorted((ROOT / "shared" / "heads").glob("*.toml"))[0])
    return Job(profile, profile.rasters[0], (1, 3), 5, 1.0)


@cache
def results() -> bytes:
    path = Path("seed.sqlite")
    kept = Results(path, job())
    kept.add((case, BAND) for case in CASES)
    kept.close()
    database = sqlite3.connect(path)
    database.execute("vacuum")
    database.close()
    return path.read_bytes()


def make_results(rng):
    return damaged(rng, results(), (b"[]", b"null", b"\x00", b"job", b"\xff" * 9))


def read_results(data, rng):
    path = written("r.sqlite", data)
    try:
        kept = Results(path, job())
        try:
            assert all(band == BAND for band in kept.known(CASES).values())
            if rng.random() < 0.5:
                kept.add([(Case(3.0, 10.0), BAND)])
        finally:
            kept.close()
    finally:
        Path("r.sqlite-journal").unlink(missing_ok=True)


# -- readings of a bench --------------------------------------------------------------------------

READINGS = b"""what,value,sigma,volts,second_volts,slots
single,2.6,0.02,100,,
pair-first,2.9,0.03,150,100,1
speed,19.9,0.05,,,
"breakup",9.3,0.1,,,
"""


def make_readings(rng):
    words = (
        b",", b"\n", b'"', b"," * 5000, b"\n" * 5000, b"a,b" * 9000, b"9" * 5000, b"nan", b"1e999",
        b"single", b"what", b"\xef\xbb\xbf", b"\r", b"\0", b"-1", b"\xff",
    )  # fmt: skip
    return damaged(rng, READINGS, words)


def read_readings(data, _):
    load_measured(written("r.csv", data))


# -- arguments ------------------------------------------------------------------------------------

MESSAGE = """message m { raster 7 font upright-7
  clock packed in "Europe/Dublin" counter case from 1 to 9 input lot default "A"
  block { line: packed(ddMMyy) case(0) lot } }
"""
COMMANDS = """
show m.rasterc --at 2027-11-25T14:05 --set case=2 --set lot=B --width 40 --profile p.toml --speed 1
compile m.rasterc --at 2027-11-25T14:05 --json --out x.json --message m --fonts .
check m.rasterc --at 2027-11-25T14:05 --profile p.toml --sarif x.sarif --junit x.xml --json
fmt m.rasterc --check --diff --json
list . --at 2027-11-25T14:05 --state broken --sort day --out x.html
list --line one --json
explain profile --json
explain two-digit-year
font show upright-5 --chars 012 --out x.png --json
font audit upright-5 m.rasterc --pairs 2 --chars 01
font import f.bdf --out y.txt --height 9 --charset unicode --chars A
trace m.rasterc --from 2027-01-01 --years 1 --line 0101271A
repeats m.rasterc --from 2027-01-01 --years 1 --shelf-life 9days --json
reading m.rasterc --at 2027-11-25T14:05 --lost 0.1 --pairs 3
"""
TOKENS = """
--json --at --set --profile --speed --out --message --fonts --all --help --version --years --style
= case=0 case= =1 case="9" case=x lot= lot=é nan inf -1 0 1e400 5e-324 x.bmp - -- -x --unknown ./
m.rasterc p.toml f.bdf none.rasterc 2027-13-01 2027-11-25 24:61 9999-12-31T23:59 0001-01-01T00:00
upright-5 \udcff \x1b[31m \u202e 2027-10-31T01:30 2027-11-25T14:05+25:00 case=٣ ½ ² debug --debug
""".split()  # noqa: SIM905 - a page of words reads better than a list of them


def make_arguments(rng):
    words = rng.choice(COMMANDS.strip().split("\n")).split()
    extra = [*TOKENS, "9" * 5000, "n" * 300, "", " ", "a\nb", "\udcff"]
    for _ in range(rng.choice((0, 1, 1, 2, 4))):
        at = rng.randrange(1, len(words) + 1)
        action = rng.randrange(4)
        if action == 0 and len(words) > 1:
            del words[at - 1]
        elif action == 1:
            words.insert(at, rng.choice(extra))
        elif action == 2 and at < len(words):
            words[at] = rng.choice(extra)
        else:
            letters = list(words[at - 1])
            letters[rng.randrange(len(letters) + 1) :] = rng.choice(extra)
            words[at - 1] = "".join(letters)
    return "\0".join(words).encode("utf-8", "surrogateescape")


@cache
def bottle() -> bytes:
    """A profile without flight, which takes long."""
    return (ROOT / "shared" / "profiles" / "bottle-16.toml").read_bytes()


def read_arguments(data, _):
    arguments = data.decode("utf-8", "surrogateescape").split("\0")
    if "--all" in arguments:  # takes long, and is no matter of arguments
        return
    written("m.rasterc", MESSAGE.encode())
    written("p.toml", bottle())
    written("f.bdf", bdf())
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8") for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(arguments)
        out.flush()
        err.flush()
    said = err.buffer.getvalue().decode()
    assert code in (0, 1, 2), said
    assert "Traceback" not in said
    assert "\x1b" not in said
    assert code != 2 or said or "--json" in arguments
    if code == 2:
        raise InputError([])


READERS = {
    "sources": Reader(make_source, read_source, 2_000),
    "profiles": Reader(make_profile, read_profile, 3_000),
    "plants": Reader(make_plant, read_plant, 1_000),
    "bdf": Reader(make_bdf, read_bdf, 3_500),
    "pcf": Reader(make_pcf, read_pcf, 3_200),
    "art": Reader(make_art, read_art, 1_500),
    "ttf": Reader(make_ttf, read_ttf, 1_000),
    "pictures": Reader(make_picture, read_a_picture, 3_000),
    "results": Reader(make_results, read_results, 500),
    "readings": Reader(make_readings, read_readings, 1_000),
    "arguments": Reader(make_arguments, read_arguments, 300),
}


# -- running --------------------------------------------------------------------------------------


def written(name: str, data: bytes) -> Path:
    """A file of these bytes in the current folder."""
    path = Path(name)
    path.write_bytes(data)
    return path


def try_all(name: str, seed: int, first: int, count: int, trail: int) -> dict[str, object]:
    """Feed a reader so many inputs; what came of them, and the longest time one took, in s."""
    reader, slowest = READERS[name], 0.0
    seen = {"reader": name, "accepted": 0, "refused": 0}
    for index in range(first, first + count):
        rng = random.Random(f"{name} {seed} {index}")
        data = reader.make(rng)
        os.pwrite(trail, index.to_bytes(8, "big"), 0)  # found there after a crash
        start = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, LIMIT_S)
        try:
            reader.read(data, rng)
            seen["accepted"] += 1
        except InputError as error:
            signal.setitimer(signal.ITIMER_PROF, 0)
            assert all(d.render() and d.as_dict() for d in error.diagnostics)
            seen["refused"] += 1
        except BaseException as error:
            signal.setitimer(signal.ITIMER_PROF, 0)
            again = f"readers.py {name} --seed {seed} --first {index} --count 1 --show"
            raise AssertionError(f"{error!r}; again: {again}\n{data[:2000]!r}") from error
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        slowest = max(slowest, time.process_time() - start)
    return {**seen, "slowest": round(slowest, 3)}


def _out_of_time(*_: object) -> None:
    raise OutOfTimeError


def main() -> None:
    """Try the readers asked for, each in a process of its own with a limit on memory and time."""
    parser = argparse.ArgumentParser()
    parser.add_argument("reader", nargs="?", choices=READERS)
    parser.add_argument("--list", action="store_true", help="the names of the readers")
    parser.add_argument("--count", type=int, default=20_000, help="of all; of the one named")
    parser.add_argument("--share", action="store_true", help="its share of --count only")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--show", action="store_true")
    given = parser.parse_args()
    if given.list:
        print(*READERS)
        return
    if given.show:
        rng = random.Random(f"{given.reader} {given.seed} {given.first}")
        print(READERS[given.reader].make(rng))
    names = [given.reader] if given.reader else list(READERS)
    for name in names:
        alone = given.reader and not given.share
        count = given.count if alone else given.count * READERS[name].share // 20_000
        print(json.dumps(in_child(name, given.seed, given.first, count)), flush=True)


def in_child(name: str, seed: int, first: int, count: int) -> dict[str, object]:
    """`try_all` in a child process; `SystemExit` tells the input that ended it."""
    with tempfile.TemporaryDirectory() as folder, tempfile.TemporaryFile() as trail:
        read, write = os.pipe()
        child = os.fork()
        if not child:
            _child(folder, write, lambda: try_all(name, seed, first, count, trail.fileno()))
        os.close(write)
        with os.fdopen(read) as pipe:
            told = pipe.read()
        _, status = os.waitpid(child, 0)
        if status or not told.startswith("{"):
            at = int.from_bytes(os.pread(trail.fileno(), 8, 0), "big")
            sys.exit(told or f"{name}, seed {seed}, input {at} ended the process: {status}")
    return json.loads(told)


def _child(folder: str, write: int, work: Callable[[], dict[str, object]]) -> None:
    """Work in a folder within limits, tell the outcome, and end."""
    os.chdir(folder)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    signal.signal(signal.SIGPROF, _out_of_time)
    try:
        start = time.process_time()
        told = json.dumps({**work(), "cpu": round(time.process_time() - start, 1)})
    except BaseException as error:
        told = str(error) or repr(error)
    os.write(write, told.encode(errors="replace")[:60_000])
    os._exit(0 if told.startswith("{") else 1)


if __name__ == "__main__":
    main()
