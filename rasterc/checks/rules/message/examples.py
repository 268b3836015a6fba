"""Messages that examples of these rules are made from."""

from __future__ import annotations

WITH = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"
  block {{ line: "LOT " packed(yyDDD) }}
  expect at 2027-11-25 14:05 {{ "LOT 27329" }}
  {contract}
}}
"""


PLAIN = 'message example { raster 7 font upright-7 block { line: "LOT 7" } '
