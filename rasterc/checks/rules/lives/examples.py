"""Messages that examples of these rules are made from."""

from __future__ import annotations

BEST = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + {life}
  block {{ line: "BEST BEFORE " best(dd MMM yyyy, upper) }}
  expect at 2027-01-31 14:05 {{ "BEST BEFORE {text}" }}
}}
"""
