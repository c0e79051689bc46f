"""The desk: designs open side by side, the recent ones, and copies that outlive a crash."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import secrets
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from springwright.errors import Fault, InputError, SpringwrightError
from springwright.files import clear_drafts, read_file, write_whole
from springwright.vehicle.file import in_this_format, looks_like_design
from springwright.vehicle.starter import start
from springwright.workbench.first import carried
from springwright.workbench.model.document import Document
from springwright.workbench.model.reading import stays_beside
from springwright.workbench.model.unfinished import begun
from springwright.workbench.model.view import SECTIONS
from springwright.workbench.model.work import Job, Worker
from springwright.workbench.open_sheet import OpenSheet

RECENT = 8
DEMOS = ("fire-watch", "fire-watch-leaves", "fire-watch-links", "survey-buggy", "bog-carrier")
BLANK = "blank"  # a sheet with nothing on it, to be built on the page
MOST_LINES = 20_000
LONGEST_NAME = 100  # bytes; what is written beside a file has a longer name


def home() -> Path:
    """Where recent files and recovery copies are kept; SPRINGWRIGHT_HOME names another folder."""
    import typer

    folder = Path(os.environ.get("SPRINGWRIGHT_HOME") or typer.get_app_dir("springwright"))
    with contextlib.suppress(OSError):  # what cannot be kept there is said on the page
        folder.mkdir(
            mode=0o700, parents=True, exist_ok=True
        )  # copies of designs that may lie where nobody else can read
    return folder


@dataclass
class Desk:
    """`folder` is where new files are put: where the command was started."""

    folder: Path
    worker: Worker
    home: Path = field(default_factory=home)
    sheets: dict[str, OpenSheet] = field(default_factory=dict)
    opening: Path | None = None  # a design that waits for the kernels to be compiled
    fault: str = ""  # why the last one could not be opened
    mark: str = field(default_factory=lambda: secrets.token_hex(4))  # numbers of processes come again
    _opening: threading.Lock = field(default_factory=threading.Lock)
    _keeping: threading.Lock = field(default_factory=threading.Lock)

    def open(self, path: Path) -> OpenSheet:
        """Put a design on the desk, as a crash left it if one did.

        Raises
        ------
        SpringwrightError
            It cannot be read or sized.

        """
        path = path.resolve()
        with self._opening:  # one at a time, or two would be given one name
            for sheet in self.sheets.values():
                if sheet.document.path == path:
                    return sheet
            clear_drafts(path)
            clear_drafts(self._copy_of(path))
            left = self._left_of(path)
            documents, faults = [], []
            for kept in [*left]:
                try:
                    documents.append(_recovered(kept))
                except SpringwrightError as fault:  # such as a file that it reads and that is not there now
                    faults.append(f"What was left unsaved cannot be read now and is kept: {fault}.")
                    left.remove(kept)
            unsaved = sorted(filter(None, documents), key=lambda one: one.copies)
            document = unsaved.pop() if unsaved else Document.opened(path)
            for other in unsaved:
                document.go_on_from(other)
            document.said = " ".join([document.said, *faults]).strip()
            document.copies = max([document.copies, *map(_copies_in, self._copies(path))])
            document.keep_now = self.put_away
            self.put_away(document)
            for kept in left:  # what they held is ours now, or was less
                with contextlib.suppress(OSError):  # a home that is read only
                    kept.unlink(missing_ok=True)
            if (
                path not in self.recent()
            ):  # a first visit: where the job begins stands open, the rest is a sentence each
                document.view = replace(document.view, folded=frozenset(SECTIONS) - {"weigh", "aim"})
            self._remember(path)
            name = str(len(self.sheets) + 1)
            document.searched = self.home / "searches" / f"{_key(path)}.json"
            sheet = OpenSheet(name, document, self.worker, 2 * len(self.sheets), self.put_away)
            self.sheets[name] = sheet
            return sheet

    def prepare(self, path: Path, opened: Callable[[OpenSheet], None]) -> None:
        """Have the kernels compiled in the slow process, and then open a design; `opened` is told from a thread of its own."""
        self.opening, self.fault = path, ""

        def tell(kind: str, _: object) -> None:
            if kind in ("progress", "part"):
                return
            try:
                opened(self.open(path))
            except SpringwrightError as fault:
                self.fault = str(fault)
            self.opening = None

        try:
            text = read_file(path)
            stays_beside(text, path)  # before the slow process reads what it names
            self.worker.ask(Job("warm", str(path), text), tell)
        except SpringwrightError as fault:
            self.fault, self.opening = str(fault), None

    def begin(self, demo: str, name: str) -> Path:
        """A new file of the folder: from a demo, a blank sheet, or the commented form where neither is named."""
        if demo not in ("", BLANK, *DEMOS):
            raise InputError(name, [Fault("", f'"{demo}"', f"no such demo; there are {', '.join(DEMOS)}")])
        path = self._new_path(name)
        if path.is_symlink():  # one that leads nowhere would be written through
            raise InputError(path.name, [Fault("", "", "is there already; take another name")])
        if demo == BLANK:
            if os.path.lexists(path):
                raise InputError(path.name, [Fault("", "", "is there already; take another name")])
            write_whole(path, begun(path, path.stem).text)
        else:
            start(path, demo or None)
        return path

    def carry(self, name: str, blanks: Mapping[str, str]) -> Path:
        """A new file of the folder: the first number that the start page's blanks say, carried into a sheet."""
        path = self._new_path(name)
        if os.path.lexists(path):
            raise InputError(path.name, [Fault("", "", "is there already; take another name")])
        write_whole(path, carried(blanks, path.stem.replace("-", " ").replace("_", " ").capitalize()))
        return path

    def bring(self, name: str, text: str) -> OpenSheet:
        """Put a file that was brought to the page into the folder and open it."""
        path = self.takes(name, text)
        try:  # what is there, even a link that leads nowhere, is never written over
            path.touch(exist_ok=False)
        except FileExistsError:
            raise InputError(path.name, [Fault("", "", "is there already; rename the file you bring")]) from None
        except OSError as error:
            raise InputError(path.name, [Fault("", "", f"cannot be written: {error.strerror}")]) from None
        try:
            write_whole(path, text)
            return self.open(path)
        except Exception:
            path.unlink()
            raise

    def takes(self, name: str, text: str) -> Path:
        """Where a file that is brought would be put; refused before it is read where its name or its length will not do."""
        if text.count("\n") > MOST_LINES:
            raise InputError(ascii(name), [Fault("", "", f"has more than {MOST_LINES} lines; that is no design file")])
        path = self._new_path(name)
        if os.path.lexists(path):
            raise InputError(path.name, [Fault("", "", "is there already; rename the file you bring")])
        return path

    def _new_path(self, name: str) -> Path:
        clean = name.strip()
        return self.folder / plain_name(f"{clean}.toml" if clean and not clean.endswith(".toml") else clean)

    def free_name(self, stem: str) -> str:
        """The name of a new file of the folder: the stem, with a number behind it where that is taken."""
        names = (f"{stem}.toml", *(f"{stem}-{k}.toml" for k in range(2, 1000)))
        return next((name for name in names if not (self.folder / name).exists()), f"{stem}.toml")

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
                path = Path(json.loads(one.read_text(encoding="utf-8"))["path"])
            except (OSError, ValueError, KeyError, TypeError):
                continue
            if path not in found and one in self._left_of(path):
                found.append(path)
        return found

    def _copies(self, path: Path) -> list[Path]:
        """Recovery copies of a design, whoever made them."""
        return sorted((self.home / "recovery").glob(f"{_key(path)}*.json"))

    def _left_of(self, path: Path) -> list[Path]:
        """Recovery copies of a design by workbenches that are no more."""
        mine = self._copy_of(path)
        return [one for one in self._copies(path) if one != mine and not _alive(one.stem.rpartition("-")[2])]

    def may_open(self, path: Path) -> bool:
        """Whether the page may name this file: it was opened before or left by a crash, or lies in the folder."""
        known = {one.resolve() for one in (*self.recent(), *self.left())}
        try:
            path = path.resolve()
        except (OSError, ValueError, RuntimeError):  # no name of a file, or links in a ring
            return False
        return path in known or path.parent == self.folder.resolve()

    def designs_here(self) -> list[Path]:
        """Design files in the folder."""
        return sorted(one for one in self.folder.glob("*.toml") if looks_like_design(one))

    def put_away(self, document: Document) -> None:
        """Keep a recovery copy of what is not saved; take it away when nothing is left to lose."""
        kept = self._copy_of(document.path)
        try:
            with self._keeping:  # or a copy begun before a save would come after it
                if document.dirty or document.wrong:
                    kept.parent.mkdir(parents=True, exist_ok=True)
                    document.copies += 1
                    write_whole(kept, document.to_recover())
                else:
                    kept.unlink(missing_ok=True)
            document.unkept = ""
        except (OSError, SpringwrightError) as fault:
            document.unkept = f"No copy can be kept against a crash: {fault}. Save often."

    def _copy_of(self, path: Path) -> Path:
        """The copy of a design that this process keeps."""
        return self.home / "recovery" / f"{_key(path)}-{self.mark}-{os.getpid()}.json"

    def _remember(self, path: Path) -> None:
        latest = [str(path), *(str(one) for one in self.recent() if one != path)][:RECENT]
        with contextlib.suppress(OSError, SpringwrightError):  # a list of what was opened is not worth a stop
            write_whole(self.home / "recent.json", json.dumps(latest))


