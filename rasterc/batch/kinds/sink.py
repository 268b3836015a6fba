"""A file that is handed on piece by piece while a library writes it."""

from __future__ import annotations


class Sink:
    """Takes what is written; `taken` gives what came since. It cannot be sought in."""

    def __init__(self) -> None:
        self._pieces: list[bytes] = []
        self._length = 0
        self.closed = False

    def write(self, data: bytes) -> int:
        """Take a piece."""
        piece = bytes(data)
        self._pieces.append(piece)
        self._length += len(piece)
        return len(piece)

    def tell(self) -> int:
        """Bytes so far."""
        return self._length

    def flush(self) -> None:
        """Nothing is kept back."""

    def close(self) -> None:
        """The end."""
        self.closed = True

    def seekable(self) -> bool:
        """Whether it can be sought in."""
        return False

    def writable(self) -> bool:
        """Whether it can be written."""
        return True

    def readable(self) -> bool:
        """Whether it can be read."""
        return False

    def taken(self) -> bytes:
        """What was written since the last time."""
        data = b"".join(self._pieces)
        self._pieces.clear()
        return data
