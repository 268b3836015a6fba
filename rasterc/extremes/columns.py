"""Many texts of one field, told apart once and weighed together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)  # no slots: what is worked out is kept in the instance
class Column:
    """The distinct texts of a field, and which of them each value has.

    Attributes:
        texts: each once.
        which: the number of the text of each value.
    """

    texts: tuple[str, ...]
    which: NDArray[np.intp]

    @classmethod
    def of(cls, texts: Sequence[str]) -> Column:
        """The column of the texts of all values."""
        known = {text: number for number, text in enumerate(dict.fromkeys(texts))}
        return cls(tuple(known), np.fromiter(map(known.__getitem__, texts), np.intp, len(texts)))

    @cached_property
    def lengths(self) -> NDArray[np.int64]:
        """Characters of each text."""
        return np.fromiter(map(len, self.texts), np.int64, len(self.texts))

    def sums(self, weight: Callable[[str], int]) -> NDArray[np.int64]:
        """The sum of the weights of the characters of each text."""
        chars, which = self._letters
        weights = np.array([weight(char) for char in chars], dtype=np.int64)
        upto = np.concatenate([[0], np.cumsum(weights[which])]) if chars else np.zeros(1, np.int64)
        ends = np.cumsum(self.lengths)
        sums: NDArray[np.int64] = upto[ends] - upto[ends - self.lengths]
        return sums

    @cached_property
    def _letters(self) -> tuple[list[str], NDArray[np.intp]]:
        """The distinct characters, and which of them stands at each place of all texts joined."""
        codes = np.frombuffer("".join(self.texts).encode("utf-32-le"), dtype="<u4")
        found = np.flatnonzero(np.bincount(codes)) if len(codes) else np.zeros(0, np.intp)
        number = np.zeros(int(found[-1]) + 1 if len(found) else 0, np.intp)
        number[found] = np.arange(len(found))
        return [chr(code) for code in found.tolist()], number[codes]
