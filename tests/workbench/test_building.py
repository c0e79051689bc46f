"""A sheet built from nothing: what is not whole yet waits, says what it wants, and reads in the end as a person would write it."""

from __future__ import annotations

import html
import json
import re
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

from springwright.drawing.kinds import SKETCHES
from springwright.errors import InputError, QuantityError
from springwright.sizing.fitted import sized
from springwright.vehicle.faults import said_at
from springwright.vehicle.file import load, read_text
from springwright.vehicle.shapes import TAGS, all_places, entry_of, fault_in, general, shape_at, tag_of
from springwright.vehicle.starter import start
from springwright.workbench.actions import ACTIONS
from springwright.workbench.model.axle_alone import axle_alone
from springwright.workbench.model.document import Document
from springwright.workbench.model.reading import check_opens
from springwright.workbench.model.shown import Shown
from springwright.workbench.model.unfinished import begun
from springwright.workbench.render.axle_words import AxleWords
from springwright.workbench.render.environment import template
from springwright.workbench.render.page import Page
from springwright.workbench.render.records import FIELDS
from springwright.workbench.render.sheet import render
from springwright.workbench.render.tray import TrayKind, tray_rows
from springwright.workbench.sections import PARTS
from springwright.workbench.sections.unfinished import unfinished
from springwright.workbench.workspace import DEMOS


def blank(folder: Path) -> Document:
    path = folder / "mine.toml"
    path.write_text(begun(path, "Mine").text)
    return Document.opened(path)


def act(document: Document, do: str, **asked: object) -> None:
    document.said = ""
    with document.evaluation:
        ACTIONS[do](document, {"do": do, **asked})


def page(document: Document) -> dict[str, str]:
    return render("1", document, Shown(), PARTS, template, unfinished)


def opened_wide(document: Document) -> str:
    """The page with everything unfolded."""
    keys = {f"all-{one}" for one in FIELDS} | {f"all-axle-{i}" for i in range(10)}
    document.view = document.view.__class__(
        **{**document.view.__dict__, "open": frozenset(keys), "folded": frozenset()}
    )
    return "".join(page(document).values())


def blanks(shown: str) -> set[tuple[object, ...]]:
    return {tuple(json.loads(html.unescape(one))) for one in re.findall(r'data-at="([^"]*)"', shown)}


def leaves(data: object, at: tuple[str | int, ...] = ()) -> list[tuple[tuple[str | int, ...], object]]:
    if isinstance(data, dict):
        return [one for key, inner in data.items() for one in leaves(inner, (*at, key))]
    if isinstance(data, list):
        return [one for i, inner in enumerate(data) for one in leaves(inner, (*at, i))]
    return [(at, data)]


def written(value: object) -> str:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def build(document, wanted, act=act):  # type: ignore[no-untyped-def]
    """Make a design of a blank sheet with what the page offers, by `act` and by the blanks: axles put in, tables begun and turned, values written."""
    for i, axle in enumerate(wanted["axles"]):
        act(document, "axle", place=axle["behind_front_axle"] if i else "")
        act(document, "turn", at=["axles", i, "wheels"], to="one" if axle.get("wheels") == 1 else axle["kind"])
        for part in ("spring", "damper"):
            if part in axle:
                act(document, "turn", at=["axles", i, part, "acts"], to=axle[part]["acts"]["by"])
    data = lambda: tomllib.loads(document.text)  # noqa: E731 as it stands now
    if "scales" in wanted["kerb"]:
        act(document, "turn", at=["kerb", "weighed"], to="scales")
    for at, value in leaves(wanted):
        if at == ("format",):
            continue
        for depth in range(1, len(at)):
            here = at[:depth]
            listed = shape_at(data(), here)
            if listed.what == "names" or (listed.what == "list" and entry_of(listed).what in ("table", "kinds")):
                continue  # begun with its first entry
            if said_at(data(), here) is None:
                act(document, "give", at=list(here))
            shape, kind = shape_at(data(), here), tag_of(said_at(wanted, here))
            if shape.what == "kinds" and tag_of(said_at(data(), here)) != kind:
                act(document, "turn", at=list(here), to=kind)
        if shape_at(data(), at[:-1]).what == "names" and said_at(data(), at) is None:
            act(document, "give", at=list(at[:-1]), to=at[-1])
        elif shape_at(data(), at[:-1]).what == "list" and said_at(data(), at) is None:
            act(document, "give", at=list(at))
        if at[-1] not in TAGS and said_at(data(), at) != value:
            kind = shape_at(data(), at).value
            share = kind is not None and kind.kind == "share" and not isinstance(value, str)
            assert document.write(at, f"{100 * value:g} %" if share else written(value)), (at, value, document.wrong)


