"""An old ledger in the place of the newest, copies, and witnesses that know better."""

import json
import shutil
import subprocess
import uuid

import pytest

from rasterc.diagnostics import InputError
from rasterc.ledger import Ledger, Series
from tests.ledger.conftest import emptied

CASE, PALLET = Series("case", epoch="2027-11-25"), Series("pallet")


def taken(ledger, series=CASE, count=10):
    return ledger.take(series, count, "job", uuid.uuid4())


def refused(where, witness, *because):
    with Ledger.open(where, witness=witness) as ledger:
        before = ledger.head()
        for call in (lambda: taken(ledger), lambda: ledger.confirm(uuid.uuid4()),
                     lambda: ledger.void(uuid.uuid4(), "why")):  # fmt: skip
            with pytest.raises(InputError) as error:
                call()
            [said] = error.value.diagnostics
            assert said.code == "ledger-restored"
            assert any(one in said.message for one in because)
            assert "rasterc ledger advance" in said.help
        assert ledger.head() == before


@pytest.fixture
def place(tmp_path):
    """A file and its witness."""
    Ledger.create(tmp_path / "n.ledger", witness=tmp_path / "head.json")
    return tmp_path / "n.ledger", tmp_path / "head.json"


def test_a_file_put_back_byte_by_byte_is_noticed_by_the_witness(place):
    where, witness = place
    with Ledger.open(where, witness=witness) as ledger:
        taken(ledger)
    old = where.read_bytes()
    with Ledger.open(where, witness=witness) as ledger:
        taken(ledger, count=30)
        taken(ledger, PALLET, 7)
    where.write_bytes(old)
    refused(where, None, "its lock file has seen another entry 3")
    where.with_name("n.ledger-lock").unlink()  # now nothing but the witness can tell
    refused(where, witness, "it ends with entry 1, its witness knows of 3")
    with Ledger.open(where) as ledger:
        assert ledger.verify() == []
        assert "its witness knows of 3" in ledger.denied_by(witness)
    with Ledger.open(where, witness=witness) as ledger:
        ledger.advance([], "disk failed")
        assert taken(ledger).first == 40
        assert taken(ledger, PALLET).first == 7
        assert ledger.verify() == []


def test_the_lock_file_remembers_what_was_written_last(place, tmp_path):
    where, _ = place
    lock = where.with_name("n.ledger-lock")
    with Ledger.open(where) as ledger:
        taken(ledger)
    old = where.read_bytes()
    with Ledger.open(where) as ledger:
        taken(ledger)
    where.write_bytes(old)
    with Ledger.open(where) as ledger:
        ledger.advance([(PALLET, 3)], "the pallets first", more=True)
    refused(where, None, "its lock file has seen another entry 2")
    with Ledger.open(where) as ledger:
        ledger.advance([(CASE, 20)], "and the cases")
        assert taken(ledger).first == 20
    for strange in (b"", b"\xff" * 90, b"another 00000000000000000009 00\n", b"1 2 3 4\n"):
        lock.write_bytes(strange)
        with Ledger.open(where) as ledger:
            taken(ledger)
            assert ledger.head().hash in lock.read_text(errors="replace")
    where.unlink()
    lock_of_another = lock.read_bytes()
    Ledger.create(where)
    assert lock.read_bytes() == lock_of_another
    with Ledger.open(where) as ledger:
        assert taken(ledger).first == 0


def test_numbers_of_earlier_series_that_a_backup_does_not_know_stay_closed(place):
    where, witness = place
    today = Series("case", epoch="2027-11-26")
    with Ledger.open(where, witness=witness) as ledger:
        taken(ledger)
        taken(ledger, today)
    old = where.read_bytes()
    with Ledger.open(where, witness=witness) as ledger:
        ledger.take(CASE, 5, "late", uuid.uuid4(), earlier=True)
    where.write_bytes(old)
    with Ledger.open(where, witness=witness) as ledger:
        ledger.advance([], "disk failed")
        assert taken(ledger, today).first == 10
        with pytest.raises(InputError, match="series-closed"):
            ledger.take(CASE, 5, "late", uuid.uuid4(), earlier=True)


