"""What came of a job."""

from __future__ import annotations

from dataclasses import dataclass

from rasterc.batch.counting import Stop
from rasterc.batch.parts import Fault, PartReport
from rasterc.batch.repeats import Repeat


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a job.

    Attributes:
        parts: their reports, in order.
        stop: the row that was not printed, if the job ended before its time.
        repeats: codes that print twice, at most `LIMIT`.
        written: whether the output was written; it is not when it would be refused.
        given_up: whether the job was left before its end.
        resumed: parts that were there.
    """

    parts: tuple[PartReport, ...]
    stop: Stop | None = None
    repeats: tuple[Repeat, ...] = ()
    written: bool = False
    given_up: bool = False
    resumed: int = 0

    @property
    def rows(self) -> int:
        """Rows that were compiled."""
        return sum(part.rows for part in self.parts)

    @property
    def refused(self) -> int:
        """Rows that were refused."""
        return sum(part.refused for part in self.parts)

    @property
    def faults(self) -> list[Fault]:
        """What is wrong with refused rows, as far as that was kept."""
        return [fault for part in self.parts for fault in part.faults]

    @property
    def one_by_one(self) -> int:
        """Rows that were resolved by themselves."""
        return sum(part.one_by_one for part in self.parts)
