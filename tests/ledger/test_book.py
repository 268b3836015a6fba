"""What a ledger issues, and what it refuses: the same in every database."""

import uuid

import pytest

from rasterc.diagnostics import InputError
from rasterc.ledger import Ledger, Numbering, Series


def new():
    return uuid.uuid4()


def refused(code, call, *arguments, **options):
    with pytest.raises(InputError) as error:
        call(*arguments, **options)
    [one] = error.value.diagnostics
    assert one.code == code, one
    assert one.help
    return one.message


def test_prints_go_on_and_every_series_begins_at_its_first(where):
    with Ledger.open(where) as ledger:
        first = ledger.reserve("case", "2027-11-25", 100, "night", new())
        second = ledger.reserve("case", "2027-11-25", 1, "night", new())
        other = ledger.reserve("case", "2027-11-26", 5, "day", new())
        pallet = ledger.reserve("pallet", "", 10**15, "day", new())
    assert (first.first, first.last, list(first.numbers())[::99]) == (0, 99, [1, 100])
    assert (second.first, second.last, list(second.numbers())) == (100, 100, [101])
    assert (other.first, pallet.count) == (0, 10**15)
    with Ledger.open(where) as ledger:
        assert ledger.reserve("pallet", "", 1, "day", new()).first == 10**15
        assert ledger.head().seq == 5
        assert ledger.verify() == []


def test_the_same_request_gets_the_same_prints(where):
    with Ledger.open(where) as ledger:
        held = ledger.reserve("case", "", 3, "a", "0c8d4f0e-2f5b-4a39-9d0a-5d3d1b7a6c11")
        again = ledger.reserve("case", "", 3, "a", held.request.upper())
        assert again == held
        for other in (("case", "", 4), ("case", "1", 3), ("crate", "", 3)):
            refused("request-used", ledger.reserve, *other, "a", held.request)
        assert ledger.head().seq == 1


def test_nothing_odd_is_written_down(where):
    with Ledger.open(where) as ledger:
        for count in (0, -1, True, 1.5, 10**15 + 1, "7"):
            refused("bad-count", ledger.reserve, "case", "", count, "a", new())
        for text in ("", " ", "a\nb", "a\0", "\ud800", "a" * 401, None):
            refused("bad-text", ledger.reserve, text, "", 1, "a", new())
            refused("bad-text", ledger.reserve, "case", "", 1, text, new())
        for request in ("", "seven", None, 7):
            refused("bad-request", ledger.reserve, "case", "", 1, "a", request)
        assert ledger.head().seq == 0
        ledger.reserve("\u0416 𝟙 'x' \"; --", "", 1, "100 % {} %s ?", new())
        assert ledger.verify() == []


def test_confirming_only_grows_and_may_be_said_twice(where):
    with Ledger.open(where) as ledger:
        held = ledger.reserve("case", "", 10, "a", new())
        for _ in range(2):
            done = ledger.confirm(held, 4)
            assert (done.printed, done.void, done.open) == (4, 0, 6)
        refused("cannot-confirm", ledger.confirm, held, 3)
        refused("cannot-confirm", ledger.confirm, held, 11)
        refused("no-such-request", ledger.confirm, new())
        done = ledger.confirm(held.request)
        assert (done.printed, done.open) == (10, 0)
        refused("cannot-void", ledger.void, held, "why not")
        assert [entry.kind for entry in ledger.entries()] == ["reserve", "confirm", "confirm"]
        assert ledger.verify() == []


def test_void_frees_nothing(where):
    with Ledger.open(where) as ledger:
        held = ledger.reserve("case", "", 10, "a", new())
        ledger.confirm(held, 4)
        for _ in range(2):
            done = ledger.void(held, "ribbon of foil torn")
            assert (done.printed, done.void, done.open) == (4, 6, 0)
        assert held.request in refused(
            "request-void", ledger.reserve, "case", "", 10, "a", held.request
        )
        assert "ribbon of foil torn" in refused("cannot-confirm", ledger.confirm, held, 5)
        assert ledger.confirm(held, 4) == done
        assert ledger.reserve("case", "", 1, "b", new()).first == 10
        [standing] = ledger.standings()
        assert [(one.printed, one.void, one.open) for one in standing.issued] == [
            (4, 6, 0), (0, 0, 1),
        ]  # fmt: skip
        assert ledger.verify() == []


def test_past_the_end_nothing_is_issued_and_the_rest_is_named(where):
    series = Series("case", epoch="2027-11-25", limit=12)
    with Ledger.open(where) as ledger:
        ledger.take(series, 10, "a", new())
        said = refused("counter-ended", ledger.take, series, 3, "a", new())
        assert "2 of its 12 prints left, not 3" in said
        assert ledger.take(series, 2, "a", new()).last == 11
        assert "0 of its 12" in refused("counter-ended", ledger.take, series, 1, "a", new())
        more = Series("case", epoch="2027-11-25", limit=20)
        assert ledger.take(more, 8, "a", new()).first == 12
        assert "0 of its 12" in refused("counter-ended", ledger.take, series, 1, "a", new())
        endless = Series("huge")
        ledger.advance([(endless, 10**18 - 5)], "far on")
        assert ledger.take(endless, 5, "a", new()).last == 10**18 - 1
        refused("counter-ended", ledger.take, endless, 1, "a", new())


def test_a_counter_that_counts_otherwise_is_refused(where):
    with Ledger.open(where) as ledger:
        ledger.take(Series("case", epoch="2027", numbering=Numbering(step=10)), 5, "a", new())
        for odd in (Numbering(), Numbering(step=10, digits="01"), Numbering(step=10, round=99)):
            series = Series("case", epoch="2027", numbering=odd)
            refused("counter-otherwise", ledger.take, series, 5, "a", new())
        ledger.take(Series("case", epoch="2028", numbering=Numbering()), 5, "a", new())
        for form in ("daily", "yearly per lot"):
            series = Series("case", epoch="2029", form=form)
            refused("counter-otherwise", ledger.take, series, 5, "a", new())


