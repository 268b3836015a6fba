"""Any order of work on a ledger, against a model of lists: what a person with a book would do."""

import tempfile
import uuid
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, rule

from rasterc.diagnostics import InputError
from rasterc.ledger import Ledger, Series
from tests.ledger.conftest import emptied

EPOCHS = ("2027-11-24", "2027-11-25", "2027-11-26")
LIMIT = 40
SERIES = st.builds(
    Series,
    st.sampled_from(["case", "pallet"]),
    part=st.sampled_from(["", 'lot="A"']),
    epoch=st.sampled_from(EPOCHS),
    limit=st.just(LIMIT),
)


class Book(RuleBasedStateMachine):
    """A ledger and its model: for each series who owns its prints, one by one."""

    requests = Bundle("requests")
    address = ""

    @initialize()
    def open_it(self):
        self.folder = tempfile.TemporaryDirectory()
        place = Path(self.folder.name)
        self.where = emptied(self.address) if self.address else place / "n.ledger"
        self.witness = place / "head.json"
        Ledger.create(self.where, witness=self.witness)
        self.ledger = Ledger.open(self.where, witness=self.witness)
        self.owners = {}
        self.closed = {}
        self.asked = {}
        self.advanced = set()
        self.printed = {}
        self.void = {}
        self.written = 0

    def teardown(self):
        if hasattr(self, "ledger"):
            self.ledger.close()
            self.folder.cleanup()

    def code(self, call, *arguments, **options):
        """What a refused call is refused for; "" when it is not."""
        try:
            self.answer = call(*arguments, **options)
        except InputError as error:
            return error.diagnostics[0].code
        return ""

    def used(self, key):
        """Whether anything of a series may have been printed, or it was advanced."""
        if key in self.advanced:
            return True
        return any(self.void[who] < self.asked[who][1] for who in self.owners[key])

    def wanted_code(self, series, count, earlier):
        key, side = (series.counter, series.part, series.epoch), (series.counter, series.part)
        newest = max((k[2] for k in self.owners if k[:2] == side and self.used(k)), default="")
        if series.epoch < self.closed.get(side, ""):
            return "series-closed"
        if series.epoch < newest and not earlier:
            return "clock-set-back"
        full = len(self.owners.get(key, ())) + count > LIMIT
        return "counter-ended" if full else ""

    @rule(target=requests, series=SERIES, count=st.integers(1, 15), earlier=st.booleans())
    def reserve(self, series, count, earlier):
        request = str(uuid.uuid4())
        wanted = self.wanted_code(series, count, earlier)
        got = self.code(self.ledger.take, series, count, "job", request, earlier=earlier)
        assert got == wanted
        if not wanted:
            owners = self.owners.setdefault((series.counter, series.part, series.epoch), [])
            assert self.answer.first == len(owners)
            assert self.answer.count == count
            owners += [request] * count
            self.asked[request] = series, count, self.answer
            self.printed[request], self.void[request] = 0, 0
            self.written += 1
        return request

    @rule(request=requests)
    def ask_again(self, request):
        if request in self.asked:
            series, count, held = self.asked[request]
            got = self.code(self.ledger.take, series, count, "job", request)
            assert got == ("request-void" if self.void[request] else "")
            assert got or self.answer == held

    @rule(request=requests, count=st.integers(0, 16))
    def confirm(self, request, count):
        if request not in self.asked:
            assert self.code(self.ledger.confirm, request, count) == "no-such-request"
            return
        printed, reserved = self.printed[request], self.asked[request][1]
        fine = count == printed or (printed < count <= reserved and not self.void[request])
        assert (self.code(self.ledger.confirm, request, count) == "") == fine
        if fine and count != printed:
            self.printed[request] = count
            self.written += 1

    @rule(request=requests)
    def void_the_rest(self, request):
        if request not in self.asked:
            assert self.code(self.ledger.void, request, "why") == "no-such-request"
            return
        left = self.asked[request][1] - self.printed[request] - self.void[request]
        wanted = "" if left or self.void[request] else "cannot-void"
        assert self.code(self.ledger.void, request, "why") == wanted
        self.written += bool(left)
        self.void[request] += left

    @rule(series=SERIES, past=st.integers(0, 30))
    def advance(self, series, past):
        key, side = (series.counter, series.part, series.epoch), (series.counter, series.part)
        # the witness closes what lies before the newest series of every counter, too
        for known in list(self.owners):
            newest = max(k[2] for k in self.owners if k[:2] == known[:2])
            self.closed[known[:2]] = max(newest, self.closed.get(known[:2], ""))
            self.advanced.add((*known[:2], newest))
        self.advanced.add(key)
        self.closed[side] = max(series.epoch, self.closed.get(side, ""))
        entries = self.ledger.advance([(series, past)], "seen")
        self.written += len(entries)
        owners = self.owners.setdefault(key, [])
        owners += ["nobody"] * (past - len(owners))

    @rule()
    def open_again(self):
        self.ledger.close()
        self.ledger = Ledger.open(self.where, witness=self.witness)

    @invariant()
    def all_is_as_in_the_model(self):
        if not hasattr(self, "ledger"):
            return
        assert self.ledger.head().seq == self.written
        owners = {}
        for standing in self.ledger.standings():
            key = standing.series.counter, standing.series.part, standing.series.epoch
            runs = [(one.first, one.count, "nobody") for one in standing.skipped]
            for one in standing.issued:
                held = one.range
                runs.append((held.first, held.count, held.request))
                assert one.printed == self.printed[held.request]
                assert one.void == self.void[held.request]
            owners[key] = [who for _, count, who in sorted(runs) for _ in range(count)]
        assert owners == self.owners
        assert self.ledger.verify() == []


def run(address, examples):
    machine = type("OneBook", (Book,), {"address": address})
    case = machine.TestCase
    case.settings = settings(max_examples=examples, stateful_step_count=25, deadline=None)
    case("runTest").runTest()


def test_a_file_is_as_the_model():
    run("", 15)


def test_a_server_is_as_the_model(server):
    pytest.importorskip("psycopg")
    run(server.url, 8)