def test_a_ledger_that_went_its_own_way_is_noticed(place):
    where, witness = place
    with Ledger.open(where, witness=witness) as ledger:
        taken(ledger)
    old = where.read_bytes()
    with Ledger.open(where, witness=witness) as ledger:
        taken(ledger)
    where.write_bytes(old)
    where.with_name("n.ledger-lock").unlink()
    with Ledger.open(where) as ledger:  # somebody works without the witness
        taken(ledger)
        taken(ledger)
    refused(where, witness, "entry 2 is not the one its witness has seen")


def test_a_copy_is_not_the_ledger(place, tmp_path):
    where, _ = place
    with Ledger.open(where) as ledger:
        taken(ledger)
    copy = tmp_path / "copy.ledger"
    shutil.copy(where, copy)
    refused(copy, None, "it is a copy")
    with Ledger.open(copy) as ledger:
        assert ledger.verify() == []
        ledger.advance([(CASE, 50)], "moved to another disk")
        assert taken(ledger).first == 50
    moved = tmp_path / "moved.ledger"
    where.rename(moved)
    with Ledger.open(moved) as ledger:  # the file itself, under another name
        assert taken(ledger).first == 10


def test_a_copy_of_a_new_ledger_is_none_either(place, tmp_path):
    where, _ = place
    shutil.copy(where, tmp_path / "copy.ledger")
    refused(tmp_path / "copy.ledger", None, "it is a copy")


def test_a_backup_is_whole_while_others_write_and_says_what_it_is(where, tmp_path):
    with Ledger.open(where) as ledger, Ledger.open(where) as other:
        for _ in range(20):
            taken(ledger)
        data = other.backup()
        taken(ledger)
        head = ledger.head()
    backup = tmp_path / "b.ledger"
    backup.write_bytes(data)
    refused(backup, None, "it is a backup")
    with Ledger.open(backup) as ledger:
        assert ledger.verify() == []
        assert ledger.head().seq == 20
        assert [one.prints for one in ledger.standings()] == [200]
        ledger.advance([(CASE, 210)], "the server is gone")
        assert taken(ledger).first == 210
    with Ledger.open(where) as ledger:
        assert ledger.head() == head


def test_a_file_replaced_under_an_open_ledger_is_left_alone(place, tmp_path):
    where, _ = place
    with Ledger.open(where) as ledger:
        taken(ledger)
        other = tmp_path / "other.ledger"
        shutil.copy(where, other)
        other.replace(where)
        with pytest.raises(InputError, match="moved or replaced"):
            taken(ledger)
    refused(where, None, "it is a copy")


def test_a_dump_put_back_is_noticed(server, tmp_path):
    place = emptied(server.url)
    Ledger.create(place)
    with Ledger.open(place) as ledger:
        taken(ledger)
    dump = tmp_path / "dump.sql"
    with dump.open("wb") as file:
        options = ["-h", str(server.folder), "-U", server.user, "-n", "rasterc_ledger", "postgres"]
        subprocess.run([server.binaries / "pg_dump", *options], stdout=file, check=True)
    with Ledger.open(place) as ledger:
        taken(ledger)
    emptied(server.url)
    options = ["-q", "-h", str(server.folder), "-U", server.user, "-f", str(dump), "postgres"]
    subprocess.run([server.binaries / "psql", *options], check=True, stdout=subprocess.DEVNULL)
    refused(place, None, "put back from a copy")
    with Ledger.open(place) as ledger:
        ledger.advance([(CASE, 20)], "restored")
        assert taken(ledger).first == 20
        assert ledger.verify() == []


