"""What can stop a use case, each with words for the mechanic."""

from __future__ import annotations

from toolbox.desk.names import Named


class DeskError(Exception):
    """A use case that cannot go on; the text says what is wrong and what to do."""


class UnclearName(DeskError):
    """Letters that mean several things; ``choices`` are what they could mean."""

    def __init__(self, kind: str, letters: str, choices: tuple[Named, ...]) -> None:
        self.kind = kind
        self.letters = letters
        self.choices = choices
        names = "; ".join(f"{c.name} ({c.id})" for c in choices[:12])
        more = f" and {len(choices) - 12} more" if len(choices) > 12 else ""
        super().__init__(f'"{letters}" could be any of these {kind}s: {names}{more}')


class UnknownName(DeskError):
    """Letters that mean nothing in this kit; ``near`` are names like it."""

    def __init__(self, kind: str, letters: str, near: tuple[Named, ...]) -> None:
        self.kind = kind
        self.letters = letters
        self.near = near
        hint = "; ".join(f"{c.name} ({c.id})" for c in near)
        text = f'no {kind} in this kit goes by "{letters}"'
        super().__init__(text + (f". Did you mean {hint}?" if near else ""))


class NoLayout(DeskError):
    """No layout was found or none is possible; ``reasons`` say why in words."""

    def __init__(self, reasons: tuple[str, ...]) -> None:
        self.reasons = reasons
        super().__init__("; ".join(reasons))