def test_a_clock_set_back_is_refused_unless_it_is_meant(where):
    old, now = Series("case", epoch="2027-11-25"), Series("case", epoch="2027-11-26")
    with Ledger.open(where) as ledger:
        ledger.take(old, 5, "a", new())
        ledger.take(now, 5, "a", new())
        assert "clock was set back" in refused("clock-set-back", ledger.take, old, 5, "a", new())
        assert ledger.take(old, 5, "a", new(), earlier=True).first == 5
        aside = Series("case", part='lot="B"', epoch="2027-11-25")
        assert ledger.take(aside, 5, "a", new()).first == 0
        assert ledger.verify() == []


def test_a_later_day_by_mistake_does_not_stay_in_the_way(where):
    now, later = Series("case", epoch="2027-11-26"), Series("case", epoch="2037-11-26")
    with Ledger.open(where) as ledger:
        ledger.take(now, 5, "a", new())
        held = ledger.take(later, 5, "a", new())
        refused("clock-set-back", ledger.take, now, 5, "a", new())
        ledger.void(held, "a slip of the pen")
        assert ledger.take(now, 5, "a", new()).first == 5
        held = ledger.take(later, 5, "a", new())
        assert held.first == 5
        ledger.confirm(held, 1)
        ledger.void(held, "the rest")
        refused("clock-set-back", ledger.take, now, 5, "a", new())


def test_an_advance_passes_prints_over_and_closes_what_lies_before(where):
    old, now = Series("case", epoch="2027-11-25"), Series("case", epoch="2027-11-26")
    with Ledger.open(where) as ledger:
        ledger.take(old, 5, "a", new())
        ledger.take(now, 5, "a", new())
        [entry] = ledger.advance([(now, 20), (now, 7)], "backup of Friday put back, says A. Berg")
        assert (entry.first, entry.last) == (5, 19)
        assert ledger.take(now, 1, "a", new()).first == 20
        said = refused("series-closed", ledger.take, old, 1, "a", new(), earlier=True)
        assert "A. Berg" in said
        ledger.advance([(now, 3)], "nothing new")
        assert ledger.take(now, 1, "a", new()).first == 21
        ledger.advance([], "looked at it")
        refused("bad-text", ledger.advance, [], "")
        assert ledger.take(now, 1, "a", new()).first == 22
        assert [one.prints for one in ledger.standings()] == [5, 23]
        assert ledger.verify() == []


def test_the_entries_of_both_databases_are_alike(where):
    with Ledger.open(where) as ledger:
        held = ledger.reserve("case", "2027", 5, "a", "0c8d4f0e-2f5b-4a39-9d0a-5d3d1b7a6c11")
        ledger.confirm(held)
        one, two = ledger.entries()
    assert (one.seq, one.kind, one.request, one.counter, one.part) == (
        1, "reserve", "0c8d4f0e-2f5b-4a39-9d0a-5d3d1b7a6c11", "case", "",
    )  # fmt: skip
    assert (one.epoch, one.form, one.rule, one.first, one.last, one.job) == (
        "2027", "", Numbering().encoded(), 0, 4, "a",
    )  # fmt: skip
    assert (two.seq, two.kind, two.request, two.previous) == (2, "confirm", one.request, one.hash)
    assert len(one.at) == len("2027-11-25T14:05:00.123Z")
    assert one.at[-1] == "Z"


def test_where_there_is_none_and_where_there_is_one(where, tmp_path):
    refused("ledger-exists", Ledger.create, where)
    refused("no-ledger", Ledger.open, tmp_path / "none.ledger")
    (tmp_path / "text.ledger").write_text("numbers: 1 to 7\n" * 20)
    refused("ledger-unusable", Ledger.open, tmp_path / "text.ledger")


def test_entries_are_read_by_the_page(where, monkeypatch):
    from rasterc.ledger import postgres, sqlite

    monkeypatch.setattr(postgres, "PAGE", 3)
    monkeypatch.setattr(sqlite, "PAGE", 3)
    with Ledger.open(where) as ledger:
        for count in range(8):
            assert [entry.seq for entry in ledger.entries()] == list(range(1, count + 1))
            ledger.reserve("case", "", 1, "a", new())


def between(monkeypatch, store, name, work):
    """Have somebody work right after the first time that a method of the store has answered."""
    real, done = getattr(store, name), []

    def answered(*given):
        found = real(*given)
        if not done:
            done.append(True)
            work()
        return found

    monkeypatch.setattr(store, name, answered)


def test_who_is_overtaken_looks_again(where, monkeypatch):
    with Ledger.open(where) as ledger, Ledger.open(where) as other:
        held = ledger.reserve("case", "", 10, "a", new())
        between(monkeypatch, ledger._store, "of_request", lambda: other.void(held, "torn"))
        assert "torn" in refused("cannot-confirm", ledger.confirm, held, 5)
        monkeypatch.undo()
        held = ledger.reserve("case", "", 10, "a", new())
        between(monkeypatch, ledger._store, "of_request", lambda: other.confirm(held, 4))
        assert ledger.void(held, "torn").void == 6
        monkeypatch.undo()
        between(
            monkeypatch, ledger._store, "issued",
            lambda: other.reserve("case", "", 10, "b", new()),
        )  # fmt: skip
        [entry] = ledger.advance([(Series("case"), 35)], "seen")
        assert (entry.first, entry.last) == (30, 34)
        assert ledger.verify() == []