def _key(path: Path) -> str:
    return hashlib.sha256(str(path).encode()).hexdigest()[:24]


def _alive(number: str) -> bool:
    """Whether another process of that number runs; one that cannot be told is taken as gone."""
    if not number.isdigit() or int(number) in (0, os.getpid()):
        return False
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True  # somebody else's
    return True


def _copies_in(kept: Path) -> int:
    """How many copies had been made when this one was."""
    try:
        return int(json.loads(kept.read_text(encoding="utf-8"))["copies"])
    except (OSError, ValueError, KeyError, TypeError):
        return 0


def _recovered(kept: Path) -> Document | None:
    """What a copy holds that was not saved; None where that is nothing, or the copy is torn.

    Raises
    ------
    SpringwrightError
        The state that it holds cannot be read or sized.

    """
    try:
        document = Document.recovered(kept.read_text(encoding="utf-8"))
    except (OSError, ValueError, KeyError, TypeError):
        return None
    if not document.elsewhere_now and not document.dirty and not document.wrong:
        return None
    with contextlib.suppress(InputError):
        there = read_file(document.path)
        if document.text in (there, in_this_format(there, document.path.name)) and not document.wrong:
            return None  # it was saved, and the copy had no time to go
    document.said = "This is how it was left without being saved. Save it, or undo to go back."
    return document


def plain_name(name: str) -> str:
    """The name of a file in the folder, as it was brought.

    Raises
    ------
    InputError
        It is none, or leads elsewhere.

    """
    clean = name.strip()
    if (
        not clean
        or Path(clean).name != clean
        or clean.startswith(".")
        or not clean.isprintable()  # nor anything that turns the direction of reading
        or "\\" in clean
        or len(clean.encode()) > LONGEST_NAME
    ):
        raise InputError(
            ascii(name[:LONGEST_NAME]),
            [Fault("", "", "a plain, short file name is wanted, such as truck.toml, without folders")],
        )
    return clean
