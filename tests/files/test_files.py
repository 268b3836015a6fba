"""Files are read within bounds and written whole; what they were besides their contents stays."""

import os
import socket
import stat
import threading
from pathlib import Path

import pytest

from rasterc import files
from rasterc.diagnostics import InputError
from rasterc.files import disk, finding

ROOT = hasattr(os, "geteuid") and os.geteuid() == 0


def code_of(action, *arguments):
    with pytest.raises(InputError) as caught:
        action(*arguments)
    [fault] = caught.value.diagnostics
    assert fault.message
    assert fault.help
    return fault.code


def odd_things(folder):
    """Everything a path can lead to that is no regular file, and names no file can have."""
    os.mkfifo(folder / "pipe")
    (folder / "dir").mkdir()
    (folder / "loop").symlink_to(folder / "loop")
    listening = socket.socket(socket.AF_UNIX)
    listening.bind(str(folder / "socket"))
    listening.close()
    names = ("pipe", "dir", "socket", "loop", "n" * 300, "a\0b", "a\ud800b")
    return [*(f"{folder}/{name}" for name in names), "/dev/zero", ""]


def test_only_regular_files_are_read_and_nothing_waits(tmp_path):
    for path in odd_things(tmp_path):
        assert code_of(files.read_file, path, 10) in ("not-a-file", "cannot-read"), path
        assert not files.is_file(path)
    assert code_of(files.read_file, tmp_path / "none", 10) == "cannot-read"


def test_no_more_than_the_limit_is_read(tmp_path):
    path = tmp_path / "a"
    path.write_bytes(bytes(2049))
    with pytest.raises(InputError, match="larger than 2 KiB"):
        files.read_file(path, 2048)
    assert len(files.read_file(path, 2049)) == 2049


def test_text_that_is_no_utf_8_is_told_with_its_line(tmp_path):
    (tmp_path / "a").write_bytes(b"\n\nx\xff")
    with pytest.raises(InputError, match="line 3"):
        files.read_text(tmp_path / "a", 100)


def test_a_new_file_has_the_mode_of_new_files(tmp_path):
    (tmp_path / "plain").touch()
    files.write_file(tmp_path / "new", b"x")
    assert (tmp_path / "new").stat().st_mode == (tmp_path / "plain").stat().st_mode
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parametrize("mode", [0o600, 0o644, 0o664, 0o755, 0o640])
def test_mode_and_name_stay(tmp_path, mode):
    path = tmp_path / "a"
    path.write_bytes(b"old and longer")
    path.chmod(mode)
    files.write_file(path, b"new")
    assert (path.read_bytes(), stat.S_IMODE(path.stat().st_mode)) == (b"new", mode)
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


def test_links_stay(tmp_path):
    path, link, name = (tmp_path / name for name in ("a", "link", "name"))
    path.write_bytes(b"old and longer")
    link.symlink_to(path)
    os.link(path, name)
    before = path.stat().st_ino
    files.write_file(link, b"new")
    assert link.is_symlink()
    assert path.read_bytes() == name.read_bytes() == b"new"
    assert path.stat().st_ino == name.stat().st_ino == before
    assert len(list(tmp_path.iterdir())) == 3


