"""A study that was stopped goes on with what was flown, and with nothing else's results."""

import msgspec
import pytest
from msgspec import structs

from rasterc.files.cache import VARIABLE
from rasterc.sweep import kept
from rasterc.sweep.model import Case, Charges
from rasterc.sweep.run import one_by_one, run_cases

CASES = [Case(speed, 10.0, Charges.ALONE) for speed in (0.8, 1.0, 1.3)]


class Flights:
    """Flies one by one and stops before the flight of that number."""

    def __init__(self, stop=99):
        self.flown, self.stop = [], stop

    def __call__(self, encoded, chunks):
        for chunk, done in one_by_one(encoded, chunks):
            if len(self.flown) == self.stop:
                raise KeyboardInterrupt
            self.flown += chunk
            yield chunk, done


@pytest.fixture(autouse=True)
def cache(monkeypatch, tmp_path):
    monkeypatch.setenv(VARIABLE, str(tmp_path))


def test_a_study_that_was_stopped_goes_on_where_it_was(job):
    with pytest.raises(KeyboardInterrupt):
        run_cases(job, CASES, runner=Flights(stop=2))
    rest = Flights()
    found = run_cases(job, CASES, runner=rest)
    assert rest.flown == CASES[2:]
    again = Flights()
    assert run_cases(job, CASES, runner=again) == found
    assert again.flown == []


@pytest.mark.parametrize("change", ["speed_m_s", "columns", "flown_by"])
def test_another_job_or_another_way_to_fly_begins_anew(job, monkeypatch, change):
    first = run_cases(job, CASES[:1])
    changed = {"speed_m_s": 1.11, "columns": (*job.columns, 0, 1)}
    if change == "flown_by":
        monkeypatch.setattr(kept, "flown_by", lambda: "other loops")
    else:
        job = structs.replace(job, **{change: changed[change]})
    flights = Flights()
    found = run_cases(job, CASES[:1], runner=flights)
    assert flights.flown == CASES[:1]
    assert change != "columns" or msgspec.json.encode(found[CASES[0]]) != msgspec.json.encode(
        first[CASES[0]]
    )


def test_a_damaged_result_is_flown_again(job, tmp_path):
    found = run_cases(job, CASES[:1])
    [path] = [p for p in tmp_path.rglob("*.kept") if b"flight of a study" in p.read_bytes()]
    path.write_bytes(path.read_bytes()[:-3] + b"0}]")
    flights = Flights()
    assert run_cases(job, CASES[:1], runner=flights) == found
    assert flights.flown == CASES[:1]
