"""Files read and written whole: a text or a fault that says why there is none; never a half-written file."""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from springwright.errors import Fault, InputError
from springwright.letters import control

DRAFT_AGE = 60.0  # s: nothing is written for so long


def is_there(path: Path) -> bool:
    """Whether it is a file; a name that no file can have is none."""
    return os.path.isfile(path)  # pathlib raises where a name is too long


def read_file(path: Path) -> str:
    """The text of a file, or an InputError that says why there is none."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        if path.suffix.lower() != ".toml":  # what is wrong with TOML its own reader says
            check_letters(text, path.name)
        return text
    except FileNotFoundError:
        raise InputError(
            str(path),
            [Fault("", "", "there is no such file; check the name, or start one with: springwright new FILE")],
        ) from None
    except IsADirectoryError:
        raise InputError(str(path), [Fault("", "", "is a folder; name the file in it")]) from None
    except UnicodeDecodeError:
        raise InputError(path.name, [Fault("", "", "is not plain text in UTF-8; save it as such")]) from None
    except OSError as error:
        raise InputError(str(path), [Fault("", "", f"cannot be read: {error.strerror}")]) from None


def check_letters(text: str, name: str) -> None:
    """Refuse control characters in the text of a file."""
    at = control(text)
    if at is not None:
        line = text.count("\n", 0, at) + 1
        raise InputError(name, [Fault(f"line {line}", "", f"holds a control character, {text[at]!a}; take it out")])


@contextlib.contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Hold a folder against every other workbench that asks; nothing is held where the system has no such locks."""
    try:
        import fcntl
    except ImportError:  # not every system has it
        yield
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        yield  # gone or closed to us: writing will say so
        return
    try:
        with contextlib.suppress(OSError):  # a share without locks
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def clear_drafts(path: Path) -> None:
    """Take away what a kill left of writing a file, once it is sure that nobody is at it."""
    for one in path.parent.glob(f".{plain_pattern(path.name)}.????????"):
        with contextlib.suppress(OSError):
            if one.is_file() and time.time() - one.stat().st_mtime > DRAFT_AGE:
                one.unlink()


def plain_pattern(name: str) -> str:
    """A name in a pattern, meant letter for letter."""
    return re.sub(r"([\[\]*?])", r"[\1]", name)


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file beside its final name and move it there, so that no half-written file is ever seen."""
    target = Path(os.path.realpath(path))
    if not os.path.isdir(target.parent):
        raise InputError(str(path), [Fault("", "", "the folder is not there; make it first")])
    data = content.encode() if isinstance(content, str) else content
    try:
        handle, draft = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
    except OSError as error:
        raise InputError(str(path), [Fault("", "", f"cannot be written: {error.strerror}")]) from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(draft, target.stat().st_mode & 0o777 if os.path.exists(target) else 0o666 & ~_umask())
        os.replace(draft, target)
    except OSError as error:
        with contextlib.suppress(OSError):
            os.unlink(draft)
        raise InputError(str(path), [Fault("", "", f"cannot be written: {error.strerror}")]) from None


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
