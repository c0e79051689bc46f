"""Starts the workbench: takes a port, opens the design, prints the address with its token, opens the browser."""

from __future__ import annotations

import contextlib
import gc
import logging
import os
import secrets
import signal
import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import Any

from springwright.errors import Fault, InputError

SHORTEST_TOKEN = 16
LOCAL = ("127.0.0.1", "localhost")


def serve(
    design: Path | None, *, host: str, port: int, token: str | None, browser: bool, say: Callable[[str], object]
) -> None:
    """Serve until Ctrl-C.

    Raises
    ------
    SpringwrightError
        The design cannot be opened, the port is taken, or another address was asked for without a token.

    """
    _check(host, token)
    line = _bound(host, port)
    port = line.getsockname()[1]
    gc.disable()  # while it starts next to nothing that is made is garbage, and looking for it takes a sixth of the time
    import jinja2
    import uvicorn

    from springwright.motion.compiled import compiled
    from springwright.workbench.app import build
    from springwright.workbench.guard import Once
    from springwright.workbench.lines import Lines, counted
    from springwright.workbench.model.reading import check_opens
    from springwright.workbench.model.work import Worker
    from springwright.workbench.render.environment import environment
    from springwright.workbench.workspace import Desk

    desk = Desk(Path.cwd(), Worker())
    templates = desk.home / "templates"
    with contextlib.suppress(OSError):  # a little slower without
        templates.mkdir(exist_ok=True)
        if os.access(templates, os.W_OK):
            environment().bytecode_cache = jinja2.FileSystemBytecodeCache(str(templates))
    try:
        path = "/"
        if design is not None and compiled():
            path = f"/sheet/{desk.open(design).name}"
        elif design is not None:
            check_opens(design)  # what is wrong with it is said at once
            desk.opening, path = design.resolve(), "/ready"
        secret = token or secrets.token_urlsafe(24)
        names = LOCAL if host in LOCAL else (f"[{host}]" if ":" in host else host, *LOCAL)
        lines = Lines()
        address, once = f"http://{names[0]}:{port}/?token=", Once(secrets.token_urlsafe(24), say)
        say(f"The workbench is open at {address}{secret}")
        say("Ctrl-C ends it.")
        config = uvicorn.Config(
            build(desk, port, secret, names, path, once if browser else None, lines), http=counted(lines), log_level="warning", lifespan="on", ws="websockets-sansio", ws_max_size=2**20, ws_per_message_deflate=False, server_header=False, proxy_headers=False, timeout_graceful_shutdown=1,
        )  # fmt: skip
        logging.getLogger("uvicorn.error").addFilter(_no_fault_of_ours)
        gc.freeze()  # what is loaded by now stays: edits are not held up by looking through it for garbage
        gc.set_threshold(50_000, 20, 20)
        gc.enable()
        if desk.sheets:
            desk.worker.begin_as_copy(line.close)
        server = uvicorn.Server(config)
        _heed_signals(server)
        if browser:
            threading.Timer(0.3, webbrowser.open, [address + once.code]).start()
        server.run(sockets=[line])
    finally:
        gc.enable()
        desk.worker.close()


def _check(host: str, token: str | None) -> None:
    """Refuse an address that others could reach without a secret, a weak one, and every address at once."""
    if host not in LOCAL and token is None:
        raise InputError(
            "--host",
            [Fault("", f'"{host}"', "others could reach the workbench there: give --token with a secret of your own")],
        )
    if token is not None and (
        len(token) < SHORTEST_TOKEN or not token.isascii() or not token.replace("-", "").replace("_", "").isalnum()
    ):
        raise InputError("--token", [Fault("", "", f"at least {SHORTEST_TOKEN} letters and figures are wanted")])
    if host in ("0.0.0.0", "::"):
        raise InputError(
            "--host",
            [Fault("", f'"{host}"', "name the one address that others will use, this machine's own in your network")],
        )


def _heed_signals(server: Any) -> None:
    """From now on, before the server watches for them as well; it raises them again when all is shut."""
    signal.signal(signal.SIGTERM, lambda *_: setattr(server, "should_exit", True))
    if hasattr(signal, "SIGHUP"):  # a terminal that is shut ends it as SIGTERM does
        signal.signal(signal.SIGHUP, lambda *_: signal.raise_signal(signal.SIGTERM))


def _no_fault_of_ours(record: logging.LogRecord) -> bool:
    """Not of a live line that was refused, as a page left open since an earlier start asks again every second; nor of being ended while it starts."""
    said = record.getMessage()
    return "without completing handshake" not in said and not said.rstrip().endswith("CancelledError")


def _bound(host: str, port: int) -> socket.socket:
    line = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    if os.name == "posix":  # elsewhere it would let another program listen on the same port
        line.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        line.bind((host, port))
        line.listen(128)  # who comes while the server starts waits instead of being refused
    except (OSError, OverflowError) as error:
        line.close()
        raise InputError(
            "--port",
            [
                Fault(
                    "", str(port), f"cannot be used on {host}: {getattr(error, 'strerror', error)}; take another, or 0"
                )
            ],
        ) from None
    return line
