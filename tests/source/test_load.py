"""Loading files: `use`, what it may reach, what a message takes from it."""

import pytest

from rasterc.diagnostics import InputError
from rasterc.source import load_message, load_messages, parse_messages
from rasterc.source.load import read_source

MESSAGE = """\
use "shared/plant.rasterc"
message m {
  raster 16
  font upright-7
  clock best = packed + 1 year
  block { line: best(yyyy) packed(M, table letters) }
}
"""
PLANT = """\
use "tables.rasterc"
clock packed in "Europe/Dublin"
clock elsewhere in "Europe/Paris"
counter unused from 1 to 9
"""
TABLES = 'table letters from 1, letters "ABC"\ntable others from 1, letters "XYZ"\n'


@pytest.fixture
def project(tmp_path):
    def write(**files):
        for name, text in files.items():
            path = tmp_path / name.replace("__", "/")
            path = path.with_name(path.name + ".rasterc")
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return tmp_path

    write(main=MESSAGE, shared__plant=PLANT, shared__tables=TABLES)
    return write


def faults_of(path, **options):
    with pytest.raises(InputError) as caught:
        load_messages(path, **options)
    return [(d.code, d.span.text if d.span else "") for d in caught.value.diagnostics]


def test_a_message_takes_what_it_reaches_from_other_files(project):
    message = load_message(project() / "main.rasterc")
    assert list(message.clocks) == ["packed", "best"]
    assert list(message.tables) == ["letters"]
    assert list(message.counters) == []
    assert message.clocks["packed"].span.source.name == "shared/plant.rasterc"
    assert message.folder == str(project())


def test_a_file_used_twice_is_no_duplicate(project):
    main = 'use "shared/tables.rasterc"\nuse "shared/plant.rasterc"\nuse "shared/plant.rasterc"\n'
    assert load_messages(project(main=main + MESSAGE) / "main.rasterc").keys() == {"m"}


def test_a_name_in_two_files_is_a_duplicate_and_both_are_named(project):
    folder = project(main=MESSAGE.replace("clock best", "clock packed = 2027-01-01\n  clock best"))
    with pytest.raises(InputError) as caught:
        load_messages(folder / "main.rasterc")
    (fault,) = caught.value.diagnostics
    assert (fault.code, fault.span.line) == ("duplicate-name", 5)
    assert "shared/plant.rasterc, line 2" in fault.help


def test_mistakes_in_used_files_are_reported_with_the_others(project):
    folder = project(
        main=MESSAGE.replace("1 year", "1 yaer"), shared__plant=PLANT.replace("1 to 9", "9 to 1")
    )
    assert faults_of(folder / "main.rasterc") == [("unknown-unit", "yaer"), ("direction", "9 to 1")]


@pytest.mark.parametrize(
    ("use", "code"),
    [
        ("nowhere.rasterc", "cannot-read"),
        ("../outside.rasterc", "outside-root"),
        ("shared/../../outside.rasterc", "outside-root"),
        ("link.rasterc", "outside-root"),
        ("loop.rasterc", "cannot-read"),
        ("shared", "bad-use"),
        ("notes.txt", "bad-use"),
        ("/etc/hosts.rasterc", "bad-use"),
        ("C:/a.rasterc", "bad-use"),
        ("main.rasterc", "cycle"),
        ("a.rasterc", "cycle"),
        ("latin.rasterc", "not-text"),
        ("large.rasterc", "too-large"),
        ("folder.rasterc", "not-a-file"),
    ],
)
def test_what_cannot_be_used(project, use, code):
    folder = project(a='use "b.rasterc"', b='use "a.rasterc"')
    outside = folder.parent / "outside.rasterc"
    outside.write_text("counter c from 1 to 9")
    (folder / "link.rasterc").symlink_to(outside)
    (folder / "loop.rasterc").symlink_to(folder / "loop.rasterc")
    (folder / "latin.rasterc").write_bytes("# é".encode("latin-1"))
    (folder / "large.rasterc").write_bytes(b"#" * (2**20 + 1))
    (folder / "folder.rasterc").mkdir()
    project(main=f'use "{use}"\n' + MESSAGE)
    assert (code,) == tuple({c for c, _ in faults_of(folder / "main.rasterc")})


def test_a_root_above_the_message_opens_the_folders_beside_it(project):
    folder = project(codes__main=MESSAGE.replace("shared/", "../shared/"))
    path = folder / "codes" / "main.rasterc"
    assert faults_of(path) == [("outside-root", '"../shared/plant.rasterc"')]  # no unknown names
    assert load_messages(path, root=folder).keys() == {"m"}


def test_text_without_a_folder_uses_no_files(project):
    messages, found = parse_messages(MESSAGE)
    assert messages == {}
    assert found[0].code == "bad-use"
    messages, found = parse_messages(MESSAGE, "typed", folder=project())
    assert (list(messages), found) == (["m"], [])


def test_a_message_is_chosen_by_name(project):
    two = MESSAGE + MESSAGE.partition("\n")[2].replace("message m", "message n")
    path = project(main=two) / "main.rasterc"
    assert load_message(path, "n").name == "n"
    with pytest.raises(InputError, match="choose one of: m, n"):
        load_message(path)
    with pytest.raises(InputError, match="known: m, n"):
        load_message(path, "zzz")
    with pytest.raises(InputError, match="holds no message"):
        load_message(path.parent / "shared" / "tables.rasterc")


@pytest.mark.parametrize("name", ["missing.rasterc", ".", "missing/m.rasterc", "a\x00b.rasterc"])
def test_a_file_that_cannot_be_read_is_an_input_error(tmp_path, name):
    with pytest.raises(InputError, match="cannot"):
        read_source(tmp_path / name)
