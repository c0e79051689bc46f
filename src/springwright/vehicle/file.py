"""Reading and writing the design file. The file is the truth: comments and the builder's own units stay."""

from __future__ import annotations

import contextlib
import pickle
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from springwright.cells import sheet_cells
from springwright.errors import Fault, FieldFault, InputError, QuantityError
from springwright.evaluation import remembered
from springwright.files import is_there, read_file, write_whole
from springwright.letters import control
from springwright.units import KINDS, parse, split, text_in
from springwright.vehicle.design import Design
from springwright.vehicle.faults import Location, dotted, located_faults, written
from springwright.vehicle.formats import FORMAT, lifted
from springwright.vehicle.lines import TextLines
from springwright.vehicle.side_files import SideFiles
from springwright.vehicle.standing import check_estimates

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

# Keys that name a file beside the design; a ground that ends in .csv is read as a profile, whichever way it is given.
NAMING = ("catalogue", "profile", "test_sheet", "points", "grades", "obstacle")


@dataclass(frozen=True, eq=False)
class DesignFile:
    """A design with the text it came from; two are the same only if they are one object.

    `held`: what the files beside it said when they were last read, by name, used where one can be read no more, and a catalogue that
    cannot be read is left out and said, so that the rest goes on, as on a page; with None any of them is a fault.
    """

    path: Path
    text: str
    design: Design
    held: dict[str, str] | None = None
    beside: tuple[str, ...] = ()  # what is the matter with files beside it
    renamed: tuple[
        str, ...
    ] = ()  # keys of an older format that have another name now, and how files beside it were read, a sentence each
    _written: list[TOMLDocument] = field(
        default_factory=list, repr=False
    )  # its text as a document, till that is given away
    _packed: list[bytes] = field(
        default_factory=list, repr=False
    )  # the same to be made again: parsing takes five times as long

    @property
    def lenient(self) -> bool:
        """Whether it goes on without files beside it."""
        return self.held is not None

    def saying(self, text: str) -> DesignFile:
        """The file with another text, checked as a whole."""
        if self.held is not None:
            return leniently(self.path, text, self.held)
        text, renamed = _lifted(text, self.path.name)
        return DesignFile(self.path, text, read_text(text, self.path.name, self.path.parent), renamed=renamed)

    def document(self) -> TOMLDocument:
        """Its text as a document to be changed at will: whoever asks has it for themselves."""
        import tomlkit  # only editing needs it; reading goes through the faster tomllib

        if self._written:
            return self._written.pop()
        if not self._packed:
            self._packed.append(pickle.dumps(tomlkit.parse(self.text)))
        document: TOMLDocument = pickle.loads(self._packed[0])
        return document

    def written_as(self, document: TOMLDocument) -> DesignFile:
        """Remember a document that says what its text does: reading it anew costs more than all else an edit does."""
        if not self._written:
            self._written.append(document)
        return self

    def with_design(self, design: Design) -> DesignFile:
        """The file holding `design`: only what differs is rewritten, each value in the unit it had."""
        document = self.document()
        _merge(document, self.design.model_dump(mode="json"), design.model_dump(mode="json"))
        text = document.as_string()
        return self.saying(text)

    def fault(self, fault: FieldFault) -> InputError:
        """A fault found while calculating, said as one of this file's."""
        data = parsed(self.text)
        return InputError(self.path.name, [_on_its_line(_told(fault, data), fault.path, TextLines(self.text))])

    def save(self, path: Path | None = None) -> DesignFile:
        """Write the file whole or not at all."""
        target = path or self.path
        write_whole(target, self.text)
        return replace(self, path=target)


def load(path: str | Path) -> DesignFile:
    """Read and check a design file.

    Raises
    ------
    InputError
        The file is not there, is no TOML, or something in it must be mended; every fault is listed.

    """
    path = Path(path)
    text, renamed = _lifted(read_file(path), path.name)
    try:
        design = read_text(text, path.name, path.parent)
        return DesignFile(path, text, design, renamed=(*renamed, *understood_beside(path.parent, text)))
    except InputError as fault:
        if not renamed:
            raise
        raise InputError(path.name, [*fault.faults, Fault("format", "", renamed[0])]) from None


