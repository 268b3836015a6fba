"""The demo's raster that does not hold, and what mends it."""

import importlib.util
from pathlib import Path

DEMO = Path(__file__).parents[2] / "shared" / "demo.py"


def test_the_demo_flies_a_raster_that_does_not_hold_and_mends_it(monkeypatch, tmp_path, program):
    spec = importlib.util.spec_from_file_location("demo", DEMO)
    demo = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(demo)
    said = []

    def rasterc(*arguments):
        ended = program(*arguments, code=None)
        said.append(ended.text)
        return ended.code

    monkeypatch.chdir(DEMO.parents[1])
    monkeypatch.setattr(demo, "rasterc", rasterc)
    assert demo.fly(tmp_path) == 0
    assert "depends on the wake" in said[0]
    assert "throw 3 guard drops" in said[0]
    assert "holds throughout" in said[1]
    assert len(list(tmp_path.glob("flown-*.png"))) == 2
    assert "drops = 7\nguard_drops = 3" in (tmp_path / "mended.toml").read_text()
