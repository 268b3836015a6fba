"""Reading message files, with the files they use."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from pathlib import Path

from msgspec import Struct, field, structs

from rasterc.diagnostics import Diagnostic, InputError, SourceText, Span, fail_on_errors
from rasterc.files import read_text, real_path
from rasterc.source.meaning.analyse import analyse, choose
from rasterc.source.meaning.products import file_words, is_from_file
from rasterc.source.meaning.scope import Problems
from rasterc.source.message import Message
from rasterc.source.parse import MAX_SOURCE_BYTES, Parsed, limited, parse
from rasterc.source.products.sheet import Sheet
from rasterc.source.sheets import Sheets
from rasterc.source.suffix import SUFFIX as SUFFIX
from rasterc.source.tree.syntax import Declaration, TableNode, Use, declarations_in

MAX_FILES = 100
"""Files one message file may use, those they use included."""


class Read(Struct, frozen=True):
    """What came of reading a message file.

    Attributes:
        source: its text.
        folder: where the paths in it start.
        messages: its messages in order. When there are mistakes they are of use only to look for
            more: see `Message.gaps`.
        diagnostics: everything that is wrong with the text and with the files it uses, in order.
    """

    source: SourceText
    folder: str
    messages: tuple[Message, ...]
    diagnostics: tuple[Diagnostic, ...]


def read_messages_in(text: str, name: str = "message", folder: str | Path | None = None) -> Read:
    """The messages of a text and everything that is wrong with it. Never raises for the text.

    Args:
        text: the text of a message file.
        name: how reports call it.
        folder: where the paths in it start, and the folder it may use files from. Without one,
            paths start at the current folder and other files cannot be used.
    """
    root = Path(folder) if folder is not None else None
    return _read_messages(SourceText(name, text), root, root, None)


def read_messages(path: str | Path, root: str | Path | None = None) -> Read:
    """The messages of a file and everything that is wrong with it.

    Args:
        path: the message file.
        root: the folder out of which no file is used; the file's own folder when not given.

    Raises:
        InputError: the file cannot be read.
    """
    path = Path(path)
    root = Path(root) if root is not None else path.parent
    return _read_messages(read_source(path), path.parent, root, path)


def parse_messages(
    text: str, name: str = "message", folder: str | Path | None = None
) -> tuple[dict[str, Message], list[Diagnostic]]:
    """As `read_messages_in`: the messages by name, none when there is any error; diagnostics."""
    read = read_messages_in(text, name, folder)
    sound = () if read.diagnostics else read.messages
    return {message.name: message for message in sound}, list(read.diagnostics)


def load_messages(path: str | Path, root: str | Path | None = None) -> dict[str, Message]:
    """The messages of a file, by name; see `read_messages`.

    Raises:
        InputError: with everything that is wrong with the file and those it uses.
    """
    read = read_messages(path, root)
    fail_on_errors(read.diagnostics)
    return {message.name: message for message in read.messages}


def load_message(
    path: str | Path, message_name: str | None = None, root: str | Path | None = None
) -> Message:
    """The message of a name in a file, or its only one.

    Raises:
        InputError: the file has mistakes, or no message of that name, or several and no name.
    """
    return choose(load_messages(path, root), message_name, name_of(path))


def read_source(path: str | Path) -> SourceText:
    """The text of a message file, or of standard input for "-", not yet looked at.

    Raises:
        InputError: it cannot be read, is larger than 1 MiB, or is not UTF-8.
    """
    return _read(Path(path), name_of(path), None)


def name_of(path: str | Path) -> str:
    """What reports call a message file: as the user does; standard input is ``<stdin>``."""
    return "<stdin>" if str(path) == "-" else str(path)


def _read_messages(
    source: SourceText, folder: Path | None, root: Path | None, path: Path | None
) -> Read:
    parsed = parse(source)
    problems = Problems()
    used = _Used(root, problems)
    if path is not None:
        used.begin(path)
    used.take(parsed, folder)
    used.take_tables(
        [node for one in parsed.file.messages for node in declarations_in(one)], folder
    )
    for one in (*used.files, parsed):
        problems.found |= dict.fromkeys(one.diagnostics)
    messages = analyse(
        parsed, used.files, str(folder or "."), problems, not used.missing, used.sheets
    )
    diagnostics = limited(sorted(problems.found, key=partial(place_in, source)))
    if not diagnostics:
        messages = [structs.replace(message, gaps=None) for message in messages]
    return Read(source, str(folder or "."), tuple(messages), diagnostics)


def place_in(main: SourceText, diagnostic: Diagnostic) -> tuple[bool, str, int]:
    """A key that sorts diagnostics by place, those of the main file first."""
    if diagnostic.span is None:
        return True, "", 0
    source = diagnostic.span.source
    return source.name != main.name, source.name, diagnostic.span.start


class _Used(Struct):
    """The files a message file uses, directly or not, each read once."""

    root: Path | None
    problems: Problems
    files: list[Parsed] = field(default_factory=list)
    missing: bool = False  # one could not be read
    sheets: dict[Span, Sheet] = field(default_factory=dict)
    _reading: list[Path] = field(default_factory=list)  # from the main file to the present one
    _done: set[Path] = field(default_factory=set)
    _tables: Sheets = field(default_factory=Sheets)

    def __post_init__(self) -> None:
        self._tables.root = self.root

    def begin(self, path: Path) -> None:
        """Note the main file, so that using it again is seen as a circle."""
        self._reading.append(real_path(path))

    def take(self, parsed: Parsed, folder: Path | None) -> None:
        """Read every file that a parsed one uses, and those they use."""
        for use in parsed.file.uses:
            try:
                self._take_one(use, folder)
            except InputError as error:
                self.missing = True
                self.problems.found |= dict.fromkeys(error.diagnostics)
        self.take_tables(parsed.file.declarations, folder)

    def take_tables(self, nodes: Iterable[Declaration], folder: Path | None) -> None:
        """Read the files of product tables."""
        for node in nodes:
            if isinstance(node, TableNode) and is_from_file(node):
                words = file_words(node, self.problems)
                if words.path is not None:
                    sheet = self._tables.sheet(words.path, words.delimiter, folder, self.problems)
                    self.sheets |= {} if sheet is None else {node.span: sheet}

    def _take_one(self, use: Use, folder: Path | None) -> None:
        place = use.path.span
        target = self._inside(use, folder)
        if target in self._reading:
            names = [path.name for path in (*self._reading, target)]
            raise InputError.one("cycle", f"files use each other: {' -> '.join(names)}", place)
        if target in self._done:
            return
        if len(self._done) >= MAX_FILES:
            message = f"more than {MAX_FILES} files are used"
            raise InputError.one("too-large", message, place, "put declarations together")
        self._done.add(target)
        parsed = parse(_read(target, use.path.text, place))
        self._reading.append(target)
        self.take(parsed, target.parent)
        self._reading.pop()
        self.files.append(parsed)

    def _inside(self, use: Use, folder: Path | None) -> Path:
        """The file that is meant, links followed; refused when it is not inside the root."""
        text, place = use.path.text, use.path.span
        if self.root is None or folder is None:
            message = "this text has no folder, so it cannot use other files"
            raise InputError.one("bad-use", message, place, "save it as a file first")
        if not text.endswith(SUFFIX):
            message = f'only files that end in "{SUFFIX}" can be used'
            raise InputError.one("bad-use", message, place)
        if Path(text).is_absolute() or "\\" in text or ":" in text:
            help = f'write it from the folder of this file, with /: use "shared/plant{SUFFIX}"'
            raise InputError.one("bad-use", "the path is not relative", place, help)
        target = real_path(folder / text)
        if not target.is_relative_to(real_path(self.root)):
            message = f"{text} lies outside the folder of the message"
            help = "move it into that folder, or name a folder that holds both as the root"
            raise InputError.one("outside-root", message, place, help)
        return target


def _read(path: Path, name: str, place: Span | None) -> SourceText:
    """A file's text.

    Raises:
        InputError: all of `read_text`.
    """
    remedy = "split it into several files"
    text = read_text(path, MAX_SOURCE_BYTES, place=place, name=name, remedy=remedy)
    return SourceText(name, text)