@pytest.mark.parametrize("demo", DEMOS)
def test_every_demo_can_be_built_from_a_blank_sheet(demo: str, tmp_path: Path) -> None:
    text = (files("springwright") / "demos" / f"{demo}.toml").read_text(encoding="utf-8")
    wanted = tomllib.loads(text)
    start(tmp_path / "there.toml", demo)  # with the catalogue it names
    document = blank(tmp_path)
    build(document, wanted)
    assert document.unfinished is None, [str(one) for _, one in document.unfinished.to_mend] + [
        *document.unfinished.empty
    ]
    made = tomllib.loads(document.text)
    assert {at for at, _ in leaves(made)} <= {at for at, _ in leaves(wanted)}  # what is so anyway need not be written
    told = document.file.design.model_dump(mode="json")
    assert told == read_text(text, demo, tmp_path).model_dump(mode="json")
    there = blanks(opened_wide(document))
    for at, _ in leaves(made):
        if at[0] != "format" and at[-1] not in TAGS:
            assert at in there, f"{at} has no blank"
    document.save()
    assert sized(load(document.path)).rates


def test_no_value_of_the_design_file_is_without_a_blank() -> None:
    """Every field belongs to a section that shows all of it: the axles to Place, the rest by name."""
    tops = {re.split(r"[.\[]", one)[0] for one in all_places()}
    shown = {name for held in FIELDS.values() for name in held} | {"axles"}
    assert tops - shown == {"format"}
    assert sum(len(held) for held in FIELDS.values()) + 1 == len(shown)  # each in one section alone


def demo_sheet(folder: Path, demo: str = "fire-watch") -> Document:
    start(folder / "truck.toml", demo)
    return Document.opened(folder / "truck.toml")


def test_an_axle_turned_into_another_kind_keeps_what_both_share_and_comes_back_whole(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path)
    before = document.text
    rear = tomllib.loads(before)["axles"][1]
    act(document, "turn", at=["axles", 1, "wheels"], to="independent")
    assert document.unfinished is None or document.unfinished.in_kind
    now = tomllib.loads(document.text)["axles"][1]
    assert now["kind"] == "independent"
    assert now["spring"]["acts"]["by"] == "lever"
    assert {key: now["spring"]["acts"][key] for key in ("arm", "spring_at")} == {
        key: rear["spring"]["acts"][key] for key in ("arm", "spring_at")
    }
    assert "base" not in now["spring"]["acts"]
    assert (now["track"], now["travel"], now["tyre"]) == (rear["track"], rear["travel"], rear["tyre"])
    assert (
        "1020 mm" not in document.text.split('name = "rear"')[1].split("[[")[0]
    )  # kept with the sheet, not in the file
    act(document, "turn", at=["axles", 1, "wheels"], to="beam")
    assert tomllib.loads(document.text)["axles"][1] == rear
    for _ in range(2):
        act(document, "undo")
    assert document.text == before


def test_what_a_new_kind_lacks_is_counted_and_nothing_is_made_up(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path)
    before = document.file
    act(document, "turn", at=["axles", 0, "held"], to="axle_links")
    now = document.unfinished
    assert now is not None
    assert now.empty == tuple(("axles", 0, "axle_links", "wheel_centre", k) for k in range(3))
    assert document.good is before  # what was worked out stays until the next is whole
    shown = page(document)
    assert "3 empty" in shown["watch"]
    assert "3 blanks are empty" in shown["watch"]
    assert shown["watch"].count("not known") == 7
    act(document, "undo")
    assert document.unfinished is None
    assert "empty" not in page(document)["watch"]


