"""The report: all of it is there, nothing asks for anything outside, and user text stays text.

HTML is read by the parser of the standard library, SVG by its XML parser; what a page may load
is the HTML standard's own list of attributes with addresses.
"""

from __future__ import annotations

import re
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from clikit import KIT, write_kit_files

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import open_kit
from toolbox.desk.own_files import How
from toolbox.desk.plans import plan_path, save_present, study
from toolbox.desk.printed import as_html, as_markdown
from toolbox.desk.report import report_page, save_report
from toolbox.desk.setup import lay_out_demo
from toolbox.files.layouts import SavedPlan, save_plan
from toolbox.kit.layouts import Layout, Spot

TODAY = date(2026, 11, 25)
SVG = "{http://www.w3.org/2000/svg}"
# Attributes by which a page can reach for something else.
REACHING = {
    *("href", "xlink:href", "src", "srcset", "data", "action", "formaction", "poster", "cite"),
    *("background", "ping", "manifest", "archive", "codebase", "longdesc", "usemap", "style"),
}
NASTY = '<script src="//x">"&|*_`[a](b)'


class Parts(HTMLParser):
    """The tags with their attributes, and all text of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep it."""
        self.tags.append((tag, dict(attrs)))

    handle_startendtag = handle_starttag

    def handle_data(self, data: str) -> None:
        """Keep it."""
        self.text.append(data)

    def names(self) -> set[str]:
        """The names of all tags."""
        return {tag for tag, _ in self.tags}


def _pictures(html: str) -> list[ElementTree.Element]:
    return [ElementTree.fromstring(found) for found in re.findall(r"<svg.*?</svg>", html, re.S)]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """Markdown and HTML of the demo's report, its plan being the box as it lies today."""
    home = lay_out_demo(tmp_path_factory.mktemp("demo") / "kit")
    assert home.kit.present is not None
    at = study(home, TODAY)
    layout = Layout("plan", home.kit.present.spots)
    # a bound that nobody proved would be no proof: the stamp says that it is of this question
    save_plan(plan_path(home), SavedPlan(layout, 10**9, 10**9, "by hand", at.question.stamp))
    page = report_page(open_kit(home.path), TODAY)
    return as_markdown(page), as_html(page)


def test_every_part_is_in_both_formats(demo: tuple[str, str]) -> None:
    """Box, ranking, plan with what is proved, and the three lists."""
    markdown, html = demo
    heads = (
        *("The box as it lies today", "What the work takes", "The plan", "The box as planned"),
        *("Counting in", "Restocking", "Instruments"),
    )
    for head in heads:
        assert f"\n## {head}\n" in markdown
        assert re.search(rf"<h2[^>]*>{head}</h2>", html)
    for text in ("Proved:", "lift it with two", "does not replace an accredited calibration"):
        assert text in markdown
        assert text in html


def test_nothing_is_asked_of_anything_outside(demo: tuple[str, str]) -> None:
    """No tag that loads or runs, no attribute with an address, no address in the style."""
    html = demo[1]
    parts = Parts(html)
    loading = {"script", "link", "img", "image", "iframe", "object", "embed", "use", "base", "a"}
    assert not parts.names() & (loading | {"audio", "video", "form", "foreignobject", "animate"})
    for tag, attributes in parts.tags:
        assert not REACHING & attributes.keys(), tag
        assert not any(name.startswith("on") for name in attributes), tag
    assert not re.search(r"url\(|@import", html)
    addresses = set(re.findall(r"\w+://[^\"'\s<]+", html))
    # the name of the language SVG, which is never asked for
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert "default-src 'none'" in html


def test_each_layer_is_drawn_to_scale_and_fits_the_paper(demo: tuple[str, str]) -> None:
    """Every carried thing with a place is in a map; no map is wider than A4 between margins."""
    pictures = _pictures(demo[1])
    assert len(pictures) == 12
    for picture in pictures:
        assert float(picture.attrib["width"].removesuffix("mm")) <= 210 - 2 * 14
        assert float(picture.attrib["height"].removesuffix("mm")) <= 250
        assert re.search(r"1 : \d", "".join(picture.itertext()))


