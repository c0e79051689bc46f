"""Writes docs/lessons: the twelve lessons on a demo. Run: python -m builders.lessons"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from springwright.lessons.lesson import LESSONS, demo_design, lesson
from springwright.report.lesson import lesson_page

FOLDER = Path("docs/lessons")


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    for path, text in pages():
        path.write_text(text)


def pages() -> Iterator[tuple[Path, str]]:
    """Every page with its path."""
    file = demo_design()
    for number in range(1, len(LESSONS) + 1):
        yield FOLDER / f"{number:02}.md", "\n".join(lesson_page(lesson(number, file)))


if __name__ == "__main__":
    main()