def test_a_value_that_is_none_of_its_kind_hangs_in_the_blank_of_an_unfinished_sheet(tmp_path: Path) -> None:
    document = blank(tmp_path)
    act(document, "axle", place="")
    assert not document.write(("axles", 0, "track"), "12 kg", "track")
    assert not document.write(("axles", 0, "travel", "bump"), "-4 mm", "bump")
    shown = page(document)["place"]
    assert "a length is wanted" in shown
    assert "must be more than 0" in shown
    assert "12 kg" not in document.text
    assert document.write(("axles", 0, "track"), "1500", "track")
    assert tomllib.loads(document.text)["axles"][0]["track"] == "1500 mm"
    assert ("axles", 0, "track") not in document.wrong


def test_an_axle_goes_with_all_that_names_it(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path, "bog-carrier")
    data = tomllib.loads(document.text)
    names = [one["name"] for one in data["axles"]]
    act(document, "out", at=["axles", 1])
    left = tomllib.loads(document.text)
    assert [one["name"] for one in left["axles"]] == [names[0], *names[2:]]
    said = json.dumps({key: value for key, value in left.items() if key not in ("axles", "vehicle")})
    assert f'"{names[1]} left"' not in said
    assert f'"{names[1]}":' not in said
    for side in ("left", "right"):
        readings = said_at(data, ("kerb", "scales", side))
        if readings:
            assert said_at(left, ("kerb", "scales", side)) == [readings[0], *readings[2:]]
    act(document, "undo")
    assert tomllib.loads(document.text) == data


def test_a_new_axle_stands_in_its_order_and_asks_for_its_readings(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path)
    act(document, "axle", place="1500 mm", like=1)
    now = document.unfinished
    assert now is not None
    axles = now.data["axles"]
    assert [one["behind_front_axle"] for one in axles] == ["0 mm", "1500 mm", "2850 mm"]
    assert axles[1]["tyre"] == axles[2]["tyre"]
    assert set(now.empty) == {
        ("kerb", "scales", "left", 1), ("kerb", "scales", "right", 1), *(("kerb", "raised", i, "on_scales", axles[1]["name"]) for i in range(len(now.data["kerb"]["raised"]))),
    }  # fmt: skip
    document.write(("axles", 1, "name"), "second")
    assert all("second" in one["on_scales"] for one in tomllib.loads(document.text)["kerb"]["raised"])


def test_an_unfinished_sheet_is_saved_opened_and_recovered_as_it_is(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path)
    act(document, "turn", at=["axles", 0, "held"], to="axle_links")
    again = Document.recovered(document.to_recover())
    assert again.unfinished is not None
    assert again.text == document.text
    assert again.dirty
    act(again, "undo")
    assert again.unfinished is None
    document.save()
    opened = Document.opened(document.path)
    assert opened.unfinished is not None
    assert opened.unfinished.empty == document.unfinished.empty  # type: ignore[union-attr]
    with pytest.raises(InputError, match="3 values are wanted"):
        opened.file  # noqa: B018 asking is what is refused
    check_opens(document.path)
    with pytest.raises(InputError, match="wheel_centre"):
        load(document.path)


def test_what_is_no_design_is_not_opened_as_an_unfinished_one(tmp_path: Path) -> None:
    for text in ("format = 2\n", '[vehicle]\nname = "x"\nwheels = 4\n', 'format = 2\n[vehicle]\nname = "x"\n[kerb]\nmass = "12 mm"\n', "x"):  # fmt: skip
        path = tmp_path / "bad.toml"
        path.write_text(text)
        for opens in (Document.opened, check_opens):
            with pytest.raises(InputError):
                opens(path)


def test_tables_that_are_built_stand_as_a_person_writes_them(tmp_path: Path) -> None:
    document = blank(tmp_path)
    act(document, "axle", place="")
    act(document, "axle", place="2.6 m")
    act(document, "turn", at=["axles", 0, "spring", "acts"], to="lever")
    act(document, "give", at=["items", 0])
    act(document, "give", at=["items", 0, "tank"])
    act(document, "turn", at=["items", 0, "tank"], to="box")
    assert 'acts = {by = "lever"}' in document.text
    assert 'tank = {shape = "box"}' in document.text
    heads = [i for i, line in enumerate(document.text.splitlines()) if line.startswith("[")]
    assert all(document.text.splitlines()[i - 1] == "" for i in heads)


def test_every_place_of_every_demo_is_in_kind_and_has_a_general_name() -> None:
    there = set(all_places())
    for demo in DEMOS:
        data = tomllib.loads((files("springwright") / "demos" / f"{demo}.toml").read_text(encoding="utf-8"))
        for at, value in leaves(data):
            assert general(data, at) in there
            assert fault_in(shape_at(data, at), value) == ""


