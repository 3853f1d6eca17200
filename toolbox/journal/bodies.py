"""Facts as text: what happened, written as a kind and a JSON body, and read back."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, cast

from toolbox.journal.bodies_typed import read_fields, write_fields
from toolbox.kit.checking import InstrumentChecked, InstrumentEvent, WoundDown
from toolbox.kit.counting import BikeReleased, Counted, DayClosed, Settled
from toolbox.kit.facts import LineSaid, LineState, LoosePick, StepDone, SupplyUsed, Undone, What
from toolbox.kit.stocking import Bought, Opened, Refilled, StockCounted, Wasted
from toolbox.kit.work import Draw, Pick


def write_body(what: What) -> tuple[str, str]:
    """The kind of a fact and its body: JSON with sorted keys, plain ASCII.

    ValueError when a count or an amount cannot be: a journal keeps what it is
    told for good, so nonsense is stopped before it gets in.
    """
    match what:
        case StepDone():
            return "step", _json(_step_body(what))
        case LoosePick():
            _at_least(1, what.times, f"times {what.tool} was picked")
            body = {"tool": what.tool, "times": what.times, "urgent": what.urgent}
            return "loose", _json({**body, "bike": what.bike, "note": what.note})
        case SupplyUsed():
            _at_least(0, what.amount, f"amount of {what.supply}")
            body = {"supply": what.supply, "amount": what.amount}
            return "supply", _json({**body, "bike": what.bike, "note": what.note})
        case LineSaid():
            return "line", _json(_line_body(what))
        case Undone():
            return "undone", _json({"entry": what.entry})
        case _:
            return _typed_body(what)


def _typed_body(what: What) -> tuple[str, str]:
    kind = next(name for name, fact in _TYPED.items() if isinstance(what, fact))
    try:
        return kind, _json(write_fields(what))
    except TypeError as fault:
        raise ValueError(f"a fact of kind {kind!r} that cannot be written ({fault})") from fault


def read_body(kind: str, body: str) -> What:
    """The fact behind a kind and a body; ValueError when they say nothing known."""
    reader, typed = _READERS.get(kind), _TYPED.get(kind)
    try:
        if reader is not None:
            return reader(json.loads(body))
        if typed is not None:
            return cast("What", read_fields(typed, json.loads(body)))
    except (AttributeError, KeyError, TypeError, ValueError) as fault:
        raise ValueError(f"a fact of kind {kind!r} that cannot be read ({fault})") from fault
    raise ValueError(f"a fact of an unknown kind, {kind!r}")


def _step_body(step: StepDone) -> dict[str, Any]:
    for pick in step.picks:
        _at_least(0, pick.times, f"times {pick.tool} was picked")
    for draw in step.draws:
        _at_least(0, draw.amount, f"amount of {draw.supply}")
    return {
        "visit": step.visit,
        "job": step.job,
        "step": step.step,
        "picks": [[pick.tool, pick.times] for pick in step.picks],
        "draws": [[draw.supply, draw.amount] for draw in step.draws],
        "urgent": step.urgent,
        "bike": step.bike,
        "note": step.note,
    }


def _read_step(body: dict[str, Any]) -> StepDone:
    return StepDone(
        visit=_text(body["visit"]),
        job=_text(body["job"]),
        step=_whole(body["step"]),
        picks=tuple(Pick(_text(tool), _whole(times)) for tool, times in body["picks"]),
        draws=tuple(Draw(_text(supply), _whole(amount)) for supply, amount in body["draws"]),
        urgent=bool(body["urgent"]),
        bike=_text(body["bike"]),
        note=_text(body["note"]),
    )


def _read_loose(body: dict[str, Any]) -> LoosePick:
    return LoosePick(
        tool=_text(body["tool"]),
        times=_whole(body["times"]),
        urgent=bool(body["urgent"]),
        bike=_text(body["bike"]),
        note=_text(body["note"]),
    )


def _read_supply(body: dict[str, Any]) -> SupplyUsed:
    return SupplyUsed(
        supply=_text(body["supply"]),
        amount=_whole(body["amount"]),
        bike=_text(body["bike"]),
        note=_text(body["note"]),
    )


def _line_body(said: LineSaid) -> dict[str, Any]:
    if not said.checklist or not said.line:
        raise ValueError("what is said of a checklist's line needs the names of both")
    if said.state is None and said.count is None and said.note is None:
        raise ValueError(f"nothing is said of the line {said.line}")
    if said.count is not None:
        _at_least(0, said.count, f"count of the line {said.line}")
    return {
        "checklist": said.checklist,
        "about": said.about,
        "line": said.line,
        "words": said.words,
        "state": None if said.state is None else said.state.value,
        "count": said.count,
        "note": said.note,
    }


def _read_line(body: dict[str, Any]) -> LineSaid:
    state, number, note = body["state"], body["count"], body["note"]
    return LineSaid(
        checklist=_text(body["checklist"]),
        about=_text(body["about"]),
        line=_text(body["line"]),
        words=_text(body["words"]),
        state=None if state is None else LineState(_text(state)),
        count=None if number is None else _whole(number),
        note=None if note is None else _text(note),
    )


def _read_undone(body: dict[str, Any]) -> Undone:
    return Undone(_text(body["entry"]))


_READERS: dict[str, Callable[[dict[str, Any]], What]] = {
    "step": _read_step,
    "loose": _read_loose,
    "supply": _read_supply,
    "line": _read_line,
    "undone": _read_undone,
}
# These have no rules of their own beyond the types of their fields.
_TYPED: dict[str, type] = {
    "counted": Counted,
    "settled": Settled,
    "released": BikeReleased,
    "closed": DayClosed,
    "stock counted": StockCounted,
    "bought": Bought,
    "refilled": Refilled,
    "wasted": Wasted,
    "opened": Opened,
    "checked": InstrumentChecked,
    "event": InstrumentEvent,
    "wound down": WoundDown,
}


def _json(body: dict[str, Any]) -> str:
    # ASCII only: even half a character from a broken terminal must not stop the writing.
    return json.dumps(body, sort_keys=True, separators=(",", ":"))


def _at_least(least: int, number: int, what: str) -> None:
    if isinstance(number, bool) or not isinstance(number, int) or number < least:
        raise ValueError(f"{what} must be a whole number of at least {least}, not {number!r}")


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(f"text expected, not {value!r}")
    return value


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError(f"a whole number expected, not {value!r}")
    return value
