"""A small vocabulary for line drawings: lines, shapes and words with a class each, and the ink those classes stand for.

A drawing carries classes only. On a page the page's stylesheet gives them colour; `standalone` puts
the paper tokens in, for a file or a printed sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

# Class -> what it looks like on paper. fill classes begin with f.
PAPER = {
    ".ink": "fill:none;stroke:#1f262b;stroke-width:1.25;stroke-linejoin:round;stroke-linecap:round",
    ".hair": "fill:none;stroke:#59625f;stroke-width:.8",
    ".bold": "fill:none;stroke:#1f262b;stroke-width:2;stroke-linejoin:round;stroke-linecap:round",
    ".dash": "fill:none;stroke:#59625f;stroke-width:1;stroke-dasharray:5 4",
    ".dots": "fill:none;stroke:#1f262b;stroke-width:.8;stroke-dasharray:2 3",
    ".pencil": "fill:none;stroke:#6b2a63;stroke-width:1.25",
    ".paper-line": "fill:none;stroke:#fff;stroke-linejoin:round;stroke-linecap:round",
    ".series-1": "fill:none;stroke:#0072b2;stroke-width:1.25;stroke-linejoin:round",
    ".series-2": "fill:none;stroke:#d55e00;stroke-width:1.25;stroke-linejoin:round",
    ".series-3": "fill:none;stroke:#009e73;stroke-width:1.25;stroke-linejoin:round",
    ".dashed": "stroke-dasharray:5 4",
    ".f-ink": "fill:#1f262b",
    ".f-paper": "fill:#fff",
    ".f-shut": "fill:#e8e8e6",
    ".f-pencil": "fill:#6b2a63",
    "text": "font-family:'Charter','Libertinus Serif','Noto Serif',serif;font-size:12px;fill:#1f262b;stroke:none",
    "text.soft": "fill:#59625f",
    "text.strong": "font-weight:700",
    "text.mine": "fill:#6b2a63;font-weight:700",
    "text.end": "text-anchor:end",
    "text.middle": "text-anchor:middle",
}


class Drawing:
    """Marks on a sheet of a given size [px]; y grows downwards."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self.width, self.height, self.title = width, height, title
        self._marks: list[str] = []

    def line(self, x1: float, y1: float, x2: float, y2: float, ink: str = "ink") -> None:
        """A straight line."""
        self._marks.append(f'<path class="{ink}" d="M{x1:.2f} {y1:.2f}L{x2:.2f} {y2:.2f}"/>')

    def path(
        self, points: Iterable[Sequence[float]], ink: str = "ink", *, width: float | None = None, closed: bool = False
    ) -> None:
        """A line through points, of its class's width or one of its own."""
        body = "L".join(f"{x:.2f} {y:.2f}" for x, y in points)
        own = f' style="stroke-width:{width:.2f}"' if width is not None else ""
        self._marks.append(f'<path class="{ink}"{own} d="M{body}{"Z" if closed else ""}"/>')

    def box(self, x: float, y: float, width: float, height: float, ink: str) -> None:
        """A rectangle."""
        self._marks.append(
            f'<rect class="{ink}" x="{x:.2f}" y="{y:.2f}" width="{max(width, 0):.2f}" height="{max(height, 0):.2f}"/>'
        )

    def dot(self, x: float, y: float, radius: float, ink: str = "f-ink") -> None:
        """A round dot."""
        self._marks.append(f'<circle class="{ink}" cx="{x:.2f}" cy="{y:.2f}" r="{radius:.2f}"/>')

    def word(self, x: float, y: float, text: str, look: str = "") -> None:
        """A line of text; `look` is any of soft, strong, mine, and end or middle for where it is held."""
        kind = f' class="{look}"' if look else ""
        self._marks.append(f'<text{kind} x="{x:.2f}" y="{y:.2f}">{escape(text)}</text>')

    def place(self, other: Drawing, x: float, y: float) -> None:
        """Another drawing put on this sheet with its corner at x, y."""
        self._marks.append(f'<g transform="translate({x:.2f} {y:.2f})">{"".join(other._marks)}</g>')

    def svg(self) -> str:
        """The drawing for a page that brings its own stylesheet."""
        return self._wrap("")

    def standalone(self) -> str:
        """The drawing with the paper's ink in it."""
        rules = "".join(f"{name}{{{look}}}" for name, look in PAPER.items())
        return self._wrap(f"<style>{rules}</style>")

    def _wrap(self, style: str) -> str:
        size = f'viewBox="0 0 {self.width:.1f} {self.height:.1f}" width="{self.width:.1f}" height="{self.height:.1f}"'
        head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" aria-label={quoteattr(self.title)}>'
        return f"{head}{style}<title>{escape(self.title)}</title>{''.join(self._marks)}</svg>"
