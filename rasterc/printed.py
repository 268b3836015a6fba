"""A message at an instant, and what is found in many of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.layout import compile_strokes, lay_out, orient
from rasterc.values.model import ResolvedMessage

if TYPE_CHECKING:
    from rasterc.checks.model import Finding, Subject
    from rasterc.checks.registry import Report
    from rasterc.code import Code
    from rasterc.layout.model import Layout, Strokes
    from rasterc.profile.model import LineProfile
    from rasterc.reading.report import ReadingReport
    from rasterc.sweep.case import Flown


class Print(Struct, frozen=True):
    """A message at an instant: its texts, and its layout and strokes on demand."""

    code: Code
    resolved: ResolvedMessage

    def __repr__(self) -> str:
        """The message's name, the moment and the texts."""
        when = self.resolved.instant.when
        at = (
            f" at {when.isoformat(' ', 'minutes')}" if when and self.code.plan.clocks_read() else ""
        )
        return f"<Print {self.code.message.name}{at}: {' / '.join(self.lines)}>"

    def _repr_svg_(self) -> str | None:
        """The drops, for a notebook; None when they do not fit."""
        from rasterc.output.code.geometry import DropGeometry
        from rasterc.output.code.kinds.svg import render_svg

        try:
            return render_svg(self.strokes(), DropGeometry(), title=repr(self)[1:-1])
        except InputError:
            return None

    @property
    def lines(self) -> tuple[str, ...]:
        """The texts of all lines, block by block, top to bottom."""
        return self.resolved.lines

    def layout(self) -> Layout:
        """Every line at its place; raises `InputError` when it does not fit."""
        return lay_out(self.resolved, self.code.fonts, self.code.composer)

    def strokes(self, profile: LineProfile | None = None) -> Strokes:
        """The strokes as thrown: turned and mirrored as the profile says."""
        strokes = compile_strokes(self.layout())
        if profile is None:
            return strokes
        return orient(strokes, profile.line.upside_down, profile.line.mirrored)

    def check(self, profile: LineProfile | None = None) -> tuple[Finding, ...]:
        """What the rules find: in this print, and in the message's own examples."""
        from rasterc.checks.registry import check

        return check(self.subject(profile))

    def subject(self, profile: LineProfile | None = None) -> Subject:
        """What the rules look at."""
        from rasterc.checks.model import Subject

        code, layout = self.code, None
        faults: Sequence[Diagnostic] = ()
        try:
            layout = self.layout()
        except InputError as error:
            faults = error.diagnostics
        plan = code.plan.case(self.resolved.instant)
        return Subject(
            plan, self.resolved, code.fonts, layout, tuple(faults), profile, code.composer
        )

    def reading(self, lost: float = 0.02, spread: float = 0.15) -> ReadingReport:
        """How likely characters are misread.

        Args:
            lost: the share of drops that are lost.
            spread: how far drops land beside their places: a standard deviation, in pitches.

        Raises:
            InputError: ``lost`` or ``spread`` cannot be.
        """
        from rasterc.reading.report import risk_report

        return risk_report(self.resolved, self.code.fonts, self.code.plan, lost, spread)

    def fly(
        self, profile: LineProfile, *, speed_m_s: float | None = None, throw_mm: float | None = None
    ) -> tuple[Flown, ...]:
        """The drops charged, deflected and landed under each wake of the profile.

        Charges are solved for this speed, this throw and each wake anew.

        Args:
            profile: a line with a flight table.
            speed_m_s: of the line; the profile's first when not given.
            throw_mm: to the product; the profile's when not given.

        Raises:
            InputError: the profile throws no such raster or has no flight table, nothing is
                printed, or the speed or throw cannot be flown.
        """
        from rasterc.checks.flown import job_of
        from rasterc.sweep.case import fly_case
        from rasterc.sweep.model import Case

        job = job_of(self.subject(profile))
        if job is None:
            message = f'"{profile.name}" cannot fly this print'
            help = "it takes a [flight] table, a raster of this height, and a text that fits"
            raise InputError.one("nothing-to-fly", message, self.code.message.raster_span, help)
        speed, throw = speed_m_s or job.speed_m_s, throw_mm or job.throw_mm
        return fly_case(job, Case(speed, throw))


class Checker:
    """The rules, ready for many prints of one code on one line.

    What is the same at every instant (fields, patterns, fonts, the year ahead, flights) is looked
    at once, at the first print; texts, dates and strokes are looked at in each.
    """

    __slots__ = ("_code", "_profile", "_rules")

    def __init__(self, code: Code, profile: LineProfile | None = None) -> None:
        from rasterc.checks.registry import Checker as Rules

        self._code = code
        self._profile = profile
        self._rules: Rules | None = None

    def __call__(self, printed: Print) -> tuple[Finding, ...]:
        """What the rules find, apart from what the message silences."""
        return self.report(printed).findings

    def report(self, printed: Print) -> Report:
        """What the rules find, and what the message silences.

        Raises:
            ValueError: the print is one of another code.
        """
        if printed.code is not self._code:
            raise ValueError(f"{printed!r} is no print of {self._code!r}")
        from rasterc.checks.registry import Checker as Rules

        subject = printed.subject(self._profile)
        if self._rules is None:
            self._rules = Rules(subject)
        return self._rules.report(subject)
