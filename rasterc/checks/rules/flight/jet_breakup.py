"""Does the jet break up into drops, and where and when they can be charged?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.flown import flight_example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import InputError, Severity
from rasterc.head.jet import JetModel
from rasterc.head.jet_limits import jet_state_faults
from rasterc.head.limits import FlightFault


class JetBreakup(Rule):
    """Breakup of the jet, its place in the tunnel and the time there is to charge a drop."""

    id = "jet-breakup"
    title = "Drops cannot be charged where and when the jet breaks up"
    needs_profile = True
    rationale = (
        "A drop keeps the charge that is on it when it parts from the jet. Where the jet does not "
        "break up, breaks up outside the tunnel, or faster than the voltage settles, no drop goes "
        "where it should. Looked at as far as the profile tells drive, tunnel and amplifier; "
        "rasterc jet says how much room is left."
    )
    source = "Weber, ZAMM 11 (1931), 136-154; see rasterc jet"
    trips = flight_example(
        ("jet_speed_m_s = 20\n", "jet_speed_m_s = 20\nbreakup_mm = 12\n"),
        ("bore_um = 800\n", "bore_um = 800\nfrom_nozzle_mm = 5\nlength_mm = 4\n"),
    )
    passes = flight_example(
        ("jet_speed_m_s = 20\n", "jet_speed_m_s = 20\nbreakup_mm = 7\n"),
        ("bore_um = 800\n", "bore_um = 800\nfrom_nozzle_mm = 5\nlength_mm = 4\n"),
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each thing without which no drop is charged rightly."""
        if subject.profile is None or subject.profile.flight is None:
            return
        span = subject.message.raster_span
        try:
            faults = _errors(JetModel(subject.profile))
        except InputError as error:  # a profile that contradicts itself
            for said in error.diagnostics:
                yield self.finding(subject, said.message, span, said.help)
            return
        for fault in faults:
            yield self.finding(
                subject,
                fault.message,
                span,
                fault.help,
                measured=fault.measured,
                limit=fault.limit,
                unit=fault.unit,
            )


def _errors(model: JetModel) -> list[FlightFault]:
    faults = jet_state_faults(model, model.state())
    return [fault for fault in faults if fault.severity is Severity.ERROR]