def test_a_ledger_begins_as_a_backup_and_waits_for_a_person(where, tmp_path):
    with Ledger.open(where) as ledger:
        held = taken(ledger)
        ledger.confirm(held, 4)
        (tmp_path / "b.ledger").write_bytes(ledger.backup())
        taken(ledger)
        old = list(ledger.entries())
    if not where.startswith("postgres"):
        where = str(tmp_path / "again.ledger")
    else:
        emptied(where)
    Ledger.create(where, backup=tmp_path / "b.ledger")
    with Ledger.open(where) as ledger:
        assert list(ledger.entries()) == old[:2]
        assert ledger.verify() == []
    with Ledger.open(where) as ledger:
        with pytest.raises(InputError, match="ledger-restored"):
            taken(ledger)
        ledger.advance([(CASE, 20)], "the old disk is gone")
        assert taken(ledger).first == 20
        assert ledger.verify() == []


def test_a_server_has_a_witness_on_each_machine(server, tmp_path):
    place = emptied(server.url)
    one, two = tmp_path / "one.json", tmp_path / "two.json"
    Ledger.create(place, witness=one)
    with Ledger.open(place, witness=two) as ledger:
        with pytest.raises(InputError, match=r"two\.json is not there"):
            taken(ledger)
        ledger.advance([], "a second machine")
        taken(ledger)
    with Ledger.open(place, witness=one) as ledger:
        taken(ledger)
    told = [json.loads(path.read_text()) for path in (one, two)]
    assert [t["ledger"]["seq"] for t in told] == [3, 2]
    assert [t["newest"][0]["last"] for t in told] == [19, 9]


def test_a_witness_is_of_one_ledger(place, tmp_path):
    where, witness = place
    other = tmp_path / "other.ledger"
    Ledger.create(other)
    refused(other, witness, "of another ledger")
    with Ledger.open(other, witness=witness) as ledger, pytest.raises(InputError, match="witness"):
        ledger.advance([], "take it")
    with Ledger.open(where, witness=witness) as ledger:
        assert taken(ledger).first == 0
    witness.write_text('{"ledger": 7}')
    with Ledger.open(where, witness=witness) as ledger, pytest.raises(InputError) as error:
        taken(ledger)
    assert error.value.diagnostics[0].code == "no-witness"


def test_a_manifest_is_a_witness_to_verify_by_and_is_not_written(place, tmp_path):
    where, _ = place
    with Ledger.open(where) as ledger:
        taken(ledger)
        head = ledger.head()
        line = {"ledger": {"id": ledger.ledger_id, "seq": head.seq, "hash": head.hash}, "rows": 3}
        manifest = tmp_path / "out.manifest"
        manifest.write_text(json.dumps(line) + "\n" + '{"part": 1}\n')
        assert ledger.denied_by(manifest) == ""
        taken(ledger)
        assert ledger.denied_by(manifest) == ""
        for wrong, said in (({"seq": 9}, "knows of 9"), ({"hash": "0"}, "entry 1"),
                            ({"id": "x"}, "another ledger")):  # fmt: skip
            manifest.write_text(json.dumps({"ledger": line["ledger"] | wrong}))
            assert said in ledger.denied_by(manifest)
    before = manifest.read_bytes()
    with Ledger.open(where, witness=manifest) as ledger, pytest.raises(InputError):
        taken(ledger)
    assert manifest.read_bytes() == before


def test_numbers_are_given_only_when_the_witness_knows(place, monkeypatch):
    """A witness that cannot be written keeps numbers back; asked again, they come."""
    from rasterc.ledger import witness as witnesses

    where, witness = place
    request = uuid.uuid4()

    def full(path, data):
        raise InputError.one("cannot-write", f"cannot write {path}: no space", help="make room")

    with Ledger.open(where, witness=witness) as ledger:
        with monkeypatch.context() as here:
            here.setattr(witnesses, "rewrite_file", full)
            with pytest.raises(InputError, match="no space"):
                ledger.take(CASE, 10, "job", request)
        assert ledger.take(CASE, 10, "job", request).first == 0
        assert json.loads(witness.read_text())["ledger"]["seq"] == 1
