"""Logs brought to the page: laid beside the design as they are, never over a file that is there."""

from __future__ import annotations

import contextlib
import filecmp
import os
import tempfile
from collections.abc import AsyncIterator
from pathlib import Path

import anyio.to_thread

from springwright.errors import Fault, InputError
from springwright.workbench.workspace import plain_name

ENDINGS = (".csv", ".txt", ".tsv", ".log")
TRIES = 100  # names with a number after them


async def lay_beside(folder: Path, name: str, pieces: AsyncIterator[bytes]) -> Path:
    """Write a log whole into a folder; one that lies there already with the same content is left as it is.

    Raises
    ------
    InputError
        Its name is none of a log, or it cannot be written.

    """
    clean = plain_name(name)
    if Path(clean).suffix.lower() not in ENDINGS:
        raise InputError(ascii(clean), [Fault("", "", f"is no log; a log's name ends in {', '.join(ENDINGS)}")])
    draft: Path | None = None
    try:
        handle, made = tempfile.mkstemp(dir=folder, prefix=".", suffix=".draft")
        draft = Path(made)
        with os.fdopen(handle, "wb") as file:
            async for piece in pieces:
                await anyio.to_thread.run_sync(file.write, piece)
        return await anyio.to_thread.run_sync(_placed, draft, folder / clean)
    except OSError as error:
        raise InputError(clean, [Fault("", "", f"cannot be written: {error.strerror}")]) from None
    finally:
        if draft is not None:
            with contextlib.suppress(FileNotFoundError):
                draft.unlink()


def _placed(draft: Path, wanted: Path) -> Path:
    for count in range(1, TRIES):
        path = wanted if count == 1 else wanted.with_name(f"{wanted.stem}-{count}{wanted.suffix}")
        try:
            os.link(draft, path)  # unlike a renaming, never over a file that is there
        except FileExistsError:
            if not path.is_symlink() and path.is_file() and filecmp.cmp(draft, path, shallow=False):
                return path
        else:
            path.chmod(0o644)
            return path
    raise InputError(wanted.name, [Fault("", "", "is there already, and so are its numbered names; rename the log")])
