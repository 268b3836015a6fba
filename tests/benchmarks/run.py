"""Speed against named peers, all measured in one run: `make bench`.

Prints a Markdown table, and below it what importing costs when `show` starts. Ratios are what
matters: absolute times are this machine's.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

from PIL import Image, ImageDraw, ImageFont
from start import Row, import_times, start
from stopwatch import best_s

import rasterc
from rasterc.output.code.at_speed import geometry_at
from rasterc.output.code.kinds.png import render_png
from rasterc.output.code.kinds.svg import render_svg

SHARED = Path(__file__).parents[2] / "shared"
MESSAGE = SHARED / "messages" / "best-before.rasterc"
PROFILE = SHARED / "profiles" / "bottle-16.toml"


def best_ms(work: Callable[[], object], repeat: int = 7, number: int = 1) -> float:
    """The shortest of several runs, in ms."""
    return best_s(work, repeat, number) * 1000


def glyph_loop(code: rasterc.Code, lines: tuple[str, ...]) -> list[int]:
    """The peer of compiling: the same two lines set by a plain loop over glyphs."""
    font = next(iter(code.fonts.values()))
    out: list[list[int]] = []
    for row, text in zip((9, 0), lines, strict=True):
        columns: list[int] = []
        for char in text:
            columns += [column << row for column in font.glyphs[char].columns]
            columns += [0] * font.spacing
        out.append(columns)
    long, short = sorted(out, key=len, reverse=True)
    return [a | b for a, b in zip(long, short + [0] * (len(long) - len(short)), strict=True)]


def pillow_text(lines: tuple[str, ...]) -> Image.Image:
    """Another peer: the same two lines drawn with Pillow's bitmap font."""
    image = Image.new("1", (300, 32))
    draw, font = ImageDraw.Draw(image), ImageFont.load_default_imagefont()
    for row, text in enumerate(lines):
        draw.text((0, 16 * row), text, fill=1, font=font)
    return image


def compiling(code: rasterc.Code) -> list[Row]:
    """One message from its instant to strokes, everything warm."""
    lines = code.resolve("2027-11-25 14:05").lines
    case = iter(range(1, 10**6))

    def compile_one() -> object:
        number = next(case) % 9999 + 1
        return code.resolve("2027-11-25 14:05", counters={"case": number}).strokes()

    ours = best_ms(compile_one, number=300)
    loop = best_ms(lambda: glyph_loop(code, lines), number=300)
    pillow = best_ms(lambda: pillow_text(lines), number=300)
    return [
        ("one message to strokes", ours, "plain glyph loop, texts given", loop, "under 1 ms"),
        ("one message to strokes", ours, "Pillow bitmap font, texts given", pillow, "under 1 ms"),
    ]


def drops_of(strokes: rasterc.api.Strokes) -> list[tuple[int, int]]:
    """Stroke and row of every drop."""
    return [
        (x, row)
        for x, column in enumerate(strokes.columns.tolist())
        for row in range(strokes.raster)
        if column >> row & 1
    ]


def etree_svg(drops: list[tuple[int, int]]) -> bytes:
    """The peer of SVG: one circle element a drop with the standard library."""
    svg = ElementTree.Element("svg", xmlns="http://www.w3.org/2000/svg")
    for x, row in drops:
        ElementTree.SubElement(svg, "circle", cx=f"{x * 0.34}", cy=f"{-row * 0.34}", r="0.19")
    return ElementTree.tostring(svg)


def pillow_png(drops: list[tuple[int, int]], size: tuple[int, int]) -> bytes:
    """The peer of PNG: one ellipse a drop, drawn four times too large for smooth edges."""
    image = Image.new("RGB", (size[0] * 4, size[1] * 4), "#e9efe2")
    draw = ImageDraw.Draw(image)
    for x, row in drops:
        left, top = 80 + x * 27.2, image.height - 80 - row * 27.2
        draw.ellipse((left - 15, top - 15, left + 15, top + 15), fill="#20242c")
    out = io.BytesIO()
    image.resize(size).save(out, "png")
    return out.getvalue()


def pictures(code: rasterc.Code) -> list[Row]:
    """The strokes of one message as SVG and PNG."""
    strokes = code.resolve("2027-11-25 14:05").strokes()
    geometry = geometry_at(rasterc.load_profile(PROFILE), strokes)
    drops = drops_of(strokes)
    with Image.open(io.BytesIO(render_png(strokes, geometry))) as image:
        size = image.size
    svg = best_ms(lambda: render_svg(strokes, geometry), number=50)
    etree = best_ms(lambda: etree_svg(drops), number=50)
    png = best_ms(lambda: render_png(strokes, geometry), number=20)
    pillow = best_ms(lambda: pillow_png(drops, size), number=5)
    return [
        (f"SVG, {len(drops)} drops", svg, "xml.etree, a circle a drop", etree, "under 1 ms"),
        (f"PNG, {size[0]} x {size[1]}", png, "Pillow, an ellipse a drop", pillow, "under 3 ms"),
    ]


def main() -> None:
    """Measure everything and print the table."""
    code = rasterc.load(MESSAGE)
    print("| work | ms | peer | peer ms | ratio | target |")
    print("| --- | --- | --- | --- | --- | --- |")
    for work, ours, peer, theirs, target in [*start(), *compiling(code), *pictures(code)]:
        print(f"| {work} | {ours:.3g} | {peer} | {theirs:.3g} | {ours / theirs:.2f} | {target} |")
    print("\n| imported by `show` | ms | modules |")
    print("| --- | --- | --- |")
    for room, ms, modules in import_times():
        print(f"| `{room}` | {ms:.1f} | {modules} |")


if __name__ == "__main__":
    main()
