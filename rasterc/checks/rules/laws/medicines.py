"""What rules of medicine share: their sources, and the pack of the examples."""

from __future__ import annotations

from rasterc.checks.model import Example, example_profile
from rasterc.profile.model import RuleSet

MEDICINE = example_profile(RuleSet.EU_MEDICINE).replace("drops = 16", "drops = 9")


PACK = """
message example {{
  raster 9
  font upright-9
  clock made in "Europe/Dublin"
  clock expiry = made + 24 months to month end
  input lot matching "[A-HJ-NP-Z][0-9]{{4}}", default "K0417"
  input serial matching "[0-9]{{{serial}}}", default "{digits}"
  block {{ line: "LOT " lot " {label}" expiry({pattern}) }}
  block gap 4 {{ line: "SN " serial }}
  expect at 2027-11-25 14:05 {{ "LOT K0417 {label}{text}" "SN {digits}" }}
}}
"""


DELEGATED = "Delegated Regulation (EU) 2016/161"


def pack(label: str = "EXP ", pattern: str = "MM/yyyy", text: str = "11/2029",
          serial: str = "12", digits: str = "804517263904") -> Example:  # fmt: skip
    """A pack with lot, expiry date and serial."""
    message = PACK.format(label=label, pattern=pattern, text=text, serial=serial, digits=digits)
    return Example(message, MEDICINE.replace("window_mm = 70", "window_mm = 170")
                   .replace("product_pitch_mm = 90", "product_pitch_mm = 200"))  # fmt: skip