def test_a_link_to_nothing_gets_its_file(tmp_path):
    (tmp_path / "link").symlink_to(tmp_path / "a")
    files.write_file(tmp_path / "link", b"new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "a").read_bytes() == b"new"


@pytest.mark.skipif(not ROOT, reason="only root can give files away")
def test_the_owner_stays(tmp_path):
    path = tmp_path / "a"
    path.write_bytes(b"old")
    os.chown(path, 12345, 23456)
    files.write_file(path, b"new")
    assert (path.stat().st_uid, path.stat().st_gid) == (12345, 23456)


def test_an_owner_that_cannot_be_kept_means_writing_in_place(tmp_path, monkeypatch):
    def refuse(*_):
        raise PermissionError(1, "no")

    path = tmp_path / "a"
    path.write_bytes(b"old and longer")
    before = path.stat().st_ino
    monkeypatch.setattr(os, "chown", refuse)
    files.write_file(path, b"new")
    assert (path.read_bytes(), path.stat().st_ino) == (b"new", before)
    assert len(list(tmp_path.iterdir())) == 1


def test_attributes_stay(tmp_path):
    path = tmp_path / "a"
    path.write_bytes(b"old")
    try:
        os.setxattr(path, "user.note", b"mine")
    except (OSError, AttributeError):
        pytest.skip("this file system has no attributes")
    files.write_file(path, b"new")
    assert (path.read_bytes(), os.getxattr(path, "user.note")) == (b"new", b"mine")


def test_a_disk_that_is_full_leaves_the_file_as_it_was(tmp_path, monkeypatch):
    path, name = tmp_path / "a", tmp_path / "b"
    path.write_bytes(b"old")

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    for target in (path, tmp_path / "new"):
        assert code_of(files.write_file, target, b"new") == "cannot-write"
    os.link(path, name)
    assert code_of(files.write_file, path, b"new") == "cannot-write"
    assert path.read_bytes() == b"old"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a", "b"]


def test_a_file_that_breaks_off_in_place_is_whole_in_its_copy(tmp_path, monkeypatch):
    path = tmp_path / "a"
    path.write_bytes(b"old")
    os.link(path, tmp_path / "b")
    calls = []

    def breaks(handle):
        calls.append(handle)
        if len(calls) > 1:
            raise OSError(5, "Input/output error")

    monkeypatch.setattr(os, "fsync", breaks)
    with pytest.raises(InputError, match="whole in") as caught:
        files.write_file(path, b"new")
    [copy] = [p for p in tmp_path.iterdir() if p.name.endswith(".tmp")]
    assert str(copy) in caught.value.diagnostics[0].message
    assert copy.read_bytes() == b"new"


def test_what_is_write_protected_or_no_file_is_refused(tmp_path):
    (tmp_path / "kept").write_bytes(b"old")
    (tmp_path / "kept").chmod(0o444)
    odd = [path for path in odd_things(tmp_path) if path != "/dev/zero"]
    for path in (*odd, tmp_path / "kept", tmp_path / "no" / "folder", "/dev/full"):
        assert code_of(files.write_file, path, b"new") == "cannot-write", path
    assert (tmp_path / "kept").read_bytes() == b"old"
    assert stat.S_ISFIFO((tmp_path / "pipe").stat().st_mode)


def test_devices_and_pipes_are_written_into(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    read = []
    reader = threading.Thread(target=lambda: read.append((tmp_path / "pipe").read_bytes()))
    reader.start()
    data = bytes(200_000)  # more than a pipe holds
    while True:
        try:
            files.write_file(tmp_path / "pipe", data)
            break
        except InputError as error:  # the reader has not come yet
            assert "nobody reads" in str(error)
    reader.join()
    assert read == [data]
    files.write_file("/dev/null", data)
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)


def test_what_a_command_has_read_is_not_written_by_any_path(tmp_path):
    path, link, name = (tmp_path / name for name in ("a", "link", "name"))
    path.write_bytes(b"old")
    link.symlink_to(path)
    os.link(path, name)
    for target in (path, link, name, tmp_path / ".." / tmp_path.name / "a"):
        with files.command():
            files.read_file(path, 100)
            assert code_of(files.write_file, target, b"new") == "would-overwrite"
            assert code_of(files.check_outputs, [target]) == "would-overwrite"
            files.rewrite_file(path, b"old")
        with files.command():
            files.check_outputs([target])
            assert code_of(files.read_file, path, 100) == "would-overwrite"
            assert code_of(files.write_file, target, b"new") == "would-overwrite"
    assert path.read_bytes() == b"old"
    files.read_file(path, 100)  # outside of a command nothing is remembered
    files.write_file(path, b"new")


def test_nothing_is_written_twice_by_any_path(tmp_path):
    path, link, name = (tmp_path / name for name in ("a", "link", "name"))
    link.symlink_to(path)
    for target in (path, link, tmp_path / ".." / tmp_path.name / "a"):
        with files.command():
            assert code_of(files.check_outputs, [path, target, None]) == "written-twice"
            files.write_file(target, b"new")
            assert code_of(files.write_file, path, b"newer") == "written-twice"
            assert code_of(files.read_file, path, 100) == "would-overwrite"
    os.link(path, name)
    with files.command():
        assert code_of(files.check_outputs, [path, name]) == "written-twice"
        files.check_outputs(["/dev/null", "/dev/null"])
    assert path.read_bytes() == b"new"


def test_a_claimed_file_is_neither_read_nor_written_in_another_way(tmp_path):
    path = tmp_path / "a"
    with files.command():
        assert not files.claim_file(path)
        files.write_file(path, b"new")
    with files.command():
        assert files.claim_file(path)
        assert code_of(files.write_file, path, b"x") == "would-overwrite"
    with files.command():
        files.check_outputs([path])
        assert code_of(files.claim_file, path) == "written-twice"
    for odd in odd_things(tmp_path):
        assert code_of(files.claim_file, odd) == "cannot-write"


def test_a_command_inside_another_belongs_to_it(tmp_path):
    (tmp_path / "a").write_bytes(b"old")
    with files.command():
        with files.command():
            files.read_file(tmp_path / "a", 10)
        assert code_of(files.write_file, tmp_path / "a", b"x") == "would-overwrite"


def test_standard_output_may_be_a_file_too(tmp_path, monkeypatch):
    with (tmp_path / "out").open("w") as stream:
        monkeypatch.setattr("sys.stdout", stream)
        stream.write("text first, ")
        files.write_file(tmp_path / "out", b"then bytes, ")
        files.write_file("-", b"and more")
    assert (tmp_path / "out").read_text() == "text first, then bytes, and more"


def test_files_below_a_folder_are_found_in_order(tmp_path):
    (tmp_path / "b").mkdir()
    (tmp_path / "x.r").mkdir()
    for name in ("b/2.r", "a.r", "b/1.r", "b/n.txt", "x.r/c.r"):
        (tmp_path / name).touch()
    os.mkfifo(tmp_path / "b" / "pipe.r")
    found = [str(p.relative_to(tmp_path)) for p in files.find_files(tmp_path, ".r")]
    assert found == ["a.r", "b/1.r", "b/2.r", "b/pipe.r", "x.r/c.r"]


def test_a_folder_of_more_files_than_can_be_meant_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(finding, "MAX_FOUND", 3)
    for number in range(4):
        (tmp_path / f"{number}.r").touch()
    assert code_of(files.find_files, tmp_path, ".r") == "too-large"


@pytest.mark.skipif(ROOT, reason="root may list every folder")
def test_a_folder_that_cannot_be_listed_is_told(tmp_path):
    (tmp_path / "b").mkdir(0)
    assert code_of(files.find_files, tmp_path, ".r") == "cannot-read"


def test_a_copy_has_the_rights_of_the_file_at_once(tmp_path):
    path = disk._copy(tmp_path, 0o600, b"secret")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
