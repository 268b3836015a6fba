"""Messages that examples of these rules are made from."""

from __future__ import annotations

TIME = """
message example {{
  raster 7
  font upright-7
  clock packed in "{zone}"
  block {{ line: "PACKED " packed({pattern}) }}
  expect at 2027-11-25 14:05 {{ "PACKED {text}" }}
}}
"""


SHIFT = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"{day}
  shift crew of packed {{
    "A" from 06:00
    "B" from 14:00
    "C" from 22:00
  }}
  block {{ line: packed(dd MMM yyyy, upper) " " crew }}
  expect at 2027-11-25 14:05 {{ "25 NOV 2027 B" }}
}}
"""


def hhmm(minutes: int) -> str:
    """Minutes of a day as a time."""
    return f"{minutes // 60:02}:{minutes % 60:02}"
