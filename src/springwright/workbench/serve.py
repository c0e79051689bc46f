"""Starts the workbench: takes a port, opens the design, prints the address with its token, opens the browser."""

from __future__ import annotations

import secrets
import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

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
    import uvicorn

    from springwright.workbench.app import build
    from springwright.workbench.desk import Desk
    from springwright.workbench.work import Worker

    if host not in LOCAL and token is None:
        raise InputError(
            "--host",
            [Fault("", f'"{host}"', "others could reach the workbench there: give --token with a secret of your own")],
        )
    if token is not None and (
        len(token) < SHORTEST_TOKEN or not token.isascii() or not token.replace("-", "").replace("_", "").isalnum()
    ):
        raise InputError("--token", [Fault("", "", f"at least {SHORTEST_TOKEN} letters and figures are wanted")])
    line = _bound(host, port)
    port = line.getsockname()[1]
    desk = Desk(Path.cwd(), Worker())
    try:
        path = f"/sheet/{desk.open(design).name}" if design is not None else "/"
        secret = token or secrets.token_urlsafe(24)
        names = LOCAL if host in LOCAL else (host, *LOCAL)
        address = f"http://{names[0]}:{port}{path}?token={secret}"
        say(f"The workbench is open at {address}")
        say("Ctrl-C ends it. The first start on a machine prepares for a few seconds before answers come.")
        config = uvicorn.Config(
            build(desk, port, secret, names), log_level="warning", lifespan="on", ws="websockets-sansio", ws_max_size=2**20, server_header=False, proxy_headers=False, timeout_graceful_shutdown=1,
        )  # fmt: skip
        if browser:
            threading.Timer(0.3, webbrowser.open, [address]).start()
        uvicorn.Server(config).run(sockets=[line])
    finally:
        desk.worker.close()


def _bound(host: str, port: int) -> socket.socket:
    line = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
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
