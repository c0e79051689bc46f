"""A small vocabulary for line drawings: lines, shapes and words with a class each, and the ink those classes stand for.

A drawing carries classes only. On a page the page's stylesheet gives them colour; `standalone` puts
the paper tokens in, for a file or a printed sheet.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from math import hypot
from typing import Any
from xml.sax.saxutils import escape, quoteattr

# Class -> what it looks like on paper. fill classes begin with f.
PAPER = {
    ".ink": "fill:none;stroke:#1f262b;stroke-width:1.25;stroke-linejoin:round;stroke-linecap:round",
    ".hair": "fill:none;stroke:#59625f;stroke-width:.8",
    ".bold": "fill:none;stroke:#1f262b;stroke-width:2;stroke-linejoin:round;stroke-linecap:round",
    ".dash": "fill:none;stroke:#59625f;stroke-width:1;stroke-dasharray:5 4",
    ".dots": "fill:none;stroke:#1f262b;stroke-width:.8;stroke-dasharray:2 3",
    ".pencil": "fill:none;stroke:#6b2a63;stroke-width:1.25",
    ".hit": "fill:none;stroke:none",
    ".faint": "fill:none;stroke:#c9c9c4;stroke-width:.8",
    ".wire": "fill:none;stroke:#1f262b;stroke-linejoin:round;stroke-linecap:round",
    ".wire-far": "fill:none;stroke:#59625f;stroke-linejoin:round;stroke-linecap:round",
    ".paper-line": "fill:none;stroke:#fff;stroke-linejoin:round;stroke-linecap:round",
    ".series-1": "fill:none;stroke:#0072b2;stroke-width:1.25;stroke-linejoin:round",
    ".series-2": "fill:none;stroke:#d55e00;stroke-width:1.25;stroke-linejoin:round",
    ".series-3": "fill:none;stroke:#009e73;stroke-width:1.25;stroke-linejoin:round",
    ".series-4": "fill:none;stroke:#1f262b;stroke-width:1.25;stroke-linejoin:round",
    ".series-5": "fill:none;stroke:#cc79a7;stroke-width:1.25;stroke-linejoin:round",
    ".thick": "stroke-width:2;stroke-linecap:round",
    ".dashed": "stroke-dasharray:5 4",
    ".f-ink": "fill:#1f262b",
    ".f-paper": "fill:#fff",
    ".f-shut": "fill:#e8e8e6",
    ".f-soft": "fill:#59625f",
    ".f-pencil": "fill:#6b2a63",
    ".f-series-1": "fill:#0072b2",
    ".f-series-2": "fill:#d55e00",
    ".f-series-3": "fill:#009e73",
    ".f-series-4": "fill:#1f262b",
    ".f-series-5": "fill:#cc79a7",
    "text": "font-family:'Charter','Libertinus Serif','Noto Serif',serif;font-size:12px;fill:#1f262b;stroke:none",
    "text.halo": "paint-order:stroke;stroke:#fff;stroke-width:4px;stroke-linejoin:round",
    "text.soft": "fill:#59625f",
    "text.strong": "font-weight:700",
    "text.mine": "fill:#6b2a63;font-weight:700",
    "text.end": "text-anchor:end",
    "text.middle": "text-anchor:middle",
}


class Drawing:
    """Marks on a sheet of a given size [px] whose upper edge is at `top`; y grows downwards."""

    def __init__(self, width: float, height: float, title: str, *, top: float = 0.0) -> None:
        self.width, self.height, self.title, self.top = width, height, title, top
        self._marks: list[str] = []

    def line(self, x1: float, y1: float, x2: float, y2: float, ink: str = "ink") -> None:
        """A straight line."""
        self._marks.append(f'<path class="{ink}" d="M{x1:.2f} {y1:.2f}L{x2:.2f} {y2:.2f}"/>')

    def path(
        self,
        points: Iterable[Sequence[float]],
        ink: str = "ink",
        *,
        width: float | None = None,
        closed: bool = False,
        line: str | None = None,
    ) -> None:
        """A line through points, of its class's width, or for a class without one of its own; `line` names one that can be read off."""
        body = "L".join(f"{x:.2f} {y:.2f}" for x, y in points)
        own = f' stroke-width="{width:.2f}"' if width is not None else ""
        read = f" data-line={quoteattr(line)}" if line is not None else ""
        self._marks.append(f'<path class="{ink}"{own}{read} d="M{body}{"Z" if closed else ""}"/>')

    def paths(self, lines: Iterable[Iterable[Sequence[float]]], ink: str, *, width: float) -> None:
        """Several lines of one look as one mark."""
        body = "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) for points in lines)
        self._marks.append(f'<path class="{ink}" stroke-width="{width:.2f}" d="{body}"/>')

    def box(self, x: float, y: float, width: float, height: float, ink: str) -> None:
        """A rectangle."""
        self._marks.append(
            f'<rect class="{ink}" x="{x:.2f}" y="{y:.2f}" width="{max(width, 0):.2f}" height="{max(height, 0):.2f}"/>'
        )

    def dot(self, x: float, y: float, radius: float, ink: str = "f-ink") -> None:
        """A round dot."""
        self._marks.append(f'<circle class="{ink}" cx="{x:.2f}" cy="{y:.2f}" r="{radius:.2f}"/>')

    def rounded(self, points: Sequence[Sequence[float]], ink: str, radius: float) -> None:
        """A closed outline whose corners are eased by up to `radius` [px], never more than a third of a side."""
        body = ""
        for (x0, y0), (x, y), (x1, y1) in zip(
            (points[-1], *points[:-1]), points, (*points[1:], points[0]), strict=True
        ):
            before, after = hypot(x0 - x, y0 - y), hypot(x1 - x, y1 - y)
            a, b = (min(radius / side, 1 / 3) if side else 0.0 for side in (before, after))
            body += f"{'L' if body else 'M'}{x + a * (x0 - x):.2f} {y + a * (y0 - y):.2f}"
            body += f"Q{x:.2f} {y:.2f} {x + b * (x1 - x):.2f} {y + b * (y1 - y):.2f}"
        self._marks.append(f'<path class="{ink}" d="{body}Z"/>')

    @contextmanager
    def group(self, name: str, ink: str = "", shift: Sequence[float] | None = None) -> Iterator[None]:
        """What is drawn within belongs to a group of this id; `shift` (a, b, c, d, e, f) moves it: x' = a x + c y + e, y' = b x + d y + f."""
        kind = f' class="{ink}"' if ink else ""
        moved = f' transform="matrix({" ".join(f"{one:.6g}" for one in shift)})"' if shift is not None else ""
        self._marks.append(f"<g id={quoteattr(name)}{kind}{moved}>")
        yield
        self._marks.append("</g>")

    @contextmanager
    def pressed(
        self, does: Mapping[str, Any] | None, name: str, ink: str = "", *, tab: int = 0, **marks: object
    ) -> Iterator[None]:
        """What is drawn within can be pressed on a page to do something, which `name` says; with None it cannot.

        `tab` is its place for the Tab key, -1 to leave it out; `marks` are data of its own.
        """
        kind = f' class="{ink}"' if ink else ""
        data = "".join(f" data-{key}={quoteattr(str(value))}" for key, value in marks.items())
        act = (
            f' role="button" tabindex="{tab}" aria-label={quoteattr(name)} data-do={quoteattr(json.dumps(dict(does)))}'
            if does
            else ""
        )
        told = f"<title>{escape(name)}</title>" if does else ""
        self._marks.append(f"<g{kind}{data}{act}>{told}")
        yield
        self._marks.append("</g>")

    @contextmanager
    def held(self, name: str, kind: str, data: str) -> Iterator[None]:
        """What is drawn within can be taken hold of on a page, as `name` says; `data`, as JSON, is what the page's own script wants of a `kind`."""
        self._marks.append(f'<g class="{kind}" tabindex="0" role="group" aria-label={quoteattr(name)} data-{kind}={quoteattr(data)}>')  # fmt: skip
        yield
        self._marks.append("</g>")

    @contextmanager
    def row(self, box: Sequence[float], x: tuple[float, float, str, bool], y: tuple[float, float]) -> Iterator[None]:
        """The lines drawn within can be read off: `box` is left, top, right and foot [px], `x` what its sides stand for (with the unit, and whether by powers of ten), `y` foot and top."""
        low, high, title, logarithmic = x
        along = json.dumps({"low": low, "high": high, "unit": title, "log": logarithmic})
        up = json.dumps({"low": y[0], "high": y[1]})
        self._marks.append(
            f"<g data-box={quoteattr(json.dumps(list(box)))} data-x={quoteattr(along)} data-y={quoteattr(up)}>"
        )
        yield
        self._marks.append("</g>")

    def word(self, x: float, y: float, text: str, look: str = "") -> None:
        """A line of text; `look` is any of soft, strong, mine, halo, and end or middle for where it is held."""
        kind = f' class="{look}"' if look else ""
        self._marks.append(f'<text{kind} x="{x:.2f}" y="{y:.2f}">{escape(text)}</text>')

    def place(self, other: Drawing, x: float, y: float) -> None:
        """Another drawing put on this sheet with its corner at x, y."""
        self._marks.append(f'<g transform="translate({x:.2f} {y:.2f})">{"".join(other._marks)}</g>')

    def svg(self, over: str = "") -> str:
        """The drawing for a page that brings its own stylesheet; `over` is what that page puts on top."""
        return self._wrap("", over)

    def standalone(self) -> str:
        """The drawing with the paper's ink in it."""
        rules = "".join(f"{name}{{{look}}}" for name, look in PAPER.items())
        return self._wrap(f"<style>{rules}</style>")

    def _wrap(self, style: str, over: str = "") -> str:
        size = f'viewBox="0 {self.top:g} {self.width:.1f} {self.height:.1f}" width="{self.width:.1f}" height="{self.height:.1f}"'
        head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" aria-label={quoteattr(self.title)}>'
        return f"{head}{style}<title>{escape(self.title)}</title>{''.join(self._marks)}{over}</svg>"
