"""Finding fonts by the names messages give them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from rasterc.diagnostics import Diagnostic, InputError, Span, did_you_mean
from rasterc.files import entries, is_folder, is_there, real_path
from rasterc.fonts.load import FONT_SUFFIXES, font_suffix, load_font
from rasterc.fonts.model import Font
from rasterc.resources import resource_dir

if TYPE_CHECKING:
    pass


@dataclass(slots=True)
class FontBook:
    """The fonts a message can use; each file is read once for the life of the book.

    A name such as ``upright-7`` is the file ``upright-7.bdf`` in the folder ``fonts`` beside the
    message, else in one of ``folders``, else among the fonts that came with rasterc. A name with
    the suffix of a font file is a path below the message's folder, else below one of ``folders``.

    Attributes:
        message_folder: where the message file lies; None for a message without a file.
        folders: more folders, searched in order.
    """

    message_folder: Path | None = None
    folders: tuple[Path, ...] = ()
    _read: dict[Path, Font] = field(default_factory=dict, repr=False)

    @classmethod
    def beside(cls, message_folder: Path | None, folders: Sequence[Path] = ()) -> FontBook:
        """A book for a message, with the folders the user named.

        Raises:
            InputError: one of ``folders`` is not a folder.
        """
        faults = [no_folder(folder) for folder in folders if not is_folder(folder)]
        if faults:
            raise InputError(faults)
        return cls(message_folder, tuple(folders))

    def find(self, name: str, span: Span | None = None) -> Font:
        """The font of this name.

        Args:
            name: as written in the message.
            span: where it is written, for the report.

        Raises:
            InputError: there is no such font, it lies outside the folders, or cannot be used.
        """
        path = self._path(name, span)
        if path not in self._read:
            try:
                self._read[path] = load_font(path).font
            except InputError as error:
                used = Diagnostic("unusable-font", f'the font "{name}" cannot be used', span)
                raise InputError([used, *error.diagnostics]) from None
        return self._read[path]

    def find_all(self, uses: Iterable[tuple[str, Span]]) -> dict[str, Font]:
        """The fonts of several names, with the place each is written.

        Raises:
            InputError: with the faults of all names.
        """
        fonts: dict[str, Font] = {}
        faults: list[Diagnostic] = []
        for name, span in uses:
            if name not in fonts:
                try:
                    fonts[name] = self.find(name, span)
                except InputError as error:
                    faults += error.diagnostics
        if faults:
            raise InputError(faults)
        return fonts

    def names(self) -> tuple[str, ...]:
        """Every font that can be found by name, sorted."""
        found = {path.stem for folder in self._name_folders() for path in entries(folder, ".bdf")}
        return tuple(sorted(found))

    def _name_folders(self) -> list[Path]:
        """Where names are looked up, in order."""
        beside = [] if self.message_folder is None else [self.message_folder / "fonts"]
        return [*beside, *self.folders, resource_dir("fonts-demo")]

    def _path(self, name: str, span: Span | None) -> Path:
        if font_suffix(Path(name)) in FONT_SUFFIXES:
            return self._path_below(name, span)
        if not set(name) & set("/\\\0"):
            for folder in self._name_folders():
                path = folder / f"{name}.bdf"
                if is_there(path):
                    return path
        looked = ", ".join(str(folder) for folder in self._name_folders() if is_folder(folder))
        suggestion = did_you_mean(name, self.names())
        help = "; ".join(part for part in (suggestion, f"looked in {looked}") if part)
        raise InputError.one("unknown-font", f'there is no font "{name}"', span, help)

    def _path_below(self, name: str, span: Span | None) -> Path:
        """A path of the user, never outside the folders he or she named."""
        roots = ([] if self.message_folder is None else [self.message_folder]) + [*self.folders]
        inside = [root / name for root in roots if _is_below(root / name, root)]
        for path in inside:
            if is_there(path):
                return path
        where = ", ".join(str(root) for root in roots)
        if roots and not inside:
            message = f'the font "{name}" lies outside the folder of the message'
            help = "copy it into the folder of the message, or name its folder with --fonts"
            raise InputError.one("font-outside-folder", message, span, help)
        help = f"looked in {where}" if where else "name the folder it lies in with --fonts"
        raise InputError.one("unknown-font", f'there is no font file "{name}"', span, help)


def no_folder(folder: Path) -> Diagnostic:
    """The report of a folder to look for fonts in that is not there."""
    return Diagnostic("no-font-folder", f"there is no folder {folder}", help="check --fonts")


def _is_below(path: Path, root: Path) -> bool:
    """Whether the path stays in the folder, symbolic links followed."""
    try:
        return real_path(path).is_relative_to(real_path(root))
    except (OSError, ValueError):  # a NUL in the name
        return False
