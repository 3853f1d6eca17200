"""Saved pictures of the screen, and those README shows."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from look import screen_text

from toolbox.tui.snapshot import screen_svg

HERE = Path(__file__).resolve().parents[2]
SVG = "{http://www.w3.org/2000/svg}"
SHOWN = re.findall(
    r"!\[[^\]]+\]\((demo/pictures/[a-z]+\.svg)\)", (HERE / "README.md").read_text("utf-8")
)
MOST = 40_000  # bytes of one picture


def words(svg: str) -> str:
    """Every letter of a picture, without blanks."""
    texts = ElementTree.fromstring(svg).iter(f"{SVG}text")
    # A blank is written as one that does not break; split takes both out.
    return "".join("".join("".join(text.itertext()).split()) for text in texts)


async def test_a_picture_says_what_the_screen_says_and_stands_alone(small: Path, opened) -> None:
    """Same letters as the text of the screen; nothing is fetched from anywhere."""
    async with opened(small) as pilot:
        svg = screen_svg(pilot.app)
        text = screen_text(pilot.app)
    assert words(svg) == "".join(text.split())
    assert svg.count("http") == 1, "the name of the SVG standard alone"


def test_readme_shows_four_pictures() -> None:
    """Four different ones, as the script for them makes them."""
    assert len(set(SHOWN)) == 4
    assert {path.name for path in (HERE / "demo" / "pictures").iterdir()} == {
        Path(name).name for name in SHOWN
    }


@pytest.mark.parametrize("name", SHOWN)
def test_a_picture_in_readme_is_whole_and_small(name: str) -> None:
    """It can be read, shows the place it is named after, and stands alone."""
    svg = (HERE / name).read_text(encoding="utf-8")
    assert f"[{Path(name).stem.capitalize()}]" in words(svg)
    assert len(svg) < MOST
    assert svg.count("http") == 1
