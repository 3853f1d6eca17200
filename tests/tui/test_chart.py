"""The chart: plain signs, words on its axes, its last values as a sentence."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.app import App, ComposeResult
from tui.look import same_picture, screen_text

from toolbox.tui.text import cells, clean, in_chrome
from toolbox.tui.widgets.chart import Axes, Chart, Series, draw, last_words

AXES = Axes(x="seconds of search", y="cost a day")
COST = Series("best layout", ((0, 2500), (2, 2470), (5, 2460), (12, 2443)))
BOUND = Series("bound", ((0, 2300), (4, 2380), (12, 2391)))


def text(lines: list[object]) -> str:
    return "\n".join(str(line) for line in lines)


def test_points_stand_where_they_belong() -> None:
    """A straight line from 0 to 4 in five rows: one sign a row, worked out by hand."""
    line = Series("line", tuple((x, x) for x in range(5)))
    drawn = [str(row) for row in draw([line], Axes("x", "y"), 24, 10)]
    assert drawn[1:6] == [
        "4┤" + " " * 21 + "*",
        # The columns: 0, 5.25, 10.5, 15.75 and 21, rounded, a half to the even one.
        " │" + " " * 16 + "*" + "-" * 4 + " ",
        " │" + " " * 10 + "*" + "-" * 5 + " " * 6,
        " │" + " " * 5 + "*" + "-" * 4 + " " * 12,
        "0┤" + "*" + "-" * 4 + " " * 17,
    ]
    assert drawn[6] == " └" + "─" * 22


def test_last_values_are_said() -> None:
    """The newest point by x, however the points are ordered."""
    assert last_words([COST, BOUND], AXES) == (
        "Last: best layout 2443 at 12, bound 2391 at 12 (cost a day by seconds of search)."
    )
    backwards = Series("best layout", COST.points[::-1])
    assert last_words([backwards], AXES) == last_words([COST], AXES)
    assert last_words([], AXES) == "Nothing to draw yet."


def test_series_that_meet_show_it() -> None:
    """Where both have a point in one place the sign is one of its own."""
    drawn = text(draw([Series("a", ((0, 1),)), Series("b", ((0, 1),))], AXES, 60, 12))
    assert drawn.count("×") == 2  # the point, and the legend


def test_only_our_own_signs() -> None:
    """Everything drawn is made of the signs of our chrome."""
    assert in_chrome(text(draw([COST, BOUND], AXES, 60, 15)).replace("\n", ""))


def test_what_cannot_be_drawn_is_refused() -> None:
    """Not-a-number and infinity are no points; a third series has no sign."""
    for bad in (math.nan, math.inf):
        with pytest.raises(ValueError, match="finite"):
            Series("x", ((0, bad),))
    with pytest.raises(ValueError, match="at most 2"):
        Chart(AXES, [COST, BOUND, COST])


FINITE = st.floats(allow_nan=False, allow_infinity=False)
POINTS = st.lists(st.tuples(FINITE, FINITE), max_size=12).map(tuple)
NAMES = st.one_of(st.text(max_size=20), st.text("[]/漢ש\u0301\u202e\x1b", max_size=300))


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.builds(Series, NAMES, POINTS), max_size=2),
    NAMES,
    st.integers(0, 100),
    st.integers(0, 30),
)
def test_every_line_has_exactly_the_width(
    series: list[Series], words: str, width: int, height: int
) -> None:
    """Any points, names and sizes: no crash, no more lines than asked for, all of one width."""
    lines = draw(series, Axes(words, words), width, height)
    assert len(lines) <= height
    assert all(cells(line) == width for line in lines)
    for one in series:
        if one.points:
            assert one.name in last_words(series, Axes(words, words))
    # With room enough the sentence is there whole, whatever it takes to wrap it.
    tall = draw(series, Axes(words, words), 60, 100)
    said = clean(last_words(series, Axes(words, words))).replace(" ", "")
    assert text(tall).replace("\n", "").replace(" ", "").endswith(said)


class Shown(App[None]):
    """A chart alone."""

    def __init__(self) -> None:
        super().__init__()
        self.chart = Chart(AXES, [COST, BOUND])

    def compose(self) -> ComposeResult:
        yield self.chart


async def test_the_chart_on_the_screen() -> None:
    """As text in the smallest window; other series; too small a place says the words only."""
    app = Shown()
    async with app.run_test(size=(60, 20)) as pilot:
        same_picture("chart-60x20", screen_text(app))
        app.chart.show([])
        await pilot.pause()
        assert screen_text(app).strip() == "Nothing to draw yet."
        app.chart.show([COST])
        await pilot.resize_terminal(60, 5)
        await pilot.pause()
        assert screen_text(app).startswith("Last: best layout 2443 at 12")
        assert app.chart.words == last_words([COST], AXES)
