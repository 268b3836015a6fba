"""One page at work: what it asks for over its websocket, and what it is told unasked."""

from __future__ import annotations

import asyncio
import base64
from collections.abc import Callable
from datetime import datetime
from itertools import islice
from typing import TYPE_CHECKING, Any

import msgspec
from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.page import comparing, finding, jobs, requests
from rasterc.page.crew import SupersededError
from rasterc.page.drawn import (
    CounterControl,
    Drops,
    InputControl,
    counter_controls,
    drops_of,
    input_controls,
)
from rasterc.page.keeping import Changed, Opened
from rasterc.page.listing import entries
from rasterc.page.places import Fault, faults_of
from rasterc.page.shelf import message_of, moment, print_of_draft
from rasterc.page.states import silences_of
from rasterc.processes import WorkerEndedError

if TYPE_CHECKING:
    from rasterc.code import Code
    from rasterc.page.house import House
    from rasterc.printed import Print

_CHUNK = 60  # entries of the list that are sent at a time


class Drawn(Struct, frozen=True):
    """A draft as it prints: its messages, the drops of one, its controls, and all that is wrong."""

    messages: tuple[str, ...]
    message: str
    at: str
    zone: str
    drops: Drops | None
    faults: tuple[Fault, ...]
    counters: tuple[CounterControl, ...] = ()
    inputs: tuple[InputControl, ...] = ()
    reads_clock: bool = False
    rules: tuple[str, ...] = ()


class Refusal(Struct, frozen=True):
    """Why something asked for is not done."""

    faults: tuple[Fault, ...]


Send = Callable[[dict[str, Any]], None]


