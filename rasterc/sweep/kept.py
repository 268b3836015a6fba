"""Cases that were flown are kept in the user's cache, so that a study that was stopped goes on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from typing import Protocol

import msgspec
import numpy as np

from rasterc.files.cache import FLIGHTS, Cache, user_cache
from rasterc.head.compiled import flown_by
from rasterc.sweep.model import Band, Case, Job


class Store(Protocol):
    """Where results of a job's cases are kept."""

    def known(self, cases: Iterable[Case], /) -> dict[Case, Band]:
        """The results there are of these cases."""

    def add(self, found: Iterable[tuple[Case, Band]], /) -> None:
        """Keep results."""


@dataclass(frozen=True, slots=True)
class KeptCases:
    """The user's cache, for the cases of one job."""

    cache: Cache
    job_key: str

    def known(self, cases: Iterable[Case]) -> dict[Case, Band]:
        """See `Store`."""
        found = {case: self.cache.get(self._key(case)) for case in cases}
        return {
            case: msgspec.json.decode(data, type=Band)
            for case, data in found.items()
            if data is not None
        }

    def add(self, found: Iterable[tuple[Case, Band]]) -> None:
        """See `Store`."""
        for case, band in found:
            self.cache.put(self._key(case), "flight of a study", msgspec.json.encode(band))

    def _key(self, case: Case) -> str:
        on = (self.job_key, flown_by(), np.__version__)
        return sha256(msgspec.json.encode((on, case))).hexdigest()


def kept_cases(job: Job) -> KeptCases | None:
    """The user's cache for a job's cases; None where nothing is to be kept."""
    cache = user_cache(FLIGHTS)
    return KeptCases(cache, job.key()) if cache else None
