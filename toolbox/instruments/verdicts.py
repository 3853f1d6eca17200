"""Within limits or not, the uncertainty of the comparison counted in.

Decision rules of ILAC-G8:09/2019 (and JCGM 106:2012): simple acceptance, and the guard band
of width w = U with its four outcomes.
"""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from toolbox.kit.checking import Verdict

CAUTION = "A check here does not replace an accredited calibration."


def severity(verdict: Verdict) -> int:
    """0 for pass up to 3 for fail."""
    return _ORDER.index(verdict)


def has_failed(verdict: Verdict) -> bool:
    """True for what is outside its limits as read, however surely."""
    return verdict in (Verdict.CONDITIONAL_FAIL, Verdict.FAIL)


_ORDER = (Verdict.PASS, Verdict.CONDITIONAL_PASS, Verdict.CONDITIONAL_FAIL, Verdict.FAIL)
_MEANING = {
    Verdict.PASS: "inside the limits, the uncertainty of the comparison counted in",
    Verdict.CONDITIONAL_PASS: "inside the limits as read, but nearer to one than the uncertainty",
    Verdict.CONDITIONAL_FAIL: "outside the limits as read, though by less than the uncertainty",
    Verdict.FAIL: "outside the limits by more than the uncertainty",
}


class Allowed(NamedTuple):
    """The limits of an error, both of them allowed, in whole units of what is checked."""

    low: Fraction
    high: Fraction

    @property
    def half(self) -> Fraction:
        """Half the width between the limits: T of the decision rules."""
        return (self.high - self.low) / 2

    def share(self, value: Fraction) -> Fraction:
        """How much of T a value uses up: 0 in the middle, 1 at a limit, more outside."""
        off = abs(2 * value - self.low - self.high)
        return off / (self.high - self.low) if self.half else Fraction(off > 0)


class Decision(NamedTuple):
    """What the rules say of one value with its limits and its expanded uncertainty U.

    ``accepted`` is simple acceptance: inside as read, with a risk of up to one in two at the
    very limit. ``verdict`` has the guard band: what passes is wrong in less than 2.5 in 100.
    ``ratio`` is T/U, None where there is no uncertainty.
    """

    value: Fraction
    allowed: Allowed
    expanded: Fraction
    verdict: Verdict
    accepted: bool
    ratio: Fraction | None

    @property
    def words(self) -> str:
        """The verdict as a sentence, with the caution that goes with every verdict."""
        return f"{self.verdict.value}: {_MEANING[self.verdict]}. {CAUTION}"

    @property
    def caution(self) -> str:
        """The sentence that goes with every verdict."""
        return CAUTION


def decide(value: Fraction, allowed: Allowed, expanded: Fraction) -> Decision:
    """Pass up to T - U, conditional pass up to T, conditional fail up to T + U, else fail.

    ``expanded`` is U (k = 2), not negative. ValueError for limits that are the wrong way round.
    """
    if allowed.low > allowed.high or expanded < 0:
        raise ValueError(f"no verdict for the limits {allowed} with an uncertainty of {expanded}")
    margin = min(value - allowed.low, allowed.high - value)
    if margin >= expanded:
        verdict = Verdict.PASS  # never outside, for U is not negative
    elif margin >= 0:
        verdict = Verdict.CONDITIONAL_PASS
    else:
        verdict = Verdict.CONDITIONAL_FAIL if margin >= -expanded else Verdict.FAIL
    ratio = allowed.half / expanded if expanded else None
    return Decision(value, allowed, expanded, verdict, margin >= 0, ratio)
