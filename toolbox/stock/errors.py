"""The one error of the stock engine."""

from __future__ import annotations

from collections.abc import Iterable


class StockError(ValueError):
    """The question could not be answered as asked; ``faults`` says all that is wrong, in words."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


def refuse(faults: Iterable[str]) -> None:
    """Raise StockError with all faults, if there are any."""
    told = tuple(faults)
    if told:
        raise StockError(told)
