"""Four processes reserve and confirm, and are killed at random moments: then all must be whole.

    python tests/ledger/kills.py WHERE FOLDER --kills 1000 --seed 1 [--witness] [--wal]

WHERE is a new ledger, made here: a file, postgres://..., or "server" for a server of our own, which
is restarted after every 100 kills. Each process notes in a file of its own what it asks for before
it asks, and what it was given. Whoever takes its place asks again for what was not answered. What
came of it is printed as JSON.
"""

import argparse
import json
import os
import random
import signal
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

from rasterc.ledger import Ledger, Series

PROCESSES = 4
COUNTERS = ("case", "pallet")


def work(number: int, where: str, witness: Path | None, log: Path) -> None:
    """Reserve and confirm until killed."""
    dice = random.Random(f"{number} {time.monotonic_ns()}")
    file = os.open(log, os.O_WRONLY | os.O_APPEND | os.O_CREAT)

    def note(*words: object) -> None:
        os.write(file, (" ".join(map(str, words)) + "\n").encode())

    asked = unanswered(log)
    with Ledger.open(where, witness=witness) as ledger:
        while True:
            if asked is None:
                asked = (str(uuid.uuid4()), dice.choice(COUNTERS), dice.randint(1, 100))
                note("ask", *asked)
            request, counter, count = asked
            held = ledger.take(Series(counter), count, f"process {number}", request)
            note("got", request, counter, held.first, held.last)
            asked = None
            if dice.random() < 0.5:
                printed = dice.randint(1, count)
                ledger.confirm(held, printed)
                note("confirmed", request, printed)


def unanswered(log: Path) -> tuple[str, str, int] | None:
    """What a process asked for last, if it knows no answer."""
    lines = log.read_text().splitlines() if log.exists() else []
    asked = [line.split() for line in lines if line.startswith("ask")]
    got = {line.split()[1] for line in lines if line.startswith("got")}
    if not asked or asked[-1][1] in got:
        return None
    _, request, counter, count = asked[-1]
    return request, counter, int(count)


def begun(number: int, where: str, witness: Path | None, log: Path) -> int:
    """Start a process."""
    child = os.fork()
    if child:
        return child
    try:
        work(number, where, witness, log)
    except BaseException as error:
        (log.with_suffix(".failed")).write_text(f"{type(error).__name__}: {error}")
    os._exit(1)


def killed(
    where: str,
    folder: Path,
    kills: int,
    seed: int,
    witness: Path | None,
    longest_s: float,
    restart: Callable[[], None],
) -> None:
    """Kill a process at a time, and put another in its place; ``restart`` after every 100."""
    dice = random.Random(seed)
    logs = [folder / f"{number}.log" for number in range(PROCESSES)]
    children = [begun(number, where, witness, log) for number, log in enumerate(logs)]
    try:
        for count in range(1, kills + 1):
            if count % 100 == 0:
                restart()
            time.sleep(dice.uniform(0, longest_s))
            number = dice.randrange(PROCESSES)
            stop(children[number])
            children[number] = begun(number, where, witness, logs[number])
        time.sleep(0.5)  # whoever was started last may ask again what was not answered
    finally:
        for child in children:
            stop(child)


def stop(child: int) -> None:
    """Kill a process of ours, and wait until it is gone."""
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def found_out(where: str, folder: Path, witness: Path | None) -> dict[str, object]:
    """What the notes and the ledger say of one another."""
    notes = [line.split() for log in folder.glob("*.log") for line in log.read_text().splitlines()]
    asked = {words[1] for words in notes if words[0] == "ask"}
    got = {tuple(words[1:]) for words in notes if words[0] == "got"}
    confirmed: dict[str, int] = {}
    for words in notes:
        if words[0] == "confirmed":
            confirmed[words[1]] = int(words[2])
    with Ledger.open(where, witness=witness) as ledger:
        faults = [f"{one.seq}: {one.message}" for one in ledger.verify()]
        issued = [one for standing in ledger.standings() for one in standing.issued]
        head = ledger.head().seq
    held = {
        (one.range.request, one.range.series.counter, str(one.range.first), str(one.range.last))
        for one in issued
    }
    printed = {one.range.request: one.printed for one in issued}
    return {
        "entries": head,
        "reserved": len(held),
        "answered": len(got),
        "faults": faults,
        "twice": twice(got),
        "answers not in the ledger": len(got - held),
        "reserved and never asked for": len({one[0] for one in held} - asked),
        "confirmations lost": sum(printed.get(one, 0) < n for one, n in confirmed.items()),
        "unanswered, shown as open": sum(
            one.open > 0 for one in issued if one.range.request not in {g[0] for g in got}
        ),
        "failed": [path.read_text() for path in folder.glob("*.failed")],
    }


def twice(got: set[tuple[str, ...]]) -> int:
    """How often a print was given to two requests."""
    count = 0
    for counter in COUNTERS:
        spans = sorted((int(g[2]), int(g[3])) for g in got if g[1] == counter)
        count += sum(after[0] <= before[1] for before, after in pairwise(spans))
    return count


@contextmanager
def placed(where: str) -> Iterator[tuple[str, Callable[[], None]]]:
    """Where the ledger lies, and what restarts its server."""
    if where != "server":
        yield where, lambda: None
        return
    import server

    made = server.made()

    def restart() -> None:
        made.stop("immediate")
        made.start()

    try:
        yield made.url, restart
    finally:
        server.ended(made)


def main() -> None:
    """Run a trial and print what came of it."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("where")
    options.add_argument("folder", type=Path)
    options.add_argument("--kills", type=int, default=1000)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--longest", type=float, default=0.06, help="seconds between two kills")
    options.add_argument("--witness", action="store_true")
    options.add_argument("--wal", action="store_true")
    given = options.parse_args()
    witness = given.folder / "head.json" if given.witness else None
    with placed(given.where) as (where, restart):
        Ledger.create(where, wal=given.wal, witness=witness)  # imports all, before we fork
        start = time.perf_counter()
        killed(where, given.folder, given.kills, given.seed, witness, given.longest, restart)
        seconds = round(time.perf_counter() - start, 1)
        found = found_out(where, given.folder, witness)
    print(json.dumps({"kills": given.kills, "seconds": seconds, **found}, indent=1))


if __name__ == "__main__":
    main()
