"""A small plant in a folder, to be read whole or with something wrong."""

import pytest

PROFILE = """\
name = "test line"
rules = ["general", "eu-food"]
[head]
drop_frequency_hz = 73_900
throw_mm = 15
row_pitch_mm = 0.35
drop_diameter_um = 113
[[raster]]
drops = 7
[line]
speeds_m_s = [1, 2.5]
stroke_pitch_mm = 0.35
[product]
dot_diameter_mm = 0.4
"""

MESSAGE = """\
message {name} {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"
  block {{ line: packed(dd MMM yyyy) }}
}}
"""


@pytest.fixture
def folder(tmp_path):
    """``plant/`` with two profiles, four messages and a table; and files beside it."""
    plant = tmp_path / "plant"
    for name in ("deep/er", "tables"):
        (plant / name).mkdir(parents=True)
    for name in ("fast", "slow"):
        (plant / f"{name}.toml").write_text(PROFILE)
    for name in ("a", "b", "deep/c", "deep/er/d"):
        text = MESSAGE.format(name=name.rpartition("/")[2])
        (plant / f"{name}.rasterc").write_text(text)
    (plant / "tables/products.csv").write_text("product,life\nmilk,9\n")
    (plant / "notes.txt").write_text("none of these")
    (tmp_path / "outside.rasterc").write_text(MESSAGE.format(name="outside"))
    (plant / "leads-out.rasterc").symlink_to(tmp_path / "outside.rasterc")
    return plant
