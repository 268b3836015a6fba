"""How fast a ledger is: reservations a second, against how fast the disk writes.

    python tests/benchmarks/ledger.py [FOLDER]

The peer is a program that appends 512 bytes to a file and calls fdatasync, as often as it can, in
the same folder and by turns with the ledger. Then four processes reserve at the same time: what is
asked is the slowest one's part of a fair share. PostgreSQL keeps its data in the same folder.
"""

from __future__ import annotations

import multiprocessing
import os
import statistics
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from pathlib import Path

from rasterc.ledger import Ledger, Series

sys.path.insert(0, str(Path(__file__).parents[1] / "ledger"))
import server

ROUNDS, SECONDS, PROCESSES = 9, 0.7, 4


def rate(work: Callable[[], object], seconds: float = SECONDS) -> tuple[float, float]:
    """Calls a second, and the longest of them in ms."""
    start, count, longest = time.perf_counter(), 0, 0.0
    while (now := time.perf_counter()) - start < seconds:
        work()
        longest = max(longest, time.perf_counter() - now)
        count += 1
    return count / (time.perf_counter() - start), longest * 1e3


def synced(folder: Path) -> float:
    """Records of 512 bytes a second that fdatasync has put on the disk."""
    file = os.open(folder / "peer", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    record = os.urandom(512)

    def write() -> None:
        os.write(file, record)
        os.fdatasync(file)

    try:
        return rate(write)[0]
    finally:
        os.close(file)
        (folder / "peer").unlink()


def reserved(where: str, witness: Path | None = None) -> tuple[float, float]:
    """Reservations a second, and the longest of them in ms."""
    with Ledger.open(where, witness=witness) as ledger:
        return rate(lambda: ledger.take(Series("case"), 100, "job", uuid.uuid4()))


def together(where: str, witness: Path | None) -> list[tuple[float, float]]:
    """The same of each of four processes at the same time."""
    with multiprocessing.get_context("spawn").Pool(PROCESSES) as pool:
        pool.starmap(reserved, [(where, witness)] * PROCESSES, chunksize=1)  # all have started
        return pool.starmap(reserved, [(where, witness)] * PROCESSES, chunksize=1)


def measure(name: str, where: str, folder: Path, witness: Path | None = None) -> None:
    """A row of the table."""
    pairs = [(synced(folder), reserved(where, witness)[0]) for _ in range(ROUNDS)]
    ratio = statistics.median(mine / disk for disk, mine in pairs)
    disk, mine = (statistics.median(column) for column in zip(*pairs, strict=True))
    each = together(where, witness)
    share = min(one for one, _ in each) / (sum(one for one, _ in each) / PROCESSES)
    worst = max(longest for _, longest in each)
    print(
        f"| {name} | {mine:.0f} | {disk:.0f} | {ratio:.2f} | {sum(one for one, _ in each):.0f} "
        f"| {share:.2f} | {worst:.0f} |",
        flush=True,
    )


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if sys.argv[1:] else None) as name:
        folder = Path(name)
        print("| ledger | reservations/s | fdatasync/s | ratio | four together/s | slowest's share "
              "| longest, ms |\n| --- | --- | --- | --- | --- | --- | --- |")  # fmt: skip
        head = folder / "head.json"
        for kind, wal, witness in (("file", False, None), ("file, --wal", True, None),
                                   ("file, --wal, witness", True, head)):  # fmt: skip
            where = str(folder / f"{kind}.ledger")
            Ledger.create(where, wal=wal, witness=witness)
            measure(kind, where, folder, witness)
        made = server.made()
        try:
            Ledger.create(made.url)
            measure("PostgreSQL, a socket", made.url, folder)
        finally:
            server.ended(made)


if __name__ == "__main__":
    main()
