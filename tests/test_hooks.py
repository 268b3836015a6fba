"""The hooks for pre-commit: they call commands that there are, on message files."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).parents[1]
HOOKS = {hook["id"]: hook for hook in yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text())}


def run(hook, *files, cwd, code):
    program, *arguments = shlex.split(HOOKS[hook]["entry"])
    done = subprocess.run(
        [Path(sys.executable).with_name(program), *arguments, *files],
        cwd=cwd, capture_output=True, encoding="utf-8",
    )  # fmt: skip
    assert done.returncode == code, done.stdout + done.stderr
    return done.stdout


@pytest.mark.parametrize("hook", HOOKS.values(), ids=list(HOOKS))
def test_a_hook_has_what_it_needs(hook):
    assert {"id", "name", "description", "entry", "language", "files"} <= set(hook)
    assert hook["language"] == "python"
    assert re.search(hook["files"], "plant/line-2.rasterc")
    assert not re.search(hook["files"], "plant/line-2.rasterc.bak")


def test_the_hooks_do_their_work(tmp_path):
    assert list(HOOKS) == ["rasterc-fmt", "rasterc-check"]
    good, bad = tmp_path / "good.rasterc", tmp_path / "bad.rasterc"
    good.write_bytes(b'message good { raster 7 font upright-7 block { line: "LOT 7" } }\r\n')
    assert "formatted good.rasterc" in run("rasterc-fmt", "good.rasterc", cwd=tmp_path, code=0)
    formatted = good.read_bytes()
    assert formatted.count(b"\r\n") == formatted.count(b"\n") == 5  # a checkout with CRLF
    run("rasterc-fmt", "good.rasterc", "--check", cwd=tmp_path, code=0)
    good.write_bytes(formatted.replace(b"\r\n", b"\n"))
    run("rasterc-fmt", "good.rasterc", "--check", cwd=tmp_path, code=0)
    assert run("rasterc-check", cwd=tmp_path, code=0) == ""
    bad.write_bytes(
        formatted.replace(b"good", b"bad").replace(b"raster 7", b"raster 7 counter n from 1 to 9")
    )
    said = run("rasterc-check", cwd=tmp_path, code=1)
    assert "bad.rasterc:2:" in said
    assert "good" not in said