def understood_beside(folder: Path, text: str) -> tuple[str, ...]:
    """What was understood of each file beside a design that a spreadsheet wrote in another way, a sentence each."""
    said = []
    for name in dict.fromkeys(name for _, name in files_named(parsed(text)) if name.endswith(".csv")):
        with contextlib.suppress(InputError):  # told where it is used
            if how := _understood(read_file(folder / name)):
                said.append(f"{name} is {how}")
    return tuple(said)


@remembered(4)
def _understood(text: str) -> str:
    return sheet_cells(text).understood


def opened(file: DesignFile | str | Path) -> DesignFile:
    """A design file, or the one at a path."""
    return file if isinstance(file, DesignFile) else load(file)


def leniently(path: Path, text: str, held: dict[str, str] | None = None, name: str = "") -> DesignFile:
    """A text as the file at a path, to go on with whatever happens to the files beside it; `name` is the file named in faults."""
    name, held = name or path.name, {} if held is None else held
    text, renamed = _lifted(text, name)
    side = SideFiles(name, path.parent, held)
    design = read_text(text, name, side=side)
    return DesignFile(path, text, design, held, tuple(side.faults), (*renamed, *understood_beside(path.parent, text)))


def files_named(data: Any) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Every file that a design's data names, with the way to it."""

    def look(value: Any, key: str, at: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], str]]:
        if isinstance(value, dict):
            for name, one in value.items():
                yield from look(one, name, (*at, name))
        elif isinstance(value, list):
            for i, one in enumerate(value):
                yield from look(one, key, (*at, i))
        elif isinstance(value, str) and key in NAMING:
            yield at, value

    yield from look(data, "", ())


def check_output(output: Path, file: DesignFile, *more: Path) -> None:
    """Refuse an output that would replace the design, a file that it or this run reads, or any other design; through links too.

    Raises
    ------
    InputError
        It would.

    """
    folder = Path(file.path).parent
    read = [Path(file.path), *(folder / name for _, name in files_named(parsed(file.text))), *more]
    with contextlib.suppress(OSError, ValueError):  # what cannot be looked at is refused where it is written
        if not output.exists():
            return
        if any(one.exists() and one.samefile(output) for one in read):
            raise InputError(
                str(output), [Fault("", "", "is read by this run and would be lost; write to another name")]
            )
        if looks_like_design(output.resolve()):
            raise InputError(str(output), [Fault("", "", "is a design file and would be lost; write to another name")])


def looks_like_design(path: Path) -> bool:
    """Whether a file is a design: a table that one cannot be without stands near its beginning."""
    if not is_there(path):  # a pipe would be waited for
        return False
    try:
        with path.open(encoding="utf-8") as file:
            return "[vehicle]" in file.read(20_000)
    except (OSError, UnicodeDecodeError):
        return False


def _check_texts(data: Any, name: str) -> None:
    """Refuse control characters in the keys and texts of a design, however they were written there."""

    def look(value: Any, at: tuple[str | int, ...]) -> None:
        for step, one in (
            value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
        ):
            for text in (step, one):
                if isinstance(text, str) and (place := control(text)) is not None:
                    raise InputError(
                        name,
                        [
                            Fault(
                                dotted((*at, step), data),
                                ascii(one),
                                f"holds a control character, {text[place]!a}; take it out",
                            )
                        ],
                    )
            look(one, (*at, step))

    look(data, ())


def read_text(text: str, name: str, folder: Path | None = None, side: SideFiles | None = None) -> Design:
    """The design in a TOML text; `name` is the file named in faults, `folder` is where the files it names are looked for, unless `side` does that."""
    data = _toml(_lifted(text, name)[0], name)
    _check_texts(data, name)
    if "readings" in data and "axles" not in data:
        raise InputError(name, [Fault("", "", "is a readings file; name the design that it is of")])
    (side or SideFiles(name, folder)).bring(data)
    try:
        return _design(data)
    except ValidationError as error:
        each, lines = located_faults(error, data, Design), TextLines(text)
        raise InputError(name, [_on_its_line(fault, at, lines) for at, fault in each]) from None
    except FieldFault as fault:
        raise InputError(name, [_on_its_line(_told(fault, data), fault.path, TextLines(text))]) from None


def faults_in(text: str, name: str, side: SideFiles) -> list[tuple[Location, Fault]]:
    """Every fault of a TOML text as a design, with its place; none where it is one. What is no design file at all has one fault, at no place."""
    try:
        data = _toml(_lifted(text, name)[0], name)
        _check_texts(data, name)
    except InputError as error:
        return [((), fault) for fault in error.faults]
    names = {dotted(at, data): at for at, _ in files_named(data)}
    try:
        side.bring(data)
    except InputError as error:
        return [(names.get(fault.path, ()), fault) for fault in error.faults]
    try:
        _design(data)
    except ValidationError as error:
        return located_faults(error, data, Design)
    except FieldFault as fault:
        return [(fault.path, _told(fault, data))]
    return []


