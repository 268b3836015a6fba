"""Nothing that a file, a name or an option holds acts on the terminal or forges a line."""

import ast
import io
import json
import sys
from pathlib import Path
from unicodedata import category
from xml.etree import ElementTree as Xml

import pytest

import rasterc
from rasterc.cli import say
from rasterc.diagnostics import visible

SHARED = Path(__file__).parents[2] / "shared"
BEST = SHARED / "messages" / "best-before.rasterc"
BOTTLE = (SHARED / "profiles" / "bottle-16.toml").read_text(encoding="utf-8")
HEAD = (SHARED / "heads" / "head-middle.toml").read_text(encoding="utf-8")
HEAD = HEAD.replace("[flight]\n", "[flight]\nwake = [1, 1, 1]\n")  # one is flown sooner than three
# An escape sequence, its one-character form, a bidirectional control, a bell, a line separator.
CHARS = "\x1b[31m\x9b2J\u202e\x07\u2028"
EVIL = f"{CHARS}\r\nforged: error[forged]: forged"
AT = ["--at", "2027-11-25 14:05"]
FROM = ["--from", "2027-01-01", "--years", 1]
PLAIN = """message plain {{
  raster 7 font upright-7 clock packed in "{zone}"
  input lot length 1 to 60, default "A"  # {chars}
  block {{ line: {text} packed(dd/MM/yy) lot }}
  silence missing-expect because "{reason}"
}}
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Files with control characters in every name and text they can hold."""
    monkeypatch.chdir(tmp_path)
    quoted = json.dumps(EVIL)  # as TOML writes it too
    good = {"zone": "UTC", "chars": "", "text": '"L"', "reason": "a draft"}
    files = {
        "good.rasterc": PLAIN.format(**good),
        "mark.rasterc": 'message mark { raster 7 font upright-7 block { line: "1" } }',
        "zone.rasterc": PLAIN.format(**good | {"zone": CHARS}),
        "text.rasterc": PLAIN.format(**good | {"text": f'"L{CHARS}"'}),
        "word.rasterc": PLAIN.format(**good | {"text": CHARS}),
        "reason.rasterc": PLAIN.format(**good | {"reason": CHARS, "chars": CHARS}),
        f"{EVIL}.rasterc".replace("/", "-"): PLAIN.format(**good),
        "name.toml": _named(BOTTLE, quoted),
        "head.toml": _named(HEAD, quoted),
        "key.toml": f"{quoted} = 1\n{BOTTLE}\n[{quoted}]\n",
        "value.toml": BOTTLE.replace("rules = ", f"rules = [{quoted}]\n# "),
        "broken.toml": f"{BOTTLE}\nx = {CHARS}",
        "glyph.bdf": "STARTFONT 2.1\nCHARS 2\n"
        + f"STARTCHAR {CHARS}\nENCODING 65\nDWIDTH 2 0\nBBX 1 1 0 0\nBITMAP\n80\nENDCHAR\n" * 2
        + "ENDFONT\n",
        "art.txt": f"font small-3\nascent 2\n{CHARS}\n",
    }
    for name, text in files.items():
        Path(name).write_text(text, encoding="utf-8", newline="")
    return tmp_path


def _named(profile: str, name: str) -> str:
    lines = profile.splitlines()
    return "\n".join(f"name = {name}" if line.startswith("name =") else line for line in lines)


