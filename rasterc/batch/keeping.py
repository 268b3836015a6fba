"""Parts kept in a folder beside the output, so that a job that was stopped goes on.

A part is trusted when the files that its report names are there, with the hashes that it tells.
"""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import msgspec

from rasterc.batch.parts import Done, PartReport
from rasterc.diagnostics import InputError
from rasterc.files import is_there, make_folder
from rasterc.files.working import filled, keep_file, kept_file, sweep

ORDER = "job.json"


class Folder:
    """A folder of parts of one job.

    Attributes:
        path: where it is.
        suffix: what the names of parts end in.
    """

    __slots__ = ("path", "suffix")

    def __init__(self, path: Path, suffix: str) -> None:
        self.path, self.suffix = path, suffix

    def begin(self, went_in: bytes) -> None:
        """Make it, or go on with it.

        Raises:
            InputError: it is of another job, holds anything else, or cannot be made.
        """
        order = self.path / ORDER
        if not is_there(order):
            self._refuse_filled()
            make_folder(self.path)
            keep_file(order, went_in)
        elif kept_file(order) != went_in:
            said = f"{self.path} holds parts of another job"
            help = f"delete the folder, or give --out another name; {ORDER} in it says of which"
            raise InputError.one("other-job", said, help=help)

    def _refuse_filled(self) -> None:
        """Parts among other files, or those of a job that is done, could not be told apart."""
        if filled(self.path):
            said = f"{self.path} is there, and is no job that was stopped"
            help = "delete the folder, or give --out another name"
            raise InputError.one("other-job", said, help=help)

    def file(self, number: int, name: str) -> Path:
        """A file of a part."""
        return self.path / f"part-{number:06}{self.suffix}{name}"

    def hashes(self, number: int) -> Path:
        """The hashes of a part's codes."""
        return self.path / f"part-{number:06}.hashes"

    def keep_hashes(self, number: int, data: bytes) -> Path:
        """Keep hashes of codes; where they are kept."""
        keep_file(self.hashes(number), data)
        return self.hashes(number)

    def _report(self, number: int) -> Path:
        return self.path / f"part-{number:06}.json"

    def keep(self, done: Done) -> None:
        """Keep a part; its report comes last."""
        number = done.report.number
        for name, data in done.files.items():
            keep_file(self.file(number, name), data)
        if done.hashes:
            keep_file(self.hashes(number), done.hashes)
        keep_file(self._report(number), msgspec.json.encode(done.report))

    def kept(self, number: int, hashed: bool) -> PartReport | None:
        """The report of a part that is there, whole."""
        if not is_there(self._report(number)):
            return None
        try:
            report = msgspec.json.decode(kept_file(self._report(number)), type=PartReport)
        except msgspec.DecodeError:
            return None
        whole = all(self._is_whole(number, name, report) for name in report.files)
        missing = hashed and report.rows and not is_there(self.hashes(number))
        return report if whole and not missing else None

    def _is_whole(self, number: int, name: str, report: PartReport) -> bool:
        path, wanted = self.file(number, name), report.files[name]
        return is_there(path) and sha256(kept_file(path)).hexdigest() == wanted.sha256

    def read(self, number: int, name: str) -> bytes:
        """A file of a part."""
        return kept_file(self.file(number, name))

    def sweep(self, *, parts: bool) -> None:
        """Delete what is not needed any more: all, or all but the parts themselves."""
        sweep(self.path, "part-*.hashes")
        sweep(self.path, "part-*.json")
        sweep(self.path, ORDER)
        if parts:
            sweep(self.path, "part-*")
