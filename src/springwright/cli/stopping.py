"""Ctrl-C that is never lost: an extension module that is being loaded may swallow it, or call it a failure of its own."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


class Stopping:
    """Whether Ctrl-C was pressed since it was watched for."""

    def __init__(self) -> None:
        self.asked = False

    def watch(self) -> None:
        """Note Ctrl-C as well as raising it; where it cannot be raised, as in a callback from C, nothing is printed of it."""
        signal.signal(signal.SIGINT, self._note)
        said = sys.unraisablehook
        sys.unraisablehook = lambda lost: None if lost.exc_type is KeyboardInterrupt else said(lost)

    @contextmanager
    def heeded(self) -> Iterator[None]:
        """Whatever goes wrong once Ctrl-C was pressed goes wrong because of it: said in a word, exit code 130."""
        try:
            yield
        except (KeyboardInterrupt, Exception):
            if not self.asked:
                raise
            if sys.stderr is not None:  # the command may be given none
                sys.stderr.write("stopped\n")
            raise SystemExit(130) from None

    def heed(self) -> None:
        """Stop now if Ctrl-C was pressed and swallowed on the way.

        Raises
        ------
        KeyboardInterrupt
            It was.

        """
        if self.asked:
            raise KeyboardInterrupt

    def _note(self, number: int, frame: FrameType | None) -> None:  # noqa: ARG002 what a handler is called with
        self.asked = True
        raise KeyboardInterrupt


stopping = Stopping()  # one for the process, as its signals are