FILES = ["good", "zone", "text", "word", "reason", EVIL]
PROFILES = ["name", "head", "key", "value", "broken", EVIL]
COMMANDS = [
    *([c, f"{f}.rasterc", *AT] for c in ("show", "compile", "check", "reading") for f in FILES),
    *(["check", f"{f}.rasterc", "--all", "--years", 1, *AT] for f in ("reason", EVIL)),
    *([c, "good.rasterc", *AT, "--profile", f"{p}.toml"] for c in ("show", "check")
      for p in PROFILES if (c, p) != ("check", "head")),
    ["check", "mark.rasterc", *AT, "--profile", "head.toml"],
    *(["extremes", f"{f}.rasterc", *FROM, "--measure", "longest"] for f in ("text", EVIL)),
    *(["repeats", f"{f}.rasterc", *FROM] for f in ("text", EVIL)),
    ["extremes", "mark.rasterc", *FROM],
    ["extremes", "good.rasterc", *FROM, "--measure", EVIL],
    ["extremes", "good.rasterc", *FROM, "--profile", "name.toml", "--measure", "longest"],
    ["repeats", "good.rasterc", *FROM, "--field", EVIL],
    ["repeats", "good.rasterc", *FROM, "--shelf-life", EVIL],
    ["trace", "good.rasterc", *FROM, "--line", EVIL],
    ["trace", f"{EVIL}.rasterc", *FROM, "--line", "*"],
    ["diff", "good.rasterc", f"{EVIL}.rasterc", *FROM],
    ["diff", "good.rasterc", "good.rasterc", "--from", EVIL],
    ["fly", "mark.rasterc", *AT, "--profile", "name.toml"],
    ["fly", "mark.rasterc", *AT, "--profile", "head.toml", "--speed", 2],
    ["fly", "mark.rasterc", *AT, "--profile", "head.toml", "--compare", EVIL],
    ["show", "good.rasterc", "--at", EVIL],
    ["show", "good.rasterc", *AT, "--set", EVIL],
    ["show", "good.rasterc", *AT, "--set", f"lot={EVIL}"],
    ["show", "good.rasterc", *AT, "--set", f"{EVIL}=1"],
    ["show", "good.rasterc", *AT, "--message", EVIL],
    ["show", "good.rasterc", *AT, "--fonts", EVIL],
    ["show", "good.rasterc", *AT, "--out", f"{EVIL}.bmp"],
    ["show", "good.rasterc", *AT, "--out", f"{EVIL}.png"],
    ["show", "good.rasterc", *AT, "--style", EVIL],
    ["show", "good.rasterc", f"--{EVIL}"],
    *(["jet", f"{p}.toml"] for p in PROFILES),
    ["fmt", f"{EVIL}.rasterc"],
    ["fmt", "reason.rasterc", "--diff"],
    ["fmt", "word.rasterc"],
    ["explain", EVIL],
    ["explain", "json", EVIL],
    ["explain", "stroke-rate", EVIL],
    [EVIL],
    ["font", "show", "glyph.bdf"],
    ["font", "show", "art.txt"],
    ["font", "show", EVIL],
    ["font", "show", "upright-7", "--text", EVIL],
    ["font", "audit", "upright-7", f"{EVIL}.rasterc"],
    ["font", "import", "glyph.bdf", "--out", "o.bdf"],
    ["font", "import", "glyph.bdf", "--out", f"{EVIL}.bdf", "--charset", EVIL],
    ["font", "export", "upright-5", "--out", f"{EVIL}.txt"],
]  # fmt: skip


@pytest.mark.parametrize("as_json", [[], ["--json"]], ids=["text", "json"])
@pytest.mark.parametrize(
    "arguments", COMMANDS, ids=[visible(" ".join(map(str, c))) for c in COMMANDS]
)
def test_nothing_acts_on_the_terminal_or_forges_a_line(program, folder, arguments, as_json):
    ended = program(*arguments, *as_json, code=None)
    assert ended.code in (0, 1, 2), ended
    shown = ended.out + ended.said
    acting = {c for c in shown if not c.isprintable() and category(c) != "Zs"} - {"\n"}
    assert not acting, shown
    assert not [line for line in shown.splitlines() if line.lstrip(" |").startswith("forged")]
    if not as_json:  # line breaks that are shown escaped stood in a name, not in our own words
        assert "\\n" not in shown.replace("\\nforged", "")
    if as_json:
        json.loads(ended.out)


def test_what_stands_in_names_is_shown_not_dropped(program, folder):
    assert "\\x1b[31m\\x9b2J\\u202e" in program("show", "zone.rasterc", *AT, code=2).said
    assert "\\r\\nforged" in program("show", f"{EVIL}.bmp", code=2).said


def test_reports_are_whole_xml_and_json_whatever_names_hold(program, folder):
    for name in FILES:
        given = ["check", f"{name}.rasterc", *AT, "--profile", "name.toml"]
        program(*given, "--sarif", "r.sarif", "--junit", "r.xml", code=None)
        json.loads(Path("r.sarif").read_text(encoding="utf-8"))
        Xml.parse("r.xml")


def test_pictures_are_whole_xml_whatever_names_hold(program, folder):
    program("show", f"{EVIL}.rasterc", *AT, "--profile", "name.toml", "--out", "a.svg", code=0)
    Xml.parse("a.svg")
    flown = ["fly", "mark.rasterc", *AT, "--profile", "head.toml", "--speed", 2]
    program(*flown, "--out", "b.svg", code=None)
    Xml.parse("b.svg")


def test_one_module_prints():
    """Everything goes through `say`; ruff forbids print() elsewhere."""
    home = Path(rasterc.__file__).parent
    found = []
    for path in home.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Attribute)
                and node.attr in ("write", "writelines", "echo", "secho")
                and ast.unparse(node.value) in ("sys.stdout", "sys.stderr", "typer")
            ):
                found.append(path.relative_to(home).as_posix())
    assert set(found) == {"cli/say.py"}


def test_lines_are_single_lines(monkeypatch):
    out = io.StringIO()
    monkeypatch.setattr(sys, "stdout", out)
    say.say("one\ntwo", "three")
    assert out.getvalue() == "one\\ntwo\nthree\n"
