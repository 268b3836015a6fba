"""What messages can print is kept, and never stale."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from rasterc.domain.progress import quiet
from rasterc.plant import folder_plant
from rasterc.search import find
from rasterc.search import index as index_module
from rasterc.search.index import Index, index_of

NOW = datetime(2027, 7, 1, tzinfo=UTC)
USES = 'use "common/words.rasterc"\nmessage a { raster 7 font upright-7 block { line: lead } }'
ROWS = (
    "message b { raster 7 font upright-7 input sku\n"
    'table goods from "goods.csv" by sku\nblock { line: goods.name } }'
)


@pytest.fixture
def messages(tmp_path: Path) -> Path:
    folder = tmp_path / "messages"
    (folder / "common").mkdir(parents=True)
    (folder / "a.rasterc").write_text(USES)
    (folder / "b.rasterc").write_text(ROWS)
    (folder / "common" / "words.rasterc").write_text('text lead = "BEST"')
    (folder / "goods.csv").write_text("sku,name\n1,RYE\n2,OAT\n")
    return folder


@pytest.fixture(autouse=True)
def kept(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.setenv("RASTERC_CACHE", str(tmp_path / "kept"))
    return tmp_path / "kept"


@pytest.fixture
def read(monkeypatch) -> list[str]:
    """The files that are read anew."""
    names: list[str] = []
    plans_of = index_module.plans_of

    def noted(path: Path):
        names.append(path.name)
        return plans_of(path)

    monkeypatch.setattr(index_module, "plans_of", noted)
    return names


def index(folder: Path) -> Index:
    return index_of(folder_plant(folder), quiet)


def found(folder: Path, text: str) -> list[str]:
    return [hit.message for hit in find(folder_plant(folder), [text], NOW, parts=False).hits]


def test_nothing_is_read_anew_when_nothing_has_changed(messages: Path, read: list[str]):
    first = index(messages)
    assert sorted(read) == ["a.rasterc", "b.rasterc", "words.rasterc"]
    read.clear()
    assert index(messages) == first
    assert read == []


@pytest.mark.parametrize(
    ("file", "before", "after", "anew", "text", "message"),
    [
        ("a.rasterc", "lead }", '"NEW" }', ["a.rasterc"], "NEW", "a"),
        ("common/words.rasterc", "BEST", "NEW", ["a.rasterc", "words.rasterc"], "NEW", "a"),
        ("goods.csv", "OAT", "NEW", ["b.rasterc"], "NEW", "b"),
    ],
)
def test_what_a_change_touches_is_read_anew(
    messages: Path, read: list[str], file, before, after, anew, text, message
):
    assert found(messages, text) == []
    read.clear()
    changed = messages / file
    changed.write_text(changed.read_text().replace(before, after))
    assert found(messages, text) == [message]
    assert sorted({*read}) == anew


def test_a_file_that_was_missing_and_comes_is_seen(messages: Path):
    words = messages / "common" / "words.rasterc"
    text = words.read_text()
    words.unlink()
    [unsure] = find(folder_plant(messages), ["BEST"], NOW).unsure
    assert unsure.file.name == "a.rasterc"
    words.write_text(text)
    assert found(messages, "BEST") == ["a"]


def test_files_come_and_go(messages: Path, read: list[str]):
    index(messages)
    read.clear()
    (messages / "c.rasterc").write_text(USES.replace("message a", "message c"))
    index(messages)
    assert read == ["c.rasterc"]
    assert found(messages, "BEST") == ["a", "c"]
    (messages / "a.rasterc").unlink()
    assert found(messages, "BEST") == ["c"]
    assert len(index(messages).files) == 3


def test_parts_that_no_line_has_any_more_are_dropped(messages: Path):
    for number in range(5):
        (messages / "a.rasterc").write_text(USES.replace("lead }", f'"NEW {number}" }}'))
        made = index(messages)
    lines = [n for file in made.files.values() for one in file.messages for n in one.lines]
    assert {part for line in lines for one in line for part in one} == set(range(len(made.parts)))


def test_what_is_kept_may_be_damaged_or_deleted(messages: Path, kept: Path):
    first = index(messages)
    for path in kept.rglob("*.kept"):
        path.write_bytes(path.read_bytes()[:-9] + b"something")
    assert index(messages) == first
    for path in kept.rglob("*.kept"):
        path.unlink()
    assert index(messages) == first


def test_nothing_is_kept_when_that_is_off(messages: Path, kept: Path, monkeypatch):
    monkeypatch.setenv("RASTERC_CACHE", "off")
    assert found(messages, "BEST") == ["a"]
    assert not list(kept.rglob("*.kept"))


def test_another_release_reads_anew(messages: Path, read: list[str], monkeypatch):
    index(messages)
    read.clear()
    monkeypatch.setattr(index_module, "release", lambda: "another")
    index(messages)
    assert len(read) == 3