def test_the_paper_is_black_on_white_with_breaks(demo: tuple[str, str]) -> None:
    """Lists begin on a sheet of their own, rows and pictures are not torn apart."""
    html = demo[1]
    assert re.search(r"@page \{ margin: 14mm; \}", html)
    assert "color: #000; background: #fff" in html
    assert "h2.anew { break-before: page; }" in html
    assert html.count('<h2 class="anew">') == 6
    assert "tr, figure { break-inside: avoid; }" in html
    used = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", html))
    assert used == {"#000", "#fff"}


@pytest.fixture
def nasty(tmp_path: Path) -> Path:
    """A small kit in which every name is full of marks."""
    folder = write_kit_files(tmp_path / "kit")
    names = ("Test kit", "Test box", "Front tray", "Well", "Chain tool", "Chain lube", "the lid")
    for file in KIT:
        path = folder / file
        text = path.read_text(encoding="utf-8")
        for name in names:
            text = text.replace(f'"{name}"', f"'{NASTY}{name}'")
        path.write_text(text, encoding="utf-8")
    return folder


def test_user_text_stays_text(nasty: Path) -> None:
    """Marks in names are read back as they were typed, and make no tag and no Markdown."""
    page = report_page(open_kit(nasty), TODAY)
    markdown, html = as_markdown(page), as_html(page)
    parts = Parts(html)
    assert "script" not in parts.names()
    text = "".join(parts.text)
    for name in ("Test kit", "Chain tool", "Well"):
        assert f"{NASTY}{name}" in text
    drawn = "".join(text for picture in _pictures(html) for text in picture.itertext())
    assert f"{NASTY}Front tray" in drawn
    assert not re.search(r"(?<!\\)<script|(?<!\\)\[a(?<!\\)\]", markdown)


def test_what_is_not_there_is_said(tmp_path: Path) -> None:
    """No plan, no instruments, and a plan that the kit has outgrown: each in words."""
    home = open_kit(write_kit_files(tmp_path / "kit"))
    said = as_markdown(report_page(home, TODAY))
    assert "No plan is saved" in said
    assert "No tool of this kit is an instrument." in said
    plan_path(home).write_text('name = "p"\n[plan]\ncost = 1\nmethod = "m"\nstamp = "s"\n')
    said = as_markdown(report_page(home, TODAY))
    assert "The saved plan cannot be shown" in said
    (home.path / "layouts" / "present.toml").unlink()
    said = as_markdown(report_page(open_kit(home.path), TODAY))
    assert "Nobody has said how the box lies today." in said


def test_the_same_kit_and_day_give_the_same_files(tmp_path: Path) -> None:
    """New, unchanged, replaced; and what is no report of this kit is never written over."""
    home = open_kit(write_kit_files(tmp_path / "kit"))
    hows = [[one.how for one in save_report(home, TODAY, tmp_path / "out")] for _ in range(2)]
    assert hows == [[How.NEW] * 2, [How.SAME] * 2]
    save_present(home, [Spot("K4", "tray", 0, 0)])
    changed = save_report(open_kit(home.path), TODAY, tmp_path / "out")
    assert [one.how for one in changed] == [How.REPLACED] * 2
    (tmp_path / "out" / "report.md").write_text("mine", encoding="utf-8")
    before = (tmp_path / "out" / "report.html").read_bytes()
    with pytest.raises(DeskError, match=r"report\.md is there"):
        save_report(home, TODAY, tmp_path / "out")
    assert (tmp_path / "out" / "report.md").read_text(encoding="utf-8") == "mine"
    assert (tmp_path / "out" / "report.html").read_bytes() == before