def _design(data: dict[str, Any]) -> Design:
    design = Design.model_validate(data)
    check_estimates(design)
    return design


def _on_its_line(fault: Fault, at: Location, lines: TextLines) -> Fault:
    number = lines.of(at)
    return replace(fault, line=number, text=lines.said(number))


def _told(fault: FieldFault, data: dict[str, Any]) -> Fault:
    return Fault(dotted(fault.path, data), written(data, fault.path), fault.message)


def _toml(text: str, name: str) -> dict[str, Any]:
    return deepcopy(_read(text, name))  # files it names are read into it


def _read(text: str, name: str) -> dict[str, Any]:
    try:
        return parsed(text)
    except (RecursionError, OverflowError):
        raise InputError(
            name, [Fault("", "", "is not a design file: it is nested too deep or holds a number too large")]
        ) from None
    except ValueError as error:
        raise InputError(
            name, [Fault("", "", f"is not valid TOML: {error}. Mend that line; texts and quantities stand in quotes")]
        ) from None


def in_this_format(text: str, name: str) -> str:
    """A text in the format this program writes; one that cannot be lifted or read as it is."""
    try:
        return _lifted(text, name)[0]
    except InputError:
        return text


def _lifted(text: str, name: str) -> tuple[str, tuple[str, ...]]:
    """The text in the format this program writes, and what was renamed, as a sentence."""
    version = _read(text, name).get("format", FORMAT)
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise InputError(name, [Fault("format", str(version), f"is no format known here; write format = {FORMAT}")])
    if version > FORMAT:
        raise InputError(
            name, [Fault("format", str(version), f"this Springwright reads formats up to {FORMAT}; use a newer one")]
        )
    if version == FORMAT:
        return text, ()
    made, names = lifted(text, name)
    said = f"written in format {version} and read as format {FORMAT}" + (f": {', '.join(names)}" if names else "")
    return made, (f"{said}; saved, it is in format {FORMAT}",)


@remembered(16)
def parsed(text: str) -> dict[str, Any]:
    """What a text in TOML says, as plain data that is not to be changed."""
    return tomllib.loads(text)


def _merge(table: Any, old: dict[str, Any], new: dict[str, Any]) -> None:
    """Put what changed from `old` to `new` into a tomlkit table, leaving the rest untouched."""
    for key, value in new.items():
        if key not in old or old[key] != value:
            _put(table, key, old.get(key), value)
    for key in set(old) - set(new):
        if key in table:
            del table[key]


def _put(table: Any, key: str | int, old: Any, value: Any) -> None:
    present = key in table if isinstance(key, str) else key < len(table)
    if value is None:
        if present:
            del table[key]
    elif isinstance(value, dict) and isinstance(old, dict) and present:
        _merge(table[key], old, value)
    elif isinstance(value, list) and isinstance(old, list) and present and len(value) == len(old) == len(table[key]):
        for i, (before, after) in enumerate(zip(old, value, strict=True)):
            if before != after:
                _put(table[key], i, before, after)
    elif isinstance(value, str) and present and isinstance(table[key], str):
        table[key] = _restated(value, table[key])
    else:
        table[key] = _without_none(value)


def _restated(text: str, like: str) -> str:
    """A quantity text rewritten in the unit of another, where both are quantities of one kind."""
    try:
        unit = split(like)[1]
        for kind, info in KINDS.items():
            if unit and split(text)[1] == info.metric:
                return text_in(parse(text, kind), kind, unit)
    except QuantityError:
        return text
    return text


def _without_none(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_none(item) for key, item in value.items() if item is not None}
    if isinstance(value, list):
        return [_without_none(item) for item in value]
    return value


def data_of(file: DesignFile) -> dict[str, Any]:
    """What a design's text says as plain data to be changed, with what the files beside it say in place of their names.

    Raises
    ------
    InputError
        A file beside it cannot be used any more.

    """
    data = _toml(file.text, file.path.name)
    SideFiles(file.path.name, Path(file.path).parent, None if file.held is None else dict(file.held)).bring(data)
    return data
