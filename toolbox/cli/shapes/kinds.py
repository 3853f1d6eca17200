"""How shapes are written, and a shape as JSON Schema.

A shape is ``str``, ``int``, ``float``, ``bool`` or ``None``; ``[X]`` for a list of X; a dict
for an object with just these keys, each there unless a ``?`` stands behind it; ``{str: X}`` for
one with any keys; ``Either`` for one of several.
"""

from __future__ import annotations

from typing import Any

Shape = Any
_SIMPLE: dict[type | None, str] = {
    str: "string",
    int: "integer",
    float: "number",
    bool: "boolean",
    None: "null",
}


class Either(tuple[Shape, ...]):
    """One of several shapes."""

    __slots__ = ()

    def __new__(cls, *shapes: Shape) -> Either:
        """Of these shapes."""
        return super().__new__(cls, shapes)


def maybe(shape: Shape) -> Either:
    """That shape, or null."""
    return Either(shape, None)


def schema_of(shape: Shape) -> dict[str, Any]:
    """A shape as JSON Schema; ValueError for what is none."""
    if isinstance(shape, Either):
        return {"anyOf": [schema_of(one) for one in shape]}
    if isinstance(shape, list):
        (inner,) = shape
        return {"type": "array", "items": schema_of(inner)}
    if isinstance(shape, dict):
        return _object(shape)
    if shape not in _SIMPLE:
        raise ValueError(f"{shape!r} is no shape")
    return {"type": _SIMPLE[shape]}


def _object(shape: dict[Any, Shape]) -> dict[str, Any]:
    if str in shape:
        return {"type": "object", "additionalProperties": schema_of(shape[str])}
    return {
        "type": "object",
        "properties": {key.rstrip("?"): schema_of(inner) for key, inner in shape.items()},
        "required": [key for key in shape if not key.endswith("?")],
        "additionalProperties": False,
    }
