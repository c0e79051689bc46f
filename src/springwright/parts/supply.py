"""Who makes a part, what it is called there, what one costs and how long it takes."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from springwright.quantities import Duration, Kind, Name, Record

DAY = 86400.0  # s
Said = Annotated[str, Field(max_length=80)]
Price = Annotated[float, Kind("ratio", least=0.0)]


class Supply(Record):
    """Where a part comes from, as the builder was told: its maker, its name there, the `price` of one in `currency`, and how long it takes to come.

    And what is settled with the maker: the hand of its `winding`, how its ends fit (`end_fit`), its `coating`, its eyes or studs (`mounts`).
    """

    maker: Name | None = None
    called: Name | None = None
    price: Price | None = None
    currency: Annotated[str, Field(max_length=8)] = ""
    lead_time: Duration | None = None
    winding: Literal["left", "right"] | None = None
    end_fit: Said = ""
    coating: Said = ""
    mounts: Said = ""


def to_settle(
    supply: Supply | None, kind: Literal["coil", "damper", "other"], endurance: str = ""
) -> tuple[tuple[str, str], ...]:
    """What an order leaves to be settled with the maker, with what is settled already: label and text, empty where it is not."""
    told = supply or Supply()
    rows = [("hand of winding", told.winding or ""), ("fit of the ends", told.end_fit)] if kind == "coil" else []
    rows += [("endurance asked", endurance)] if endurance else []
    rows += [("eyes or studs, both ends", told.mounts)] if kind == "damper" else []
    price = "" if told.price is None else f"{told.price:.2f} {told.currency}".strip()
    when = "" if told.lead_time is None else f"{told.lead_time / DAY:.0f} days"
    return (*rows, ("coating", told.coating), ("delivery", when), ("price, each", price))
