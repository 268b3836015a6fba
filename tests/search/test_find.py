"""Finding codes in a plant, against trying every message, minute and value on a grid of a year."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from itertools import permutations, product

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc import load_text
from rasterc.diagnostics import InputError
from rasterc.plant import Plant
from rasterc.search import Finder, Hit, find
from rasterc.values.dates.offsets import minute_of, moment_of
from rasterc.values.model import Instant

NOW = datetime(2027, 7, 1, 12, tzinfo=UTC)
YEAR = datetime(2027, 1, 1, tzinfo=UTC), datetime(2028, 1, 1, tzinfo=UTC)
SIDE_BY_SIDE = {"lot"}  # messages of which any line may be read first
STEP = 7 * 60 + 13  # minutes: every hour and minute of the day comes in a year
RANDOM = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
)
Printed = dict[tuple[str, int], set[tuple[str, ...]]]


@pytest.fixture(scope="module")
def printed(messages) -> Printed:
    """All lines of each message at each minute of the grid."""
    minutes = range(*map(minute_of, YEAR), STEP)
    found: Printed = {}
    for name, text in messages.items():
        code = load_text(text)
        for minute in minutes if code.plan.clocks_read() else [0]:
            found[name, minute] = {
                code.resolve_at(Instant(moment_of(minute), *values)).lines
                for values in _values(name)
            }
    return found


def _values(name: str) -> list[tuple[dict[str, int], dict[str, str]]]:
    match name:
        case "bread":
            return [({"bag": bag}, {}) for bag in (1, 2, 3)]
        case "milk":
            return [({}, {"filler": filler}) for filler in ("F1", "F2")]
        case "pallet":
            return [({"pallet": pallet}, {}) for pallet in range(1, 41)]
    lots = ("".join(chars) for chars in product("Q", "AB", "0", "123"))
    return [({}, {"lot": lot}) for lot in lots]


def slowly(printed: Printed, texts: tuple[str, ...], parts: bool) -> set[tuple[str, int]]:
    """Which messages print the texts at which minutes of the grid, by trying."""
    matches = re.search if parts else re.fullmatch
    expressions = ["".join("." if c == "?" else re.escape(c) for c in text) for text in texts]

    def fit(name: str, lines: tuple[str, ...]) -> bool:
        return any(
            all(matches(e, lines[n]) for e, n in zip(expressions, some, strict=True))
            for some in permutations(range(len(lines)), len(texts))
            if name in SIDE_BY_SIDE or list(some) == sorted(some)
        )

    return {where for where, every in printed.items() if any(fit(where[0], one) for one in every)}


def quickly(finder: Finder, texts: tuple[str, ...], parts: bool) -> set[tuple[str, int]]:
    result = finder.find(texts, NOW, YEAR, parts)
    assert not result.unsure
    return {(hit.message, minute) for hit in result.hits for minute in minutes_of(hit)}


def minutes_of(hit: Hit) -> set[int]:
    """The minutes of the grid that a message was found at."""
    if hit.result.zone is None:
        return {0}
    first, end = map(minute_of, YEAR)
    found = set()
    for group in hit.result.groups:
        for start, until in zip(group.starts.tolist(), group.ends.tolist(), strict=True):
            begin = first + -(-(start - first) // STEP) * STEP
            found |= set(range(begin, min(until, end), STEP))
    return found


@pytest.fixture
def finder(plant: Plant) -> Finder:
    return Finder(plant)


def torn(draw, line: str) -> str:
    begin = draw(st.integers(0, len(line) - 1))
    return line[begin : draw(st.integers(begin + 1, len(line)))]


@RANDOM
@given(st.data())
def test_every_print_is_found_with_itself_and_nothing_else_is(finder, printed, data):
    draw = data.draw
    where = draw(st.sampled_from(sorted(printed)))
    lines = draw(st.sampled_from(sorted(printed[where])))
    parts = draw(st.booleans())
    shown = [torn(draw, line) for line in lines] if parts else list(lines)
    shown = shown[: draw(st.integers(1, len(shown)))]
    unread = draw(st.sets(st.tuples(st.integers(0, 1), st.integers(0, 30)), max_size=3))
    texts = tuple(
        "".join("?" if (n, at) in unread else char for at, char in enumerate(text))
        for n, text in enumerate(shown)
    )
    if not set("".join(texts)) - {"?"}:
        return
    expected = slowly(printed, texts, parts)
    assert where in expected
    assert quickly(finder, texts, parts) == expected


@pytest.mark.parametrize(
    "texts",
    [
        ("BEST BEFORE 31 FEB 2027",),
        ("L27010A 4",),
        ("USE BY 10/01/27 04:00 F3",),
        ("(00)300042000000000009",),  # a wrong check digit
        ("LOT QA04",),
        ("BEST BEFORE 16 JAN 2027", "L27011A 1"),  # two days that do not go together
        ("L27010A 1", "BEST BEFORE 16 JAN 2027"),  # the lines of one block, upside down
    ],
)
def test_what_nothing_prints_is_not_found(finder: Finder, texts: tuple[str, ...]):
    assert not finder.find(texts, NOW, YEAR, parts=False).hits


def test_lines_of_two_blocks_may_be_read_in_any_order(finder: Finder):
    for texts in (("LOT QA01", "EXP 07/2029"), ("EXP 07/2029", "LOT QA01")):
        [hit] = finder.find(texts, NOW, YEAR).hits
        assert {texts[n][:3]: line for n, line in enumerate(hit.where)} == {"LOT": 0, "EXP": 1}


def test_parts_are_tried_when_no_whole_line_is_found(finder: Finder):
    assert not finder.find(["L27010A 1"], NOW, YEAR).parts
    found = finder.find(["7010A"], NOW, YEAR)
    assert found.parts
    assert [hit.message for hit in found.hits] == ["bread"]
    assert not finder.find(["7010A"], NOW, YEAR, parts=False).hits


def test_the_nearest_print_up_to_now_comes_first(plant_of):
    plant = plant_of(
        old='message old { raster 7 font upright-7 block { line: "L27100" } }',
        soon='message soon { raster 7 font upright-7 clock a in "UTC" clock b = a - 90 days '
        'block { line: "L" b(yyDDD) } }',
        now='message now { raster 7 font upright-7 clock a in "UTC" block { line: "L" a(yyDDD) } }',
        far='message far { raster 7 font upright-7 clock a in "UTC" clock b = a + 20 days '
        'block { line: "L" b(yyDDD) } }',
        always='message always { raster 7 font upright-7 clock a in "UTC" input lot length 6 '
        'block { line: lot } block { line: a(d) } }',
    )  # fmt: skip
    at = datetime(2027, 4, 15, tzinfo=UTC)  # day 105
    found = find(plant, ["L27100"], at)
    assert [hit.message for hit in found.hits] == ["now", "far", "always", "old", "soon"]


def test_matches_are_told_from_now_backwards_then_those_to_come(finder: Finder):
    [hit] = finder.find(["USE BY ??/??/27 10:00 F1"], NOW, YEAR).hits
    starts = [match.start for match in hit.nearest(NOW)]
    past = [start for start in starts if start <= NOW]
    assert past == sorted(past, reverse=True)
    assert starts[len(past) :] == sorted(starts[len(past) :])
    assert len(past) > 100 < len(starts) - len(past)


def test_combinations_are_minutes_and_values(finder: Finder):
    [hit] = finder.find(["L27010A ?"], NOW, YEAR).hits
    assert hit.combinations == (8 * 60 * 3, True)


def test_only_messages_of_the_lines_asked_for(plant: Plant, messages):
    code = load_text(messages["pallet"]).resolve(counters={"pallet": 7}).lines
    assert [hit.on for hit in find(plant, code, NOW).hits] == [("hall 2",)]
    assert not find(plant, code, NOW, on=["hall 1"]).hits
    milk = ["USE BY 10/01/27 10:00 F1"]
    assert [hit.on for hit in find(plant, milk, NOW).hits] == [("hall 1", "hall 2")]
    assert [hit.on for hit in find(plant, milk, NOW, on=["hall 2"]).hits] == [("hall 2",)]
    with pytest.raises(InputError, match="no line"):
        find(plant, ["0"], NOW, on=["hall 3"])


def test_what_cannot_be_said_is_named(plant_of):
    plant = plant_of(
        bad='message bad { raster 7 font upright-7 block { line: nothing } }',
        points='message points { raster 7 font upright-7 input lot length 1 to 8 '
        'block { line: lot(no-points) } }',
        many="message many { raster 7 font upright-7 input lot length 1 to 8\n"
        + "block { line: lot }\n" * 12 + "}",
    )  # fmt: skip
    found = find(plant, ["QK04"] * 4, NOW)
    assert not found.hits
    told = {(one.file.stem, one.message): one.why for one in found.unsure}
    assert told.keys() == {("bad", None), ("many", "many")}
    assert "cannot be read: line 1:" in told["bad", None]
    assert "in over 1,000 ways" in told["many", "many"]
    found = find(plant, ["QK04"], NOW)
    assert [hit.message for hit in found.hits] == ["many"] * 12
    told = {(one.file.stem, one.message): one.why for one in found.unsure}
    assert "cannot be traced back" in told["points", "points"]


@pytest.mark.parametrize(
    ("texts", "window", "code"),
    [
        (["??"], None, "nothing-read"),
        (["*"], None, "nothing-read"),
        ([""], None, "nothing-read"),
        (["A"] * 65, None, "too-large"),
        (["A" * 1001], None, "too-large"),
        (["A"], (NOW, NOW), "bad-horizon"),
        (["A"], (NOW, NOW - timedelta(days=1)), "bad-horizon"),
        (["A"], (datetime(1900, 1, 1), NOW), "bad-horizon"),
        (["A"], (NOW, datetime(2200, 1, 1)), "bad-horizon"),
    ],
)
def test_what_cannot_be_searched_is_said(finder: Finder, texts, window, code):
    with pytest.raises(InputError) as refused:
        finder.find(texts, NOW, window)
    assert refused.value.diagnostics[0].code == code


def test_one_misread_character_is_told_as_no_answer(finder: Finder):
    found = finder.find(["BEST BEFORE 31 FEB 2027"], NOW, YEAR)
    assert not found.hits
    changed = {(one.misread.read, one.misread.printed, one.misread.place) for one in found.closest}
    assert changed <= {("3", "0", 12), ("3", "1", 12), ("3", "2", 12)}
    assert found.closest
    for hit in found.closest:
        assert hit.result.groups


def test_the_likeliest_misreading_is_told_first(finder: Finder):
    """Of the letters of this shift only A, B and C are printed; B is nearest to an 8."""
    found = finder.find(["L270108 1"], NOW, YEAR)
    first = found.closest[0].misread
    assert (first.read, first.printed) == ("8", "B")
    chances = [hit.misread.chance for hit in found.closest]
    assert chances == sorted(chances, reverse=True)


def test_two_wrong_characters_come_close_to_nothing(finder: Finder):
    assert not finder.find(["BEST BEFORE 31 XEB 2027"], NOW, YEAR).closest
    assert not finder.find(["Z9Z"], NOW, YEAR).closest
