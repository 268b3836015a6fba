"""Files that are saved: nothing is lost, and what is not the text stays as it was."""

import os
import re
import stat
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.page.keeping import Changed, Keeper, Opened, digest_of, with_ends_of

ENDS = st.sampled_from(["\n", "\r\n", "\r"])
LINES = st.lists(st.sampled_from(["", "a", "b", "message m {", "é"]), max_size=8)


@given(LINES, st.lists(ENDS, min_size=9, max_size=9), st.booleans())
def test_a_text_that_was_not_changed_is_written_as_it_was(lines, ends, marked):
    old = "".join(f"{line}{end}" for line, end in zip(lines, ends, strict=False))
    old = ("\ufeff" if marked else "") + old
    shown = re.sub("\r\n|\r", "\n", old.removeprefix("\ufeff"))
    assert with_ends_of(old, shown) == old


@given(LINES, LINES, ENDS)
def test_new_lines_take_the_ends_of_the_file(before, after, end):
    old = end.join(before)
    written = with_ends_of(old, "\n".join(after))
    ends = re.findall("\r\n|\r|\n", written)
    assert re.split("\r\n|\r|\n", written) == "\n".join(after).split("\n")
    assert set(ends) <= ({end} if end in old else {"\n"})


@pytest.fixture
def keeper(tmp_path):
    return Keeper(tmp_path)


def test_a_save_keeps_mode_links_and_line_ends(keeper, tmp_path):
    path, other = tmp_path / "m.rasterc", tmp_path / "other"
    path.write_bytes(b"one\r\ntwo\r\n")
    path.chmod(0o640)
    os.link(path, other)
    opened = keeper.open("m.rasterc")
    assert opened.text == "one\ntwo\n"
    saved = keeper.save("m.rasterc", "one\n2\ntwo\n", opened.digest)
    assert path.read_bytes() == b"one\r\n2\r\ntwo\r\n" == other.read_bytes()
    assert isinstance(saved, Opened) and saved.digest == digest_of(path.read_bytes())
    assert stat.S_IMODE(path.stat().st_mode) == 0o640 and path.stat().st_nlink == 2


def test_a_file_that_changed_is_not_written(keeper, tmp_path):
    path = tmp_path / "m.rasterc"
    path.write_text("old")
    digest = keeper.open("m.rasterc").digest
    path.write_text("of another")
    refused = keeper.save("m.rasterc", "mine", digest)
    assert refused == Changed("m.rasterc", "of another", digest_of(b"of another"))
    assert path.read_text() == "of another"
    path.unlink()
    assert keeper.save("m.rasterc", "mine", digest) == Changed("m.rasterc", None, "")
    assert not path.exists()


def test_of_many_who_save_at_once_one_wins(keeper, tmp_path):
    path = tmp_path / "m.rasterc"
    path.write_text("old")
    digest = keeper.open("m.rasterc").digest
    with ThreadPoolExecutor(8) as pool:
        results = list(pool.map(lambda n: keeper.save("m.rasterc", f"text {n}", digest), range(40)))
    winners = [one for one in results if isinstance(one, Opened)]
    assert len(winners) == 1 and path.read_text() == winners[0].text


def test_a_new_file_takes_no_other_s_place(keeper, tmp_path):
    assert keeper.create("new.rasterc", "text").text == "text"
    with pytest.raises(InputError, match="already"):
        keeper.create("new.rasterc", "other")
    assert (tmp_path / "new.rasterc").read_text() == "text"
    for text in ("\ud800", "x" * (1 << 20) + "é"):
        with pytest.raises(InputError):
            keeper.create("bad.rasterc", text)
    assert not (tmp_path / "bad.rasterc").exists()
