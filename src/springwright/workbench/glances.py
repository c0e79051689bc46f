"""A design at a glance, for the desk: its side view, and what was found of it when its sheet was last looked away from."""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from springwright.drawing.glance import glance_drawing
from springwright.errors import SpringwrightError
from springwright.evaluation import Evaluation
from springwright.files import read_file, write_whole
from springwright.questions.answer import Answer
from springwright.questions.registry import QUESTIONS
from springwright.scenes.elevation import elevation
from springwright.workbench.model.reading import as_written, stays_beside
from springwright.workbench.open_sheet import OpenSheet

MOST = 64  # designs whose verdicts are kept
KEPT = "glances.json"
CALM = ("close", "not known", "met")  # the words that are counted where none has failed


def glance(path: Path, home: Path) -> dict[str, str]:
    """Its drawing, its vehicle's name and what was found of it, for the page; without a drawing where it is not whole yet or cannot be read."""
    try:
        text = read_file(path)
        stays_beside(text, path)
        with Evaluation():
            good, unfinished = as_written(path, text)
            if good is None:
                return {"svg": "", "name": path.stem, "said": "being built" if unfinished is not None else ""}
            drawn = glance_drawing(elevation(good)).svg()
    except SpringwrightError:
        return {"svg": "", "name": path.name, "said": "cannot be read as it is"}
    drawn = drawn.replace('role="img"', 'aria-hidden="true"', 1)  # its name stands beside it
    return {"svg": drawn, "name": good.design.vehicle.name, "said": _kept(home).get(_of(path, text), "")}


def keep_verdicts(home: Path, sheets: Iterable[OpenSheet]) -> None:
    """Keep what was found of those whose seven answers are for what is saved."""
    told = {
        _of(one.document.path, one.document.saved): said_of(one.shown.answers)
        for one in sheets
        if one.document.unfinished is None and not one.document.dirty and one.shown.complete
    }
    if told:
        kept = {**{key: said for key, said in _kept(home).items() if key not in told}, **told}
        with contextlib.suppress(OSError, SpringwrightError):  # a list of what was found is not worth a stop
            write_whole(home / KEPT, json.dumps(dict([*kept.items()][-MOST:])))


def said_of(answers: Mapping[str, Answer]) -> str:
    """The worst that was found, by its question; or how many of each word."""
    words = {one.verb: answers[one.name].word for one in QUESTIONS if one.name in answers}
    failed = [verb for verb, word in words.items() if word == "not met"]
    if failed:
        more = f", {len(failed) - 1} more" if len(failed) > 1 else ""
        return f"{failed[0]}? not met{more}"
    told = [*words.values()]
    return ", ".join(f"{told.count(word)} {word}" for word in CALM if word in told)


def _kept(home: Path) -> dict[str, str]:
    try:
        kept = json.loads((home / KEPT).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return {str(key): str(said) for key, said in kept.items()} if isinstance(kept, dict) else {}


def _of(path: Path, text: str) -> str:
    """A design as it is written, so that what was found of another state is not told of this one."""
    return hashlib.sha256(f"{path}\n{text}".encode()).hexdigest()[:32]
