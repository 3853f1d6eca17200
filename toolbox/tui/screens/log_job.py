"""The job at hand in Log: its visit, what is changed in its steps, what is being written."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from toolbox.desk.diary import Done, Entry
from toolbox.desk.folder import KitFolder
from toolbox.desk.visits import USUAL, Change, Visit, begin, done_of, go_on, seen_again
from toolbox.kit.facts import Fact, StepDone
from toolbox.kit.work import Job

Order = tuple[tuple[int, ...], Change]


class JobAtHand:
    """What is known of the job between two pictures of the kit.

    ``writing`` are steps ordered to be logged that no picture has shown in the log yet.
    """

    def __init__(self) -> None:
        self.visit: Visit | None = None
        self.changes: dict[int, Change] = {}
        self.writing: frozenset[int] = frozenset()
        # Visits that are complete once all that was ordered is written.
        self._finished: dict[str, Visit] = {}

    def open(self, facts: Sequence[Fact], job: Job, bike: str, now: datetime) -> Visit:
        """Go on with the job where it was left, or begin it."""
        visit = go_on(facts, job, bike, now)
        if visit is None or visit.id in self._finished:
            visit = begin(job, bike)
        self._put(visit)
        return visit

    def anew(self) -> None:
        """Begin the same job again."""
        if self.visit is not None:
            self._put(begin(self.visit.job, self.visit.bike))

    def close(self) -> None:
        """Leave the job."""
        self._put(None)

    def _put(self, visit: Visit | None) -> None:
        self.visit, self.changes, self.writing = visit, {}, frozenset()

    def see(self, folder: KitFolder) -> bool:
        """Take in what the log says now; True when the job is gone from the kit and was left."""
        self._finished = {
            id: visit for id, visit in self._finished.items() if seen_again(visit, folder.live).left
        }
        if self.visit is None:
            return False
        job = next((job for job in folder.kit.jobs if job.id == self.visit.job.id), None)
        if job is None:
            self.close()
            return True
        self.visit = seen_again(Visit(self.visit.id, job, self.visit.bike), folder.live)
        self.writing -= self.visit.done
        return False

    @property
    def left(self) -> tuple[int, ...]:
        """Steps neither logged nor on their way into the log."""
        steps = self.visit.left if self.visit is not None else ()
        return tuple(number for number in steps if number not in self.writing)

    def after(self, number: int) -> int | None:
        """The next step that is left, from the first on again behind the last; None for none."""
        left = self.left
        return next((n for n in left if n > number), left[0] if left else None)

    def change(self, number: int) -> Change:
        """What is changed in a step."""
        return self.changes.get(number, USUAL)

    def put_change(self, number: int, change: Change) -> None:
        """Change a step like this."""
        self.changes[number] = change
        if change == USUAL:
            del self.changes[number]

    def orders(self, numbers: Iterable[int]) -> list[Order]:
        """Steps to be logged together: each changed one alone, all others in one entry."""
        kept = tuple(numbers)
        usual = tuple(number for number in kept if number not in self.changes)
        orders: list[Order] = [(usual, USUAL)] if usual else []
        return orders + [((n,), self.changes[n]) for n in kept if n in self.changes]

    def order(self, numbers: Iterable[int]) -> list[Order]:
        """The same, and from now on these steps are being written."""
        orders = self.orders(numbers)
        for number in (n for some, _ in orders for n in some):
            self.changes.pop(number, None)
            self.writing |= {number}
        if self.visit is not None and not self.left:
            self._finished[self.visit.id] = self.visit
        return orders

    def written(self, entry: Entry) -> None:
        """An entry is in the log; its steps of the job at hand are done."""
        visit = self.visit
        if visit is not None:
            steps = [f for f in entry.facts if isinstance(f, StepDone) and f.visit == visit.id]
            done = {step.step for step in steps}
            begun = visit.begun or (entry.at if steps else None)
            self.visit = replace(visit, done=visit.done | done, begun=begun)
            self.writing -= done

    def refused(self, visit: str, order: Order) -> None:
        """These steps did not get into the log: they are open again, changed as they were."""
        numbers, change = order
        self._finished.pop(visit, None)
        if self.visit is not None and self.visit.id == visit:
            self.writing -= set(numbers)
            for number in numbers:
                self.put_change(number, change)

    def done(self, order: Order, *, urgent: bool) -> Done:
        """What to log for an order."""
        assert self.visit is not None, "only a job at hand is logged"
        numbers, change = order
        return done_of(self.visit, numbers, change, urgent=urgent)
