"""Verdicts that are kept: a change of anything they depend on is seen, and only that."""

import dataclasses
import shutil
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from msgspec import structs

from rasterc.files.cache import Cache
from rasterc.inspection import Accept, Asked, Held, Inspector, Task
from rasterc.inspection import kept as kept_module
from rasterc.inspection.kept import Memory
from rasterc.profile.model import RuleSet

SHARED = Path(__file__).parents[2] / "shared"
FONTS = Path(__file__).parents[2] / "fonts-demo"
WHEN, NOW = datetime(2027, 11, 25, 14, 5), datetime(2027, 11, 26, tzinfo=UTC)
MESSAGE = """use "common/letters.rasterc"
message m {
  raster 7
  font own
  clock packed in "Europe/Dublin"
  input lot default "A"
  block { line: "LOT " lot packed(dd/MM/yy) }
  block { picture "mark.pbm" }
}
"""
LETTERS = "counter case from 1 to 9\n"


@pytest.fixture
def plant(tmp_path, monkeypatch):
    """A folder with a message and all it uses."""
    (tmp_path / "common").mkdir()
    (tmp_path / "fonts").mkdir()
    (tmp_path / "m.rasterc").write_text(MESSAGE)
    (tmp_path / "common" / "letters.rasterc").write_text(LETTERS)
    (tmp_path / "mark.pbm").write_text("P1\n2 2\n1 0\n0 1\n")
    (tmp_path / "p.toml").write_bytes((SHARED / "profiles" / "bottle-16.toml").read_bytes())
    (tmp_path / "fonts" / "own.bdf").write_bytes((FONTS / "upright-7.bdf").read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


TASK = Task("m.rasterc", Held(WHEN, profile="p.toml", line="one"))


def inspected(plant, *tasks):
    """What comes of tasks, with a cache in the plant's folder."""
    memory = Memory(Cache(plant / "kept"))
    found = Inspector(NOW, memory).inspect(tasks)
    return [verdict for looked in found for verdict in looked.verdicts]


def without_times(verdict):
    return structs.replace(verdict, cached=False, looked_at=None)


def test_what_is_kept_is_what_was_found(plant):
    [first] = inspected(plant, TASK)
    [second] = inspected(plant, TASK)
    assert (first.cached, second.cached) == (False, True)
    assert second.looked_at == NOW
    assert without_times(first) == without_times(second)
    assert first.findings[0].lines() == second.findings[0].lines()
    assert first.worst is not None
    assert first.first_failing == date(2027, 11, 25)


def edited(name, old, new):
    def change(plant):
        text = (plant / name).read_text()
        assert old in text
        (plant / name).write_text(text.replace(old, new))

    return change


def relinked(plant):
    """The used file is reached by a link, which leads to another one then."""
    (plant / "common").rename(plant / "other")
    shutil.copytree(plant / "other", plant / "third")
    (plant / "third" / "letters.rasterc").write_text("counter case from 1 to 8\n")
    (plant / "common").symlink_to("third")


FILES = {
    "message": edited("m.rasterc", "LOT ", "L "),
    "use": edited("common/letters.rasterc", "9", "x"),
    "gone": lambda plant: (plant / "common" / "letters.rasterc").unlink(),
    "link": relinked,
    "font": edited("fonts/own.bdf", "STARTCHAR", "STARTCHUR"),
    "picture": edited("mark.pbm", "1 0", "1 1"),
    "profile": edited("p.toml", "upside_down", "upside_dawn")
    if "upside_down" in (SHARED / "profiles" / "bottle-16.toml").read_text()
    else edited("p.toml", "speeds_m_s", "speads_m_s"),
}


@pytest.mark.parametrize("what", FILES)
def test_a_changed_file_is_looked_at_anew(plant, what):
    inspected(plant, TASK)
    FILES[what](plant)
    [changed] = inspected(plant, TASK)
    assert not changed.cached
    [alone] = [v for one in Inspector(NOW).inspect([TASK]) for v in one.verdicts]
    assert without_times(changed) == without_times(alone)


PRODUCTS = """message m {
  raster 7
  font upright-7
  input sku default "1"
  table products from "products.csv" by sku
  block { line: "LOT " products.name }
}
"""


@pytest.mark.parametrize("by_link", [False, True])
def test_a_changed_product_table_is_looked_at_anew(plant, by_link):
    table = plant / "products.csv"
    if by_link:
        table.symlink_to("other.csv")
    table.write_text("sku,name\n1,JAM\n2,TEA\n")
    (plant / "m.rasterc").write_text(PRODUCTS)
    [first] = inspected(plant, TASK)
    assert first.lines == ("LOT JAM",)
    assert inspected(plant, TASK)[0].cached
    table.write_text("sku,name\n1,JAR\n2,TEA\n")
    [second] = inspected(plant, TASK)
    assert (second.cached, second.lines) == (False, ("LOT JAR",))
    table.write_text("sku,name\n1,JAR\n2\n")
    assert inspected(plant, TASK)[0].broken
    assert inspected(plant, TASK)[0].cached


def test_a_font_beside_the_message_takes_the_place_of_the_one_named_so(plant):
    (plant / "m.rasterc").write_text(MESSAGE.replace("font own", "font upright-7"))
    inspected(plant, TASK)
    (plant / "fonts" / "upright-7.bdf").write_bytes((FONTS / "upright-5.bdf").read_bytes())
    [changed] = inspected(plant, TASK)
    assert not changed.cached


def held(**changed):
    return structs.replace(TASK, held=structs.replace(TASK.held, **changed))


def asked(**changed):
    return structs.replace(TASK, asked=structs.replace(TASK.asked, **changed))


ACCEPTED = Accept("unused-declaration", "known", 0)
OTHERS = {
    "moment": held(when=datetime(2027, 11, 26, 14, 5)),
    "setting": held(given=(("lot", "B"),)),
    "line": held(line="two"),
    "no profile": held(profile=None),
    "text of a profile": held(profile_text="name = 1"),
    "speeds": held(speeds_m_s=(0.2,)),
    "rules": held(rules=(RuleSet.EU_FOOD,)),
    "a silence": held(accepts=(ACCEPTED,)),
    "settings it must take": held(must_take=("lut",)),
    "no message": held(may_be_empty=True),
    "years": asked(years=1),
    "one message": asked(message="m"),
    "fonts": asked(fonts=(str(FONTS),)),
}


@pytest.mark.parametrize("what", OTHERS)
def test_what_is_asked_otherwise_is_looked_at_anew(plant, what):
    inspected(plant, TASK)
    [changed] = inspected(plant, OTHERS[what])
    assert not changed.cached
    assert all(one.cached for one in inspected(plant, OTHERS[what], TASK))


def test_every_part_of_a_task_is_tried():
    """A new field of a task has to come into the table above, and so into the key."""
    fields = {"held": Held, "asked": Asked}
    tried = {
        name
        for other in OTHERS.values()
        for part in fields
        for name in fields[part].__struct_fields__
        if getattr(getattr(other, part), name) != getattr(getattr(TASK, part), name)
    }
    known = {name for one in fields.values() for name in one.__struct_fields__}
    assert known == tried


def test_another_reason_of_a_silence_is_said(plant):
    """A silence that silences something: the reason that is shown is the one of today."""
    [loud] = inspected(plant, TASK)
    rule = loud.findings[0].rule
    for because in ("first", "second"):
        [quiet] = inspected(plant, held(accepts=(Accept(rule, because, 3),)))
        assert {(one.because, one.silence) for one in quiet.silenced} == {(because, 3)}
        assert rule not in {one.rule for one in quiet.findings}


def test_another_release_looks_anew(plant, monkeypatch):
    inspected(plant, TASK)
    monkeypatch.setattr(kept_module, "release", lambda: "another")
    assert not inspected(plant, TASK)[0].cached


def test_the_cache_may_be_deleted_or_damaged(plant):
    [first] = inspected(plant, TASK)
    for damage in (lambda path: path.write_bytes(path.read_bytes()[:-1]), Path.unlink):
        [entry] = (plant / "kept").rglob("*.kept")
        damage(entry)
        [again] = inspected(plant, TASK)
        assert not again.cached
        assert without_times(again) == without_times(first)


def test_faults_are_kept_too(plant):
    """What cannot be read is told again, at the same places."""
    (plant / "m.rasterc").write_text("message m { raster 99 }\n")
    [first] = inspected(plant, TASK)
    [second] = inspected(plant, TASK)
    assert first.broken
    assert second.cached
    assert [f.lines() for f in first.faults] == [f.lines() for f in second.faults]
    edited("m.rasterc", "99", "98")(plant)
    assert not inspected(plant, TASK)[0].cached


def test_two_texts_of_one_name_keep_their_places(plant):
    """A used file is called as it is written, which may be what the message file is called."""
    (plant / "sub").mkdir()
    (plant / "sub" / "m.rasterc").write_text("counter case from 1 to 9\ncounter case from 2 to 9\n")
    (plant / "m.rasterc").write_text('use "sub/m.rasterc"\n\n\nmessage m { raster 99 }\n')
    task = structs.replace(TASK, file="m.rasterc")
    [first] = inspected(plant, task)
    [second] = inspected(plant, task)
    assert len(first.faults) > 1
    assert [f.lines() for f in first.faults] == [f.lines() for f in second.faults]


def test_nothing_is_kept_of_standard_input(plant, monkeypatch):
    import io
    import sys

    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(MESSAGE.encode()), "utf-8"))
    inspected(plant, structs.replace(TASK, file="-"))
    assert not (plant / "kept").exists()


def test_many_processes_find_what_one_finds(plant):
    for number in range(4):
        text = MESSAGE.replace("message m", f"message m{number}")
        (plant / f"m{number}.rasterc").write_text(text)
    tasks = [
        Task(f"m{number}.rasterc", Held(WHEN, profile="p.toml", line=line))
        for number in range(4)
        for line in ("one", "two")
    ]
    alone = Inspector(NOW, workers=1).inspect(tasks)
    assert Inspector(NOW, workers=2).inspect(tasks) == alone
    assert [one.line for one in alone] == ["one", "two"] * 4
    assert dataclasses.is_dataclass(alone[0].verdicts[0].coverage)
