"""The workbench's server: pages, the live line of each sheet, and what can be taken away. Routes only."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import secrets
from collections.abc import AsyncIterator, Callable
from datetime import datetime
from functools import partial
from importlib import resources
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs

import anyio.to_thread
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp
from starlette.websockets import WebSocket, WebSocketDisconnect

from springwright.errors import Fault, InputError, SpringwrightError
from springwright.motion.compiled import compiled
from springwright.workbench.actions import ACTIONS, BUILDING, Asked, keep_built, lay_log, wait
from springwright.workbench.audience import Reply, Visitor
from springwright.workbench.downloads import TAKEN, figure_csv
from springwright.workbench.first import BLANKS, told
from springwright.workbench.glances import glance, keep_verdicts
from springwright.workbench.guard import Guard, Once, TooLarge
from springwright.workbench.heard import Heard
from springwright.workbench.lines import Lines
from springwright.workbench.logs_brought import lay_beside
from springwright.workbench.open_sheet import OpenSheet
from springwright.workbench.render.environment import environment
from springwright.workbench.render.marks import ink_css
from springwright.workbench.sections import PARTS
from springwright.workbench.workspace import DEMOS, Desk

LOOK_AT_DISK = 1.0  # s
START = 1.0  # s after which the slow work of the first sheet begins, so that its page comes first
logger = logging.getLogger("springwright")


def build(
    desk: Desk, port: int, token: str, names: tuple[str, ...] = ("127.0.0.1", "localhost"), start: str = "/", once: Once | None = None,
    lines: Lines | None = None,
) -> ASGIApp:  # fmt: skip
    """The guarded application for a port, in a place of its own: no address in it may begin with a slash."""
    static = Path(__file__).parent / "static"
    routes = [
        Route("/", start_page),
        Route("/ready", ready_page),
        Route("/open", open_path, methods=["POST"]),
        Route("/begin", begin, methods=["POST"]),
        Route("/first", first_number),
        Route("/glance", glanced),
        Route("/carry", carry, methods=["POST"]),
        Route("/bring/{name}", bring, methods=["POST"]),
        Route("/sheet/{name}", sheet_page),
        Route("/sheet/{name}/take/{what}", take),
        Route("/sheet/{name}/log/{log}", log_brought, methods=["POST"]),
        Route("/sheet/{name}/figure/{figure}.csv", figure),
        Route("/sheet/{name}/scene/{kind}", scene),
        WebSocketRoute("/sheet/{name}/live", live),
        Route("/static/ink.css", ink_sheet),
        Mount("/static", StaticFiles(directory=static)),
    ]
    app = Starlette(
        routes=routes, lifespan=_lifespan, exception_handlers={TooLarge: _too_large, SpringwrightError: _fault}
    )
    app.state.desk = desk
    hosts = frozenset(f"{name}:{port}" for name in names) | (frozenset(names) if port == 80 else frozenset())
    return Guard(
        app,
        hosts,
        token,
        f"springwright-{port}",
        f"/{secrets.token_urlsafe(12)}",
        start,
        once,
        (Lines() if lines is None else lines).proven,
    )


@contextlib.asynccontextmanager
async def _lifespan(app: Starlette) -> AsyncIterator[None]:
    watching = asyncio.create_task(_watch_disk(app.state.desk))
    if app.state.desk.opening is not None:
        open_when_compiled(app.state.desk, app.state.desk.opening)
    for sheet in app.state.desk.sheets.values():
        sheet.slow.begin_later(START)
        sheet.begin_page()
    try:
        yield
    finally:  # however it ends
        watching.cancel()
        keep_verdicts(app.state.desk.home, app.state.desk.sheets.values())
        for sheet in app.state.desk.sheets.values():
            app.state.desk.put_away(sheet.document)
        app.state.desk.worker.close()


async def _watch_disk(desk: Desk) -> None:
    """Notice designs that something else has changed on disk."""
    while True:
        await asyncio.sleep(LOOK_AT_DISK)
        for sheet in list(desk.sheets.values()):
            changed = await anyio.to_thread.run_sync(lambda of=sheet.document: of.elsewhere_now)  # type: ignore[misc]
            if changed != sheet.document.elsewhere:
                sheet.document.elsewhere = changed
                await sheet.show()


def _too_large(_: Request, __: Exception) -> Response:
    return PlainTextResponse("Too large.\n", status_code=413)


def _fault(_: Request, fault: Exception) -> Response:
    return PlainTextResponse(f"{fault}\n", status_code=422)


def _start(desk: Desk, said: str = "", status: int = 200) -> Response:
    html = (
        environment()
        .get_template("start.html")
        .render(
            folder=desk.folder,
            said=said,
            open=[(name, one.document.path.name, one.document.name) for name, one in desk.sheets.items()],
            left=desk.left(),
            recent=[(path, when(path)) for path in desk.recent()],
            here=desk.designs_here(),
            demos=[(demo, desk.free_name(demo)) for demo in DEMOS],
            first=BLANKS,
            told=told(BLANKS).get("html", ""),
        )
    )
    return HTMLResponse(html, status_code=status)


def when(path: Path) -> str:
    """When a file was last written, as one says it: the time of today, else the day."""
    try:
        then, now = datetime.fromtimestamp(path.stat().st_mtime), datetime.now()
    except OSError:
        return ""
    if then.date() == now.date():
        return f"{then:%H:%M}"
    return f"{then.day} {then:%B}" + (f" {then.year}" if then.year != now.year else "")


async def start_page(request: Request) -> Response:
    """The empty desk: what is open, what was left, what is recent, how to begin."""
    desk: Desk = request.app.state.desk
    await anyio.to_thread.run_sync(keep_verdicts, desk.home, list(desk.sheets.values()))
    return _start(desk)


async def ready_page(request: Request) -> Response:
    """A word while the kernels are compiled, and then the design that waited for them."""
    desk: Desk = request.app.state.desk
    if desk.opening is not None:
        return HTMLResponse(environment().get_template("preparing.html").render(name=desk.opening.name))
    if desk.fault or not desk.sheets:
        return _start(desk, desk.fault, 422 if desk.fault else 200)
    return RedirectResponse(f"sheet/{list(desk.sheets)[-1]}", status_code=303)


async def glanced(request: Request) -> Response:
    """A design that may be opened, or a demo, at a glance: its side view and what was found of it."""
    desk: Desk = request.app.state.desk
    demo, path = request.query_params.get("demo", ""), Path(request.query_params.get("path", ""))
    if not compiled():  # nothing is worked out here before that
        return JSONResponse({"svg": "", "name": demo or path.stem, "said": ""})
    if demo in DEMOS:
        with resources.as_file(resources.files("springwright") / "demos" / f"{demo}.toml") as place:
            return JSONResponse(await anyio.to_thread.run_sync(glance, place, desk.home))
    if not await anyio.to_thread.run_sync(desk.may_open, path):
        return PlainTextResponse("Only designs of this folder and those opened before.\n", status_code=403)
    return JSONResponse(await anyio.to_thread.run_sync(glance, path.resolve(), desk.home))


async def open_path(request: Request) -> Response:
    """Open a design that was opened before, left by a crash, or lies in the folder."""
    desk: Desk = request.app.state.desk
    path = Path((await _form(request)).get("path", ""))
    if not await anyio.to_thread.run_sync(desk.may_open, path):
        return _start(desk, "Only designs of this folder and those opened before can be opened from here.", 403)
    return await _opened(desk, partial(desk.open, path) if compiled() else lambda: path)


async def begin(request: Request) -> Response:
    """Begin a design from a demo or the blank."""
    desk: Desk = request.app.state.desk
    form = await _form(request)
    place = partial(desk.begin, form.get("demo", ""), form.get("name", ""))
    return await _opened(desk, (lambda: desk.open(place())) if compiled() else place)


async def first_number(request: Request) -> Response:
    """What the blanks of the first number come to."""
    return JSONResponse(await anyio.to_thread.run_sync(told, dict(request.query_params)))


async def carry(request: Request) -> Response:
    """Begin a design carried over from the first number."""
    desk: Desk = request.app.state.desk
    form = await _form(request)
    place = partial(desk.carry, form.get("name", ""), form)
    return await _opened(desk, (lambda: desk.open(place())) if compiled() else place)


def open_when_compiled(desk: Desk, path: Path) -> None:
    """Open a design once the kernels are compiled, and begin its slow work then."""
    loop = asyncio.get_running_loop()

    def opened(sheet: OpenSheet) -> None:
        loop.call_soon_threadsafe(sheet.slow.begin_later, 0.0)

    desk.prepare(path, opened)


async def bring(request: Request) -> Response:
    """Take in a file brought to the page."""
    desk: Desk = request.app.state.desk
    try:
        text = (await request.body()).decode("utf-8")
        name = request.path_params["name"]
        await anyio.to_thread.run_sync(desk.takes, name, text)
        await desk.worker.check(text, desk.folder)
        sheet = await anyio.to_thread.run_sync(desk.bring, name, text)
    except UnicodeDecodeError:
        return PlainTextResponse("This is not plain text in UTF-8; a design file is.\n", status_code=422)
    sheet.slow.begin_later(0.0)
    return JSONResponse({"to": f"sheet/{sheet.name}"})


async def _opened(desk: Desk, make: Callable[[], OpenSheet | Path]) -> Response:
    try:
        sheet = await anyio.to_thread.run_sync(make)
    except SpringwrightError as fault:
        return _start(desk, str(fault), 422)
    if isinstance(sheet, Path):
        open_when_compiled(desk, sheet)
        return RedirectResponse("ready", status_code=303)
    if not sheet.shown.answers:
        sheet.slow.begin_later(0.0)
    return RedirectResponse(f"sheet/{sheet.name}", status_code=303)


async def _form(request: Request) -> dict[str, str]:
    body = (await request.body()).decode("utf-8", "replace")
    try:
        fields = parse_qs(body, keep_blank_values=True, max_num_fields=20)
    except ValueError:
        raise InputError("the form", [Fault("", "", "has more fields than any of ours")]) from None
    return {name: values[0] for name, values in fields.items()}


async def sheet_page(request: Request) -> Response:
    """A sheet, whole."""
    sheet = _sheet(request)
    if sheet is None:
        return RedirectResponse("../", status_code=303)
    return HTMLResponse(await sheet.page())


async def live(socket: WebSocket) -> None:
    """The live line: edits come in, changed parts of the page go out."""
    sheet: OpenSheet | None = socket.app.state.desk.sheets.get(socket.path_params["name"])
    await socket.accept()
    if sheet is None:
        await socket.close(4404)
        return
    visitor = Visitor(socket.send_json, sheet.audience.shown_as(socket.query_params.get("frame", "")))
    sheet.audience.visitors.append(visitor)
    heard = Heard(socket.receive)
    try:
        await sheet.show()
        listening = asyncio.ensure_future(heard.listen())
        try:
            while (asked := await heard.next()) is not None:
                await _do(socket.app.state.desk, sheet, asked, visitor, heard.acts_next)
        finally:
            listening.cancel()
    except (WebSocketDisconnect, RuntimeError):  # gone in the midst of a send
        pass
    finally:
        if visitor in sheet.audience.visitors:
            sheet.audience.visitors.remove(visitor)


def _in_sight(told: Any) -> frozenset[str] | None:
    """The parts that a page says are in sight, those that always are among them; all where it says nothing."""
    if not isinstance(told, list) or len(told) > len(PARTS):
        return None
    names = {part.name for part in PARTS}
    return frozenset(one for one in told if isinstance(one, str) and one in names) | {"head", "watch"}


async def _do(desk: Desk, sheet: OpenSheet, asked: Asked, visitor: Visitor, acts_next: Callable[[], bool]) -> None:
    """Do what a page asks. Whatever it sends, the line stays open and the sheet as it was or as asked."""
    do, reply = asked["do"], Reply(visitor, asked.get("n"))
    waits = sheet.document.unfinished is not None and do not in BUILDING
    others = [
        (name, one.document.path.name)
        for name, one in desk.sheets.items()
        if one is not sheet and one.document.unfinished is None
    ]
    sheet.shown.beside["desk"] = others
    try:
        if do in ACTIONS:
            gesture, within = asked.get("gesture", ""), asked.get("within", "")
            sheet.document.within = within if isinstance(within, str) else ""
            await sheet.act(
                lambda document: (wait if waits else ACTIONS[do])(document, asked),
                gesture=gesture if isinstance(gesture, str) else "",
                reply=reply,
                sight=_in_sight(asked.get("sight")),
                acts_next=acts_next,
            )
        elif waits and do not in ("stop", "leave"):
            await sheet.act(lambda document: wait(document, asked), reply=reply)
        elif do == "stop":
            sheet.slow.stop()
            await sheet.show()
        elif do == "work":
            sheet.slow.begin_later(0.0)
        elif do == "beside":  # these take their time: the line is not held up
            sheet.beside_the_line(sheet.hold_against(desk, asked))
        elif do == "round":
            sheet.beside_the_line(sheet.round(asked))
        elif do == "alone":
            sheet.beside_the_line(sheet.slow.each_alone())
        elif do == "study":
            sheet.beside_the_line(sheet.slow.study(str(asked["what"])))
        elif do in ("as_built", "try_back"):
            await _of_built(sheet, asked)
        elif do == "leave":
            sheet.slow.leave_studies()
    except Exception as error:
        logger.debug("a message that cannot be: %r", error)
        await sheet.cannot(reply)


async def _of_built(sheet: OpenSheet, asked: Any) -> None:
    if asked["do"] == "as_built":
        await sheet.act(lambda document: keep_built(document, sheet.shown, mended=asked.get("mended") is True))
    else:
        of = asked.get("of")
        sheet.beside_the_line(sheet.slow.try_back(of if type(of) is int else None))


async def log_brought(request: Request) -> Response:
    """Lay a log that was brought to the page beside the design, and name it in a set of readings."""
    sheet = _sheet(request)
    if sheet is None or sheet.document.unfinished is not None:
        return PlainTextResponse("There is no such sheet, or it is not whole yet.\n", status_code=404)
    path = await lay_beside(sheet.document.path.parent, request.path_params["log"], request.stream())
    kind, _, number = request.query_params.get("at", "").partition(".")
    at = (kind, int(number)) if number.isdecimal() and number.isascii() and len(number) < 4 else None
    await sheet.act(lambda document: lay_log(document, path.name, at))
    return PlainTextResponse(f"{path.name} lies beside the design.\n")


async def take(request: Request) -> Response:
    """Something to take away: report, order sheets, tables, the file."""
    sheet, what = _sheet(request), request.path_params["what"]
    if sheet is None or what not in TAKEN:
        return PlainTextResponse("There is no such thing to take.\n", status_code=404)
    kind, make = TAKEN[what]
    if sheet.document.unfinished is not None and what != "design.toml":  # it would be of another design
        return PlainTextResponse("This design is not whole yet; write in the empty blanks first.\n", status_code=422)
    try:
        body = await make(sheet)
    except SpringwrightError as fault:
        return PlainTextResponse(f"{fault}\n", status_code=422)
    name = f"{sheet.document.path.stem}-{what}" if what != "design.toml" else sheet.document.path.name
    ascii_name = "".join(c if (c.isalnum() and c.isascii()) or c in "-_." else "-" for c in name)
    return Response(body, media_type=kind, headers={"content-disposition": f'attachment; filename="{ascii_name}"'})


async def figure(request: Request) -> Response:
    """The numbers of one figure as CSV."""
    sheet = _sheet(request)
    text = (
        None
        if sheet is None or sheet.document.unfinished is not None
        else await anyio.to_thread.run_sync(figure_csv, sheet.document, sheet.shown, request.path_params["figure"])
    )
    if text is None:
        return PlainTextResponse("There is no such figure.\n", status_code=404)
    return Response(text, media_type="text/csv", headers={"content-disposition": 'attachment; filename="figure.csv"'})


async def scene(request: Request) -> Response:
    """The scene of a view in the round."""
    sheet = _sheet(request)
    ready = None if sheet is None else sheet.scenes.get(request.path_params["kind"])
    if ready is None:
        return PlainTextResponse("There is no such view.\n", status_code=404)
    return Response(ready, media_type="application/json")


async def ink_sheet(_: Request) -> Response:
    """The drawings' ink by the page's tokens."""
    return Response(ink_css(), media_type="text/css")


def _sheet(request: Request) -> OpenSheet | None:
    found: OpenSheet | None = request.app.state.desk.sheets.get(request.path_params["name"])
    return found
