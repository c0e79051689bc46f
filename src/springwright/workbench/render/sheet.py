"""The worksheet as HTML: every section by its own template, as named parts that a page can change one by one."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from functools import partial
from typing import Any

import jinja2
from markupsafe import Markup

from springwright.units import displayed_in
from springwright.workbench.audience import STANDS
from springwright.workbench.model.document import Document
from springwright.workbench.model.shown import Shown
from springwright.workbench.render import environment as templates
from springwright.workbench.render.page import Page, SheetPart


def nothing_wanted(_: Page, __: SheetPart) -> Mapping[str, Any]:
    """What a part of an unfinished sheet shows where nothing can be built."""
    return {}


def render(
    name: str,
    document: Document,
    shown: Shown,
    parts: tuple[SheetPart, ...],
    template: Callable[[str], jinja2.Template] = templates.template,
    unfinished: Callable[[Page, SheetPart], Mapping[str, Any]] = nothing_wanted,
    only: Container[str] | None = None,
    before_each: Callable[[], None] = lambda: None,
) -> dict[str, str]:
    """Every part of the page as HTML, or `only` some, by the id of its element; `template` finds that of a part by its name.

    What `before_each` part raises ends the making; what was made by then is kept for the next time.
    """
    with displayed_in(document.view.system), document.evaluation as evaluation:
        page = Page(name, document, shown, template, parts)
        made: dict[str, str] = {}
        for part in parts:
            if only is not None and part.name not in only:
                continue
            before_each()
            if document.unfinished is not None and part.name != "text":
                page.form.begin(part.name)
                made[part.name] = template("unfinished").render(page=page, **unfinished(page, part))
                continue
            made |= evaluation.last(f"part {part.name}", _made_from(page, part), partial(_rendered, page, part))
        return made


def _rendered(page: Page, part: SheetPart) -> dict[str, str]:
    """A section and the parts within it that go to the page on their own; in the section a mark stands for each."""
    context = part.tell(page)
    page.form.begin(part.name)
    whole = page.template(part.name).render(page=page, **context)
    first, *rest = whole.split("<!--+")  # what is typed cannot look like it: it is escaped
    inner, left = {}, [first]
    for one in rest:
        name, _, begun = one.partition("-->")
        inner[name], _, after = begun.partition(f"<!---{name}-->")
        left.append(f'<div id="{name}" data-part></div>{after}')
    return {part.name: "".join(left), **inner}


def _made_from(page: Page, part: SheetPart) -> tuple[Any, ...]:
    """All that a part is made from, so that it is made anew only when one of it has changed."""
    document, shown = page.document, page.shown
    own = part.hangs_on(page)
    if page.edited == part.name:
        own = (*own, answers_of(shown), shown.stale, document.title)
    shows = document.text if document.unfinished is not None else part.shows(page)
    return (shows, document.view, tuple(document.wrong.items()), own)


def answers_of(shown: Shown) -> tuple[int, ...]:
    """Which answers are shown."""
    return tuple(map(id, shown.answers.values()))


def sections(made: Mapping[str, str], parts: tuple[SheetPart, ...]) -> dict[str, str]:
    """Every section of rendered parts whole, with the parts within it where they stand."""
    return {part.name: STANDS.sub(lambda mark: made[mark[1]], made[part.name]) for part in parts}


def frame(name: str, title: str, made: Mapping[str, str], parts: tuple[SheetPart, ...], number: int = 0) -> str:
    """The whole page with every section of rendered parts in it; `number` is that by which its live line names it."""
    whole = sections(made, parts)
    places = {at: [Markup(whole[part.name]) for part in parts if part.at == at] for at in ("above", "main", "below")}
    return (
        templates.environment().get_template("sheet.html").render(name=name, title=title, parts=places, number=number)
    )
