"""The name of a grade in a design, with the grade itself where the design brings it in a file of its own."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import PlainSerializer, PlainValidator


class Brought(str):
    """A grade's name that carries the grade: two are one only if both say the same, so that no design sees another's."""

    __slots__ = ("of",)
    of: Any

    def __new__(cls, name: str, of: Any) -> Brought:
        """Of a name and what it names."""
        made = super().__new__(cls, name)
        made.of = of
        return made

    def __eq__(self, other: object) -> bool:
        """By name and by what it names."""
        return isinstance(other, Brought) and str.__eq__(self, other) and self.of == other.of

    def __ne__(self, other: object) -> bool:
        """The other way about."""
        return not self == other

    def __hash__(self) -> int:
        """By name and by what it names."""
        return hash((str(self), self.of))

    def __reduce__(self) -> tuple[Any, ...]:
        """So that it goes whole to another process."""
        return Brought, (str(self), self.of)


def _name(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError("must be a text, the name of a grade")
    return value


GradeName = Annotated[str, PlainValidator(_name, json_schema_input_type=str), PlainSerializer(str, when_used="json")]
