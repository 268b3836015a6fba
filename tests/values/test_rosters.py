"""Rosters held against the recurrences of dateutil, which follow RFC 5545."""

from bisect import bisect_right
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from dateutil.rrule import DAILY, rrule
from hypothesis import given
from hypothesis import strategies as st

from rasterc.api import load_text
from rasterc.domain.timeline import Tracks
from rasterc.values import Instant
from rasterc.values.dates.offsets import minute_of, moment_of

ZONE = "Europe/Dublin"
CREWS = """message crews {
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  shift crew of packed every 21 days from 2027-01-04 {
    "A" from 06:00 on 1 to 7
    "B" from 14:00 on 1 to 7
    "C" from 22:00 on 1 to 7
    "C" from 06:00 on 8 to 14
    "A" from 14:00 on 8 to 14
    "B" from 22:00 on 8 to 14
    "B" from 06:00 on 15 to 21
    "C" from 14:00 on 15 to 21
    "A" from 22:00 on 15 to 21
  }
  clock began = start of crew
  block { line: packed(yyMMdd) crew began(yyMMddHH) }
}
"""
TURNS = {6: "ACB", 14: "BAC", 22: "CBA"}
"""By the hour they begin: the crews of the three weeks."""


def beginnings(until: datetime) -> list[tuple[datetime, str]]:
    """The wall times at which crews begin, from before 2027."""
    found = [
        (begin, crew)
        for hour, crews in TURNS.items()
        for week, crew in enumerate(crews)
        for day in range(7)
        for begin in rrule(
            DAILY, interval=21, until=until,
            dtstart=datetime(2026, 11, 2, hour) + timedelta(weeks=week, days=day),
        )
    ]  # fmt: skip
    return sorted(found)


def test_ten_years_of_three_crews():
    """Every beginning, the minute before it, and an hour after, on ten years of walls."""
    plan = load_text(CREWS).plan
    begins = beginnings(datetime(2037, 1, 10))
    walls = [begin for begin, _ in begins]
    for begin, _ in begins:
        for wall in (begin - timedelta(minutes=1), begin, begin + timedelta(hours=1)):
            if not datetime(2027, 1, 1) <= wall < datetime(2037, 1, 1):
                continue
            started, crew = begins[bisect_right(walls, wall) - 1]
            day = wall.date() - timedelta(days=wall.hour < 6)
            shown = plan.resolve(Instant(wall)).lines[0]
            assert shown == f"{day:%y%m%d}{crew}{started:%y%m%d%H}", wall


def test_the_timeline_of_ten_years_is_that_of_every_quarter_of_an_hour():
    """Also where clocks change: what runs goes by the wall, as the zone database has it."""
    plan = load_text(CREWS).plan
    first, end = (minute_of(datetime(year, 1, 1, tzinfo=UTC)) for year in (2027, 2037))
    running = Tracks(plan, first, end).shift("crew")
    begins = beginnings(datetime(2037, 1, 10))
    walls = [begin for begin, _ in begins]
    starts = running.began.starts.tolist()
    labels = plan.schedules["crew"].labels
    for minute in range(first, end, 15):
        wall = moment_of(minute).astimezone(ZoneInfo(ZONE)).replace(tzinfo=None)
        crew = begins[bisect_right(walls, wall) - 1][1]
        piece = bisect_right(starts, minute) - 1
        assert labels[running.point[piece]] == crew, wall


@given(
    turn=st.integers(1, 30),
    first=st.dates(datetime(2025, 1, 1).date(), datetime(2029, 1, 1).date()),
    points=st.lists(
        st.tuples(st.integers(0, 1439), st.integers(0, 29)), min_size=1, max_size=6, unique=True
    ),
    wall=st.datetimes(datetime(2027, 1, 1), datetime(2028, 1, 1)),
)
def test_any_roster_by_its_recurrences(turn, first, points, wall):
    """Before its first day, too: a roster has always been going."""
    points = list({(minute, day % turn): None for minute, day in points})
    parts = " ".join(
        f'"{number}" from {minute // 60:02}:{minute % 60:02} on {day + 1}'
        for number, (minute, day) in enumerate(points)
    )
    text = CREWS.split("  shift crew")[0].replace(ZONE, "UTC")
    text += f"shift crew of packed every {turn} days from {first} {{ {parts} }}\n"
    plan = load_text(text + "block { line: crew } }").plan
    earlier = datetime.combine(first, time()) - timedelta(days=turn * (1500 // turn + 1))
    latest = {
        rrule(
            DAILY, interval=turn, dtstart=earlier + timedelta(days=day, minutes=minute)
        ).before(wall, inc=True): number
        for number, (minute, day) in enumerate(points)
    }  # fmt: skip
    moment = plan.at(Instant(wall))
    running = moment.shift("crew")
    assert running.began.replace(tzinfo=None) == max(latest)
    assert running.label == str(latest[max(latest)])
