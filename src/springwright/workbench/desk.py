"""The desk: designs open side by side, the recent ones, and copies that outlive a crash."""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import dataclass, field
from pathlib import Path

from springwright.errors import Fault, InputError, SpringwrightError
from springwright.vehicle.file import write_whole
from springwright.vehicle.starter import start
from springwright.workbench.document import Document
from springwright.workbench.open_sheet import OpenSheet
from springwright.workbench.work import Worker

RECENT = 8
DEMOS = ("fire-watch", "fire-watch-leaves", "fire-watch-links", "survey-buggy", "bog-carrier")
MOST_LINES = 20_000


def home() -> Path:
    """Where recent files and recovery copies are kept; SPRINGWRIGHT_HOME names another folder."""
    import typer

    folder = Path(os.environ.get("SPRINGWRIGHT_HOME") or typer.get_app_dir("springwright"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@dataclass
class Desk:
    """`folder` is where new files are put: where the command was started."""

    folder: Path
    worker: Worker
    home: Path = field(default_factory=home)
    sheets: dict[str, OpenSheet] = field(default_factory=dict)

    def open(self, path: Path) -> OpenSheet:
        """Put a design on the desk, as a crash left it if one did.

        Raises
        ------
        SpringwrightError
            It cannot be read or sized.

        """
        path = path.resolve()
        for sheet in self.sheets.values():
            if sheet.document.path == path:
                return sheet
        kept = self._copy_of(path)
        document = (_recovered(kept) if kept.exists() else None) or Document.opened(path)
        self._remember(path)
        name = str(len(self.sheets) + 1)
        sheet = OpenSheet(name, document, self.worker, 2 * len(self.sheets), self.put_away)
        self.sheets[name] = sheet
        return sheet

    def begin(self, demo: str, name: str) -> OpenSheet:
        """Begin from a demo, or the commented blank where none is named, in a new file of the folder."""
        if demo not in ("", *DEMOS):
            raise InputError(name, [Fault("", f'"{demo}"', f"no such demo; there are {', '.join(DEMOS)}")])
        path = self._new_path(name)
        start(path, demo or None)
        return self.open(path)

    def bring(self, name: str, text: str) -> OpenSheet:
        """Put a file that was brought to the page into the folder and open it."""
        if text.count("\n") > MOST_LINES:
            raise InputError(name, [Fault("", "", f"has more than {MOST_LINES} lines; that is no design file")])
        path = self._new_path(name)
        if path.exists():
            raise InputError(path.name, [Fault("", "", "is there already; rename the file you bring")])
        write_whole(path, text)
        try:
            return self.open(path)
        except SpringwrightError:
            path.unlink()
            raise

    def _new_path(self, name: str) -> Path:
        clean = name.strip()
        if clean and not clean.endswith(".toml"):
            clean += ".toml"
        if (
            not clean
            or Path(clean).name != clean
            or clean.startswith(".")
            or any(ord(c) < 32 for c in clean)
            or "\\" in clean
        ):
            raise InputError(
                repr(name), [Fault("", "", "a plain file name is wanted, such as truck.toml, without folders")]
            )
        return self.folder / clean

    def recent(self) -> list[Path]:
        """Designs opened lately that are still there."""
        try:
            kept = json.loads((self.home / "recent.json").read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return []
        return [Path(one) for one in kept if isinstance(one, str) and Path(one).is_file()]

    def left(self) -> list[Path]:
        """Designs that a crash left unsaved."""
        found = []
        for one in sorted((self.home / "recovery").glob("*.json")):
            try:
                found.append(Path(json.loads(one.read_text(encoding="utf-8"))["path"]))
            except (OSError, ValueError, KeyError, TypeError):
                continue
        return found

    def may_open(self, path: Path) -> bool:
        """Whether the page may name this file: it was opened before or left by a crash, or lies in the folder."""
        known = {one.resolve() for one in (*self.recent(), *self.left())}
        return path.resolve() in known or path.resolve().parent == self.folder.resolve()

    def designs_here(self) -> list[Path]:
        """Design files in the folder."""
        return sorted(one for one in self.folder.glob("*.toml") if _looks_like_one(one))

    def put_away(self, document: Document) -> None:
        """Keep a recovery copy of what is not saved; take it away when nothing is left to lose."""
        kept = self._copy_of(document.path)
        if document.dirty or document.wrong:
            kept.parent.mkdir(exist_ok=True)
            write_whole(kept, document.to_recover())
        else:
            kept.unlink(missing_ok=True)

    def _copy_of(self, path: Path) -> Path:
        return self.home / "recovery" / f"{hashlib.sha256(str(path).encode()).hexdigest()[:24]}.json"

    def _remember(self, path: Path) -> None:
        latest = [str(path), *(str(one) for one in self.recent() if one != path)][:RECENT]
        write_whole(self.home / "recent.json", json.dumps(latest))


def _recovered(kept: Path) -> Document | None:
    try:
        document = Document.recovered(kept.read_text(encoding="utf-8"))
    except (OSError, ValueError, KeyError, TypeError, SpringwrightError):
        return None
    document.said = "This is how it was left without being saved. Save it, or undo to go back."
    return document


def _looks_like_one(path: Path) -> bool:
    try:
        with path.open(encoding="utf-8") as file:
            return "[vehicle]" in file.read(20_000)
    except (OSError, UnicodeDecodeError):
        return False