def test_a_joint_is_moved_on_its_drawing_as_one_edit_in_the_files_own_unit(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path, "survey-buggy")
    at = ["axles", 0, "wishbones", "lower_front"]
    before = document.text
    act(document, "put", at=[*at, 1], value="26 cm")
    act(document, "move", at=at, values=[[1, "262 mm"], [2, "258 mm"]], label="lower front", gesture="joint-1")
    act(document, "move", at=at, values=[[1, "264 mm"], [2, "256 mm"]], label="lower front", gesture="joint-1")
    assert said_at(tomllib.loads(document.text), tuple(at)) == ["160 mm", "26.4 cm", "256 mm"]
    assert document.undoes == "lower front moved"
    for _ in range(2):
        act(document, "undo")
    assert document.text == before
    with pytest.raises(InputError), document.evaluation:  # where the links do not reach
        ACTIONS["move"](document, {"at": at, "values": [[1, "2 m"]], "label": "", "gesture": ""})
    assert document.text == before


@pytest.mark.parametrize("demo", ["survey-buggy", "fire-watch-links"])
def test_a_handle_lies_on_its_joint_and_a_drag_follows_the_hand(demo: str, tmp_path: Path) -> None:
    """The scale told to the page is that of the drawing: two handles' distance in pixels is that of their points in millimetres."""
    document = demo_sheet(tmp_path, demo)
    shown = page(document)["place-0"]
    found = re.findall(r'data-move="([^"]*)"><circle class="hit" cx="([\d.]+)" cy="([\d.]+)"', shown)
    moves = [(json.loads(html.unescape(move)), float(x), float(y)) for move, x, y in found]
    behind = [one for one in moves if one[0]["axes"] == [1, 2]]
    assert len(behind) > 5
    data = tomllib.loads(document.text)
    (first, x0, y0) = behind[0]
    for move, x, y in behind:
        out, up = (float(said_at(data, (*move["at"], k)).split()[0]) for k in (1, 2))
        assert move["now"] == pytest.approx([out, up], abs=0.01)
        assert (x - x0) * move["per"][0] == pytest.approx(out - first["now"][0], abs=0.3)
        assert (y - y0) * move["per"][1] == pytest.approx(up - first["now"][1], abs=0.3)


# ---- What an unfinished sheet may hold ---------------------------------------------------------------------------------


def there_and_back(document: Document) -> None:
    """Every state can be gone back to and forth again, drawn, saved and opened."""
    states = [one.text for one in document.past] + [document.text]
    for text in reversed(states[:-1]):
        act(document, "undo")
        assert document.text == text
        page(document)
    for text in states[1:]:
        act(document, "redo")
        assert document.text == text
    document.save()
    assert Document.opened(document.path).text == document.text


def test_what_was_once_on_the_desk_can_be_gone_back_to_saved_and_opened(tmp_path: Path) -> None:
    (tmp_path / "whole").mkdir()
    emptied = blank(tmp_path)
    act(emptied, "axle", place="")
    emptied.write(("axles", 0, "damper", "test_sheet"), "not-there.csv")
    assert "not-there.csv" in page(emptied)["place"]
    emptied.write(("axles", 0, "track"), "1500 mm")
    there_and_back(emptied)
    heavy = demo_sheet(tmp_path / "whole")
    heavy.build([(("axles", 0, "unsprung_mass"), "90 t")], "heavy")
    assert heavy.unfinished is not None
    assert heavy.unfinished.unsized
    heavy.write(("axles", 0, "track"), "1500 mm")
    there_and_back(heavy)
    act(heavy, "text", text=f"# a word\n{heavy.text}")
    assert heavy.text_said == ""
    assert heavy.text.startswith("# a word")


SAYS = 'format = 2\n[vehicle]\nname = "x"\n[kerb]\n[[states]]\nname = "Kerb"\n'


@pytest.mark.parametrize(
    "more", ['[[axles]]\nname = "front"\n', '[[axles]]\nname = "front"\n[axles.tyre]\n[axles.travel]\n', "[[items]]\n[items.tank]\n"]
)  # fmt: skip
def test_the_plainest_unfinished_file_opens(more: str, tmp_path: Path) -> None:
    path = tmp_path / "plain.toml"
    path.write_text(SAYS + more)
    document = Document.opened(path)
    assert document.unfinished is not None
    assert "empty" in page(document)["watch"]


