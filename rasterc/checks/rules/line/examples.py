"""Messages that examples of these rules are made from."""

from __future__ import annotations

TWO_LINES = """
message example {{
  raster {raster}
  font upright-7
  block {{ line: "KEEP COOL"  line: "THIS WAY UP" }}
}}
"""
