"""What several rules of law are taken from."""

from __future__ import annotations

REGULATION = "Regulation (EU) No 1169/2011"