@pytest.mark.parametrize(
    "more",
    ['axles = "x"\n', "axles = [3]\n", "hitch = 5\n", '[[axles]]\nname = "a"\ntyre = 5\n', '[[axles]]\nname = "a"\nspring = "s"\n', '[[axles]]\nname = "a"\ntarget = 3\n',
     '[[axles]]\nname = "a"\n[axles.spring]\nacts = { by = "zzz" }\n', "[items]\na = 1\n", '[[axles]]\nname = "a"\n[axles.spring]\nacts = { by = "wishbones", foot = { a = 1 } }\n',
     '[[axles]]\nname = "a"\n[axles.spring]\nacts = { by = "wishbones", foot = ["1 mm"] }\n', "[[items]]\n" * 6000, "unknown = 1\n"],
)  # fmt: skip
def test_what_cannot_be_a_design_is_refused_in_words_and_at_once(more: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(SAYS.replace("format = 2\n", f"format = 2\n{more}") if more[0] != "[" else SAYS + more)
    with pytest.raises(InputError):
        Document.opened(path)


# ---- Names, readings and what is put aside --------------------------------------------------------------------------------


def test_scale_readings_stay_with_their_axles(tmp_path: Path) -> None:
    """On the right stand those of axles of two wheels alone: a reading never becomes another axle's."""
    document = blank(tmp_path)
    for place in ("", "1 m", "2 m"):
        act(document, "axle", place=place)
    act(document, "turn", at=["axles", 0, "wheels"], to="one")
    act(document, "turn", at=["kerb", "weighed"], to="scales")
    for side, readings in (("left", ("300", "110", "220")), ("right", ("111", "222"))):
        for k, one in enumerate(readings):
            document.write(("kerb", "scales", side, k), f"{one} kg")
    act(document, "axle", place="1500 mm")
    scales = tomllib.loads(document.text)["kerb"]["scales"]
    assert scales == {"left": ["300 kg", "110 kg", "", "220 kg"], "right": ["111 kg", "", "222 kg"]}
    act(document, "axle", place="2.5 m", like=0)  # of one wheel
    assert tomllib.loads(document.text)["kerb"]["scales"]["right"] == ["111 kg", "", "222 kg"]
    act(document, "turn", at=["axles", 1, "wheels"], to="one")
    assert tomllib.loads(document.text)["kerb"]["scales"]["right"] == ["", "222 kg"]
    act(document, "turn", at=["axles", 0, "wheels"], to="independent")
    assert tomllib.loads(document.text)["kerb"]["scales"]["right"] == ["", "", "222 kg"]
    act(document, "out", at=["axles", 2])
    assert tomllib.loads(document.text)["kerb"]["scales"]["right"] == ["", "222 kg"]


@pytest.mark.parametrize("demo", DEMOS)
def test_every_entry_with_a_name_is_renamed_and_back(demo: str, tmp_path: Path) -> None:
    document = demo_sheet(tmp_path, demo)
    before = tomllib.loads(document.text)
    for group in ("axles", "items", "states", "grounds"):
        for i, one in enumerate(before.get(group, [])):
            for new in ("another name", one["name"]):
                with document.evaluation:
                    assert document.write((group, i, "name"), new), (group, i, document.wrong)
    assert document.unfinished is None
    after = tomllib.loads(document.text)
    assert after == before


@pytest.mark.parametrize("demo", DEMOS)
def test_what_is_taken_out_is_named_no_more(demo: str, tmp_path: Path) -> None:
    """No item, load state or ground taken out leaves a name that leads nowhere; the sheet stays whole while another is left."""
    for group in ("items", "grounds", "states"):
        folder = tmp_path / group
        folder.mkdir()
        document = demo_sheet(folder, demo)
        count = len(tomllib.loads(document.text).get(group, []))
        for _ in range(count - 1):
            act(document, "out", at=[group, 0])
            assert document.unfinished is None, [str(one) for _, one in document.unfinished.to_mend]


def test_a_name_in_use_or_emptied_is_refused_while_others_hang_on_it(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path, "bog-carrier")
    act(document, "turn", at=["axles", 0, "held"], to="axle_links")
    before = document.text
    names = [one["name"] for one in tomllib.loads(before)["axles"]]
    assert not document.write(("axles", 1, "name"), names[0])
    assert not document.write(("axles", 1, "name"), "")
    assert document.text == before
    assert document.write(("axles", 1, "name"), "another")
    assert f'"{names[1]}"' not in document.text


def test_what_was_put_aside_goes_with_its_axle(tmp_path: Path) -> None:
    """Not into a later one of its name; a renamed axle finds its own again."""
    document = demo_sheet(tmp_path)
    front = tomllib.loads(document.text)["axles"][0]["damper"]
    act(document, "turn", at=["axles", 0, "damper", "acts"], to="")
    document.write(("axles", 0, "name"), "fore")
    act(document, "turn", at=["axles", 0, "damper", "acts"], to="ratio")
    assert tomllib.loads(document.text)["axles"][0]["damper"] == front
    act(document, "turn", at=["axles", 1, "damper", "acts"], to="")
    act(document, "out", at=["axles", 1])
    act(document, "axle", place="2.9 m")
    act(document, "turn", at=["axles", 1, "damper", "acts"], to="ratio")
    assert tomllib.loads(document.text)["axles"][1]["damper"] == {"acts": {"by": "ratio"}}


def test_a_wrong_text_goes_with_its_axle(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path)
    assert not document.write(("axles", 1, "track"), "12 kg")
    act(document, "out", at=["axles", 1])
    assert document.wrong == {}


def test_an_axle_ahead_of_the_front_one_is_refused_at_once(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path)
    before = document.text
    with pytest.raises(InputError, match="ahead of the front axle"):
        act(document, "axle", place="-500 mm")
    assert document.text == before


def test_a_weighing_of_nothing_goes_with_the_axle_it_was_of(tmp_path: Path) -> None:
    document = demo_sheet(tmp_path)
    act(document, "out", at=["axles", 1])
    now = document.unfinished
    assert now is not None
    assert "raised" not in now.data["kerb"] or all(one["on_scales"] for one in now.data["kerb"]["raised"])
    assert not any("dictionary" in str(fault) for _, fault in now.to_mend)


def test_a_damper_with_no_mount_keeps_what_is_written(tmp_path: Path) -> None:
    document = blank(tmp_path)
    act(document, "axle", place="")
    document.write(("axles", 0, "damper", "extended_length"), "560 mm")
    act(document, "turn", at=["axles", 0, "damper", "acts"], to="lever")
    assert tomllib.loads(document.text)["axles"][0]["damper"]["extended_length"] == "560 mm"


def test_every_kind_lies_in_the_tray_as_a_drawing_says_what_it_asks_for_and_does_what_it_shows(tmp_path: Path) -> None:
    one = Document.opened(start(tmp_path / "truck.toml", "fire-watch")[0])

    def rows() -> dict[str, dict[str, TrayKind]]:
        found = tray_rows(AxleWords(Page("1", one, Shown(), template, PARTS).form, 1))
        return {row.name: {kind.kind: kind for kind in row.kinds} for row in found}

    before = rows()
    assert {row: {kind for kind in kinds if kind} for row, kinds in before.items()} == {
        row: {kind for kind in kinds if kind and (row, kind) not in {("spring", "links"), ("damper", "links"), ("damper", "twist")}}
        for row, kinds in SKETCHES.items()
    }  # fmt: skip
    assert all(sum(kind.chosen for kind in kinds.values()) == 1 for kinds in before.values())
    assert before["held"]["wishbones"].asks == "9 points"
    assert before["held"]["wishbones"].only == "for wheels on their own"
    assert before["own"]["rubber"].asks == "1 figure, 3 points"
    assert before["wheels"]["beam"].chosen
    for row, kind in (("wheels", "independent"), ("held", "wishbones"), ("own", "torsion_bar"), ("damper", ""), ("stop", ""), ("stop", "bump_stop")):  # fmt: skip
        act(one, **rows()[row][kind].does)
        assert rows()[row][kind].chosen, (row, kind)
    assert rows()["held"]["axle_links"].only == "for a beam"
    assert rows()["spring"]["twist"].chosen  # a torsion bar is turned by an arm
    act(one, "tray", axle=1, open=True)
    assert page(one)["place"].count('role="radiogroup"') == len(before)
    act(one, "tray", axle=1, open=False)
    assert page(one)["place"].count('role="radiogroup"') == 0


def test_what_is_not_whole_yet_is_drawn_as_far_as_it_is_written_and_told_in_the_units_of_the_page(
    tmp_path: Path,
) -> None:
    path = start(tmp_path / "buggy.toml", "survey-buggy")[0]
    path.write_text(path.read_text().replace('unsprung_mass = "84 kg"', 'unsprung_mass = ""'))
    one = Document.opened(path)
    assert one.unfinished is not None
    assert one.unfinished.empty == (("axles", 0, "unsprung_mass"),)
    links = page(one)["place"]
    assert links.count('data-keep="links-') == 2
    ball = html.unescape(links).split('"label": "lower ball"')[0].rsplit('"now": ', 1)[1]
    out, up = json.loads(ball.split("]")[0] + "]")
    written = [float(text.split()[0]) for text in one.unfinished.data["axles"][0]["wishbones"]["lower_ball"]]
    assert (out, up) in ((written[1], written[2]), (written[0], written[2]))
    act(one, "move", at=["axles", 0, "wishbones", "lower_ball"], values=[[2, "1 in"]], label="lower ball")
    assert one.unfinished.data["axles"][0]["wishbones"]["lower_ball"][2] == "25.4 mm"  # the file's own unit
    act(one, "undo")
    act(one, "view", name="system", value="imperial")
    made = page(one)["place"]
    assert 'value="4.92 in"' in made  # 125 mm of bump
    assert "in the file: 125 mm" in made
    act(one, "put", at=["axles", 0, "wishbones", "lower_ball", 2], value="")
    assert page(one)["place"].count('data-keep="links-') == 1  # the other axle still is


def handles_of(made: str) -> dict[str, tuple[dict, float, float]]:
    """Handles of a drawing by what they are called: what each moves, and where its ring is."""
    found = {}
    for one in re.findall(r'<g class="handle free joint.*?</g>', made):
        move = json.loads(html.unescape(re.search(r'data-move="([^"]*)"', one)[1]))
        x, y = re.search(r'class="ring" cx="([\d.-]+)" cy="([\d.-]+)"', one).groups()
        found[move["label"]] = (move, float(x), float(y))
    return found


def test_what_is_aboard_the_stops_and_the_outline_are_moved_on_the_drawing_of_the_vehicle(tmp_path: Path) -> None:
    """A handle lies on its mark, and moved by a pixel its value changes by what a pixel is to scale."""
    one = Document.opened(start(tmp_path / "carrier.toml", "bog-carrier")[0])
    made = page(one)["truck"]
    here = handles_of(made)
    dots = {(round(float(x), 1), round(float(y), 1)) for x, y in re.findall(r'<circle class="f-ink" cx="([\d.]+)" cy="([\d.]+)" r="2.20"', made)}  # fmt: skip
    move, x, y = here["winch on the left"]
    assert (round(x, 1), round(y, 1)) in dots
    names = [one["name"] for one in one.unfinished.data["items"]] if one.unfinished else [each.name for each in one.file.design.items]  # fmt: skip
    assert move["at"] == ["items", names.index("winch on the left")]
    act(one, "move", at=move["at"], values=[[field, f"{now + 100 * per} {move['unit']}"] for field, now, per in zip(move["axes"], move["now"], move["per"], strict=True)], label=move["label"])  # fmt: skip
    _, x_now, y_now = handles_of(page(one)["truck"])["winch on the left"]
    assert (x_now - x, y_now - y) == pytest.approx((100, 100), abs=0.5)
    assert "stretch" not in one.view.open
    assert not any(label.startswith("outline") for label in here)
    act(one, "open", what="stretch")
    corners = [label for label in handles_of(page(one)["truck"]) if label.startswith("outline")]
    assert len(corners) == sum(len(shape) for shape in one.file.design.vehicle.body.side)
    stop, _, at = handles_of(page(one)["truck"])["first, bump travel"]
    before = one.file.design.axles[0].travel.bump
    act(one, "move", at=stop["at"], values=[["bump", "130 mm"]], label=stop["label"])
    _, _, at_now = handles_of(page(one)["truck"])["first, bump travel"]
    assert at - at_now == pytest.approx((0.130 - before) / (abs(stop["per"][0]) / 1000), rel=0.01)  # up, to scale


def test_a_plain_body_is_stretched_by_its_dimensions(tmp_path: Path) -> None:
    path = start(tmp_path / "truck.toml", "fire-watch")[0]
    path.write_text(re.sub(r"\[vehicle\.body\]\n(?:[^\[]*\[[^\n]*\n)*?(?=\n\[)", "", path.read_text()))
    one = Document.opened(path)
    assert one.unfinished is None
    if one.file.design.vehicle.body is not None:
        act(one, "out", at=["vehicle", "body"])
    act(one, "open", what="stretch")
    handles = {
        label: move for label, (move, _, _) in handles_of(page(one)["truck"]).items() if label.startswith("body, ")
    }
    assert {"body, front", "body, rear", "body, underside"} <= set(handles)
    move = handles["body, rear"]
    act(one, "move", at=move["at"], values=[["rear", f"{move['now'][0] + 300:.0f} mm"]], label="body, rear")
    assert one.file.design.vehicle.body.rear == pytest.approx(move["now"][0] / 1000 + 0.3, abs=1e-3)


def test_drawings_of_kinds_stay_open_while_one_picks_from_them_and_shut_once_shut(tmp_path: Path) -> None:
    one = blank(tmp_path)
    act(one, "axle", place="")
    assert 'role="radiogroup"' in page(one)["place"]  # by itself: nothing is picked yet
    act(one, "turn", at=["axles", 0, "wheels"], to="independent", tray=True)
    act(one, "turn", at=["axles", 0, "spring", "acts"], to="lever", tray=True)
    assert page(one)["place"].count('role="radiogroup"') == 7  # damper, bar and stop are still to be picked
    act(one, "tray", axle=0, open=False)
    act(one, "turn", at=["axles", 0, "wheels"], to="beam")
    assert 'role="radiogroup"' not in page(one)["place"]


def test_wheels_held_by_points_are_drawn_before_it_is_said_where_the_spring_stands(tmp_path: Path) -> None:
    path = start(tmp_path / "buggy.toml", "survey-buggy")[0]
    one = Document.opened(path)
    act(one, "turn", at=["axles", 0, "spring", "acts"], to="lever")  # asks for an arm
    act(one, "out", at=["axles", 0, "damper"])
    assert one.unfinished is not None
    assert page(one)["place"].count('data-keep="links-') == 2
    data = {
        **one.unfinished.data,
        "axles": [{k: v for k, v in one.unfinished.data["axles"][0].items() if k != "spring"}],
    }
    assert axle_alone(data, 0, path) is not None


@pytest.mark.parametrize(
    ("at", "values"),
    [(["axles", 0], [["spring", "abc"]]), (["axles", 0, "wishbones", "lower_ball"], [[2, "nonsense"]]), (["kerb"], [["no such field", "1 mm"]]), (["axles", 0], [[-1, "1 mm"]])],
)  # fmt: skip
def test_nothing_is_drawn_to_where_no_such_value_can_be(at: list, values: list, tmp_path: Path) -> None:
    path = start(tmp_path / "buggy.toml", "survey-buggy")[0]
    path.write_text(path.read_text().replace('unsprung_mass = "84 kg"', 'unsprung_mass = ""'))
    one = Document.opened(path)
    before = one.text
    with pytest.raises((LookupError, InputError, QuantityError)):
        act(one, "move", at=at, values=values, label="x")
    assert one.text == before


def test_a_stepped_value_of_an_unfinished_sheet_is_of_its_kind(tmp_path: Path) -> None:
    path = start(tmp_path / "truck.toml", "fire-watch")[0]
    path.write_text(re.sub(r'unsprung_mass = "[^"]*"', 'unsprung_mass = ""', path.read_text(), count=1))
    one = Document.opened(path)
    assert one.unfinished is not None
    act(one, "put", at=["axles", 0, "damper", "acts", "ratio"], value="0.9", label="x", gesture="g")
    assert one.unfinished.data["axles"][0]["damper"]["acts"]["ratio"] == 0.9
    act(
        one,
        "put",
        at=["axles", 0, "travel", "bump"],
        value="\u2212121 mm".replace("\u2212", ""),
        label="x",
        gesture="g",
    )
    assert one.unfinished.data["axles"][0]["travel"]["bump"] == "121 mm"
