"""Who makes a part, what it is called there, what one costs and how long it takes."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from springwright.quantities import Duration, Kind, Name, Record

Price = Annotated[float, Kind("ratio", least=0.0)]


class Supply(Record):
    """Where a part comes from, as the builder was told: its maker, its name there, the `price` of one in `currency`, and how long it takes to come."""

    maker: Name | None = None
    called: Name | None = None
    price: Price | None = None
    currency: Annotated[str, Field(max_length=8)] = ""
    lead_time: Duration | None = None