class Desk:
    """Answers one page. What takes long is done in processes of its own."""

    def __init__(self, house: House, send: Send) -> None:
        self._house = house
        self._send = send
        self._drawing = asyncio.Lock()

    def end(self) -> None:
        """The page has gone."""
        self._house.crew.leave(self)

    async def answer(self, request: requests.Asked) -> None:
        """Answer a request; whatever goes wrong is an answer too."""
        try:
            self._reply(request, "done", await self._done(request))
        except SupersededError:
            self._reply(request, "dropped", True)
        except WorkerEndedError as error:
            fault = Diagnostic("worker-ended", f"not worked out: {error}", help="ask again")
            self._reply(request, "refused", Refusal(faults_of([fault], "")))
        except InputError as error:
            name = getattr(request, "file", "")
            self._reply(request, "refused", Refusal(faults_of(error.diagnostics, name)))
        except Exception as error:  # a fault of ours is said, and the page goes on
            said = f"a fault of ours: {type(error).__name__}: {error}"
            fault = Diagnostic("fault-of-ours", said, help="please report it with the message")
            self._reply(request, "refused", Refusal(faults_of([fault], "")))

    def _reply(self, request: requests.Request, how: str, what: object) -> None:
        self._send({"id": request.id, how: msgspec.to_builtins(what)})

    async def _done(self, request: requests.Asked) -> object:
        match request:
            case requests.ListAll():
                return await self._list(request)
            case requests.Draw():
                async with self._drawing:
                    return await asyncio.to_thread(self._draw, request)
            case requests.Check():
                return await self._house.crew.quick.ask(self, jobs.check, self._job(request))
            case requests.Reading():
                return await self._house.crew.quick.ask(self, jobs.reading, self._job(request))
            case requests.Days():
                return await self._house.crew.long.ask(
                    self, jobs.days, self._job(request, request.years)
                )
            case requests.Survey():
                return await self._house.crew.surveys.ask(
                    self, jobs.survey, self._job(request, request.years)
                )
            case requests.Compare():
                old = await asyncio.to_thread(self._house.shelf.keeper.open, request.file)
                versions = comparing.Versions(self._job(request, request.years), old.text)
                return await self._house.crew.long.ask(self, comparing.compare, versions)
            case requests.Find():
                wanted = self._house.wanted(request.lines, moment(request.at))
                return await self._house.crew.long.ask(self, finding.find, wanted)
            case requests.Extremes():
                return await self._house.crew.long.ask(
                    self, jobs.extremes, self._job(request, request.years)
                )
            case _:
                return await asyncio.to_thread(self._at_once, request)

    def _at_once(self, request: requests.Asked) -> object:
        house, keeper = self._house, self._house.shelf.keeper
        match request:
            case requests.Open():
                return keeper.open(request.file)
            case requests.Save():
                return self._saved(keeper.save(request.file, request.text, request.digest))
            case requests.Create():
                made = keeper.create(request.file, request.text)
                house.enter(request.file, request.line)
                return self._saved(made)
            case requests.Export():
                return self._export(request)
            case requests.Edge():
                return self._edge(request)
            case requests.Format():
                from rasterc.source.formatting.format import format_text

                return {"text": format_text(request.text)}
            case requests.Words():
                return house.words(moment(request.at))
            case requests.Explain():
                return _explained(request.rule)
            case requests.KeepViews():
                house.memory.keep_views(request.views)
                return house.memory.now
            case requests.Looked():
                house.memory.looked(request.file, request.digest)
                return True
        raise InputError.one("bad-request", "this cannot be asked for")

    def _saved(self, result: Opened | Changed) -> object:
        if isinstance(result, Opened):
            self._house.shelf.forget()
            self._house.memory.looked(result.file, result.digest)
        return {"saved": isinstance(result, Opened), "file": result}

    async def _list(self, request: requests.ListAll) -> object:
        """Send the entries some at a time, so that the first stand there at once."""
        when = moment(request.at)
        found, many = entries(self._house.shelf, when), 0
        while some := await asyncio.to_thread(lambda: list(islice(found, _CHUNK))):
            many += len(some)
            self._reply(request, "part", some)
        return {"entries": many, "states": self._house.states.known(), "at": when.isoformat()}

    def _draw(self, draft: requests.Draw) -> Drawn:
        shelf = self._house.shelf
        loaded = shelf.draft(draft.file, draft.text)
        names = tuple(loaded.codes)
        code = message_of(loaded, draft.message)
        if code is None:
            return Drawn(names, "", draft.at, "", None, faults_of(loaded.faults, draft.file))
        try:
            printed = print_of_draft(shelf, draft, code)
            profile = shelf.profile_of(shelf.run_on(draft.file, draft.line))
            drops, faults = drops_of(printed, profile, draft.file)
        except InputError as error:
            found = faults_of(error.diagnostics, draft.file)
            return Drawn(names, code.message.name, draft.at, "", None, found)
        return _drawn(names, printed, drops, tuple(faults), draft)

    def _job(self, draft: requests.Draft, years: int = 5) -> jobs.Job:
        """The draft for a worker; raises `InputError` when it cannot be printed."""
        code, printed = self._printed(draft)
        shelf, instant = self._house.shelf, printed.resolved.instant
        run = shelf.run_on(draft.file, draft.line)
        folder = str(shelf.keeper.path(draft.file).parent)
        return jobs.Job(
            draft.file, folder, draft.text, code.message.name, instant.when or moment(draft.at),
            dict(instant.counters), dict(instant.inputs), shelf.profile_of(run), silences_of(run),
            self._house.stamp, years,
        )  # fmt: skip

    def _printed(self, draft: requests.Draft) -> tuple[Code, Print]:
        shelf = self._house.shelf
        loaded = shelf.draft(draft.file, draft.text)
        code = message_of(loaded, draft.message)
        if code is None:
            raise InputError(loaded.faults or [Diagnostic("no-message", "it holds no message")])
        return code, print_of_draft(shelf, draft, code)

    def _edge(self, draft: requests.Edge) -> str:
        from rasterc.page.days import shift_edge

        code, printed = self._printed(draft)
        start = printed.resolved.instant.when
        edge = shift_edge(code, start, draft.back) if start else None
        return edge.isoformat() if edge else ""

    def _export(self, draft: requests.Export) -> object:
        from rasterc.output.code.at_speed import geometry_at
        from rasterc.output.code.geometry import Drawing
        from rasterc.output.code.write import encode_strokes

        code, printed = self._printed(draft)
        shelf = self._house.shelf
        profile = shelf.profile_of(shelf.run_on(draft.file, draft.line))
        strokes = printed.strokes(profile)
        drawing = Drawing(geometry_at(profile, strokes), title=repr(printed)[1:-1])
        data = encode_strokes(draft.kind, strokes, drawing, printed.resolved)
        name = f"{code.message.name}.{draft.kind}"
        return {"name": name, "data": base64.b64encode(data).decode()}


def _drawn(
    names: tuple[str, ...], printed: Print, drops: Drops, faults: tuple[Fault, ...],
    draft: requests.Draw,
) -> Drawn:  # fmt: skip
    code, when = printed.code, printed.resolved.instant.when
    texts, source = dict(printed.resolved.instant.inputs), draft.file
    return Drawn(
        names, code.message.name, _wall(when), str(when.tzinfo) if when else "", drops, faults,
        counter_controls(printed, source),
        input_controls(code, texts, draft.inputs, source), bool(code.plan.clocks_read()),
    )  # fmt: skip


def _wall(when: datetime | None) -> str:
    return when.isoformat() if when else ""


def _explained(name: str) -> object:
    from rasterc.checks.registry import find_rule

    rule = find_rule(name)
    return {
        "id": rule.id, "title": rule.title, "severity": str(rule.severity),
        "rationale": rule.rationale, "source": rule.source,
        "can_be_silenced": rule.can_be_silenced,
        "trips": rule.trips.message.strip(), "passes": rule.passes.message.strip(),
    }  # fmt: skip
