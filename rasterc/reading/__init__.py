"""How likely a print is misread when drops are lost or land beside their places.

`risk_report` answers for a message at an instant; `misread_general`, `misread_lost` and
`misread_moved` for one character among an alphabet; `alphabets` says what each field of a message
can print.
"""

from rasterc.reading.alphabets import alphabets
from rasterc.reading.general import misread_general
from rasterc.reading.lost import misread_lost
from rasterc.reading.model import Bracket
from rasterc.reading.moved import misread_moved
from rasterc.reading.report import ReadingReport, risk_report

__all__ = [
    "Bracket",
    "ReadingReport",
    "alphabets",
    "misread_general",
    "misread_lost",
    "misread_moved",
    "risk_report",
]
