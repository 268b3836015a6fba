"""Does the ink stand out from the surface?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject

_LEAST = 3.0


_MARK = 'block { line: "FLEX 3G1.5" }'


class InkContrast(Rule):
    """Contrast of the profile's ink and surface."""

    id = "ink-contrast"
    title = "Ink and surface are nearly of one colour"
    needs_profile = True
    rationale = (
        "What cannot be told from its ground cannot be read. The contrast is (L1 + 0.05) / (L2 + "
        "0.05) of the relative luminances of the two colours; below 3 large text cannot be read "
        "by all, and dots are less than text."
    )
    source = "WCAG 2.1, success criterion 1.4.11 and relative luminance: 3:1; made for displays"
    trips = example(_MARK, profile='ink = "#1c1c24"\nsurface = "#1d1d26"')
    passes = example(_MARK, profile='ink = "#1c1c24"\nsurface = "#f5f2ea"')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding when the contrast is too low."""
        if subject.profile is None:
            return
        product = subject.profile.product
        found = contrast(product.ink, product.surface)
        if found < _LEAST:
            yield self.finding(
                subject,
                f"ink {product.ink} on {product.surface} has a contrast of {found:.2f} : 1",
                subject.message.span,
                "use an ink of another colour: a pigmented white on dark surfaces, say; or correct "
                "the profile",
                measured=found,
                limit=_LEAST,
            )


def contrast(one: str, other: str) -> float:
    """The contrast of two colours, from 1 to 21.

    >>> contrast("#000000", "#ffffff"), contrast("#777777", "#777777")
    (21.0, 1.0)
    """
    light, dark = sorted(map(_luminance, (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
