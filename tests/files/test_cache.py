"""What is kept in the user's cache: never taken when damaged, bounded, safe beside others."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.files.cache import MOST_BYTES, Cache, user_cache

KEY, OTHER = "a" * 64, "ab" * 32


@pytest.fixture
def cache(tmp_path):
    return Cache(tmp_path / "kept")


def entry(cache, key=KEY):
    return cache.folder / key[0] / f"{key}.kept"


def test_what_is_put_is_got_and_said(cache):
    assert cache.get(KEY) is None
    assert list(cache.entries()) == []
    cache.put(KEY, "a\nflight", b"\x00\n data")
    assert cache.get(KEY) == b"\x00\n data"
    assert [one.what for one in cache.entries()] == ["a flight"]
    assert cache.get(OTHER) is None


@given(st.data())
def test_a_damaged_entry_is_never_taken(tmp_path_factory, data):
    cache = Cache(tmp_path_factory.mktemp("kept"))
    cache.put(KEY, "flight", bytes(range(40)))
    sealed = entry(cache).read_bytes()
    cut = data.draw(st.integers(0, len(sealed) - 1))
    if data.draw(st.booleans()):
        damaged = sealed[:cut] + bytes([sealed[cut] ^ data.draw(st.integers(1, 255))])
        damaged += sealed[cut + 1 :]
    else:
        damaged = data.draw(st.sampled_from([sealed[:cut], sealed + b"x", sealed[cut + 1 :]]))
    entry(cache).write_bytes(damaged)
    assert list(cache.entries()) == []
    assert cache.get(KEY) is None
    assert not entry(cache).exists()
    cache.put(KEY, "flight", b"again")
    assert cache.get(KEY) == b"again"


def test_an_entry_under_another_name_is_not_taken(cache):
    cache.put(KEY, "flight", b"data")
    entry(cache).rename(entry(cache, OTHER))
    assert cache.get(OTHER) is None


def test_the_folder_is_bounded_and_the_oldest_go(tmp_path):
    cache = Cache(tmp_path, most_bytes=16 * 1000)
    keys = [f"a{number:063x}" for number in range(12)]
    for key in keys:
        cache.put(key, "flight", bytes(150))
        cache.get(keys[0])  # in use
    files = list(tmp_path.rglob("*"))
    assert sum(path.stat().st_size for path in files if path.is_file()) <= 1000
    assert cache.get(keys[0]) is not None
    assert cache.get(keys[-1]) is not None
    assert cache.get(keys[1]) is None
    cache.put("b" * 64, "flight", bytes(1001))  # larger than its shelf
    assert cache.get("b" * 64) is None


def test_only_what_is_ours_is_deleted(cache):
    cache.put(KEY, "flight", b"data")
    (entry(cache).parent / "left.part").write_bytes(b"of a run that was killed")
    mine = entry(cache).parent / "notes.txt"
    mine.write_text("mine")
    assert cache.clear() == 2
    assert mine.read_text() == "mine"
    assert cache.clear() == 0


def test_many_may_write_and_read_at_once(tmp_path):
    cache = Cache(tmp_path, most_bytes=16 * 2000)

    def use(number):
        key = f"a{number % 7:063x}"
        cache.put(key, "flight", bytes([number % 7]) * 300)
        return number % 7, cache.get(key)

    with ThreadPoolExecutor(8) as pool:
        for number, found in pool.map(use, range(300)):
            assert found in (None, bytes([number]) * 300)
    assert not list(tmp_path.rglob("*.part"))


def test_a_folder_that_cannot_be_written_keeps_nothing(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    cache = Cache(blocked)
    cache.put(KEY, "flight", b"data")
    assert cache.get(KEY) is None
    assert cache.clear() == 0


def test_where_it_lies_and_how_it_is_switched_off(monkeypatch, tmp_path):
    monkeypatch.setenv("RASTERC_CACHE", "off")
    assert user_cache("flights") is None
    monkeypatch.setenv("RASTERC_CACHE", str(tmp_path))
    assert user_cache("flights") == Cache(tmp_path / "flights", MOST_BYTES)
    # XDG Base Directory Specification: $XDG_CACHE_HOME, on Linux
    monkeypatch.setenv("RASTERC_CACHE", "")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "xdg"))
    found = user_cache("flights")
    assert found is not None
    assert Path("rasterc") / "flights" == found.folder.relative_to(found.folder.parents[1])


def test_a_stop_leaves_no_half_entry(tmp_path, monkeypatch):
    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stopped)
    with pytest.raises(KeyboardInterrupt):
        Cache(tmp_path).put("0" * 64, "a flight", b"data")
    assert not [path for path in tmp_path.rglob("*") if path.is_file()]
