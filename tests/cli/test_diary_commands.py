"""Logging, picking and taking back, as typed at the terminal."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from clikit import Ran

from toolbox.journal.live import live_facts
from toolbox.journal.store import read_facts
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed, Undone
from toolbox.kit.work import Draw, Pick

Run = Callable[..., Ran]


def in_force(kit_dir: Path) -> tuple[Fact, ...]:
    """The facts that count in the kit's journal."""
    return live_facts(read_facts(kit_dir / "journal.db"))


def steps(kit_dir: Path) -> list[StepDone]:
    """The job steps that count."""
    return [f.what for f in in_force(kit_dir) if isinstance(f.what, StepDone)]


def test_log_takes_the_usual_steps_in_one_go(run: Run, kit_dir: Path) -> None:
    """A few letters of the job write all its steps with their usual tools and supplies."""
    ran = run("log", "broken", "--bike", "A1", "--urgent", "--kit", kit_dir)
    assert ran.code == 0
    first, second = steps(kit_dir)
    assert first.picks == (Pick("CT"), Pick("K5"))
    assert second.draws == (Draw("OIL", 2),)
    assert first.visit == second.visit
    assert first.urgent
    assert first.bike == "A1"
    assert "Broken chain (2 steps, urgent, bike A1)" in ran.out


def test_log_changes_what_was_taken(run: Run, kit_dir: Path) -> None:
    """One step only, a tool more, a tool less, a supply more, three times over."""
    ran = run(
        "log",
        "BC",
        "--without",
        "hex 4",
        "--with",
        "chain tool",
        "--use",
        "lube=1.5 ml",
        "--times",
        "3",
        "--kit",
        kit_dir,
    )
    assert ran.code == 0
    done = steps(kit_dir)
    assert len(done) == 3
    assert len({step.visit for step in done}) == 3
    assert done[0].picks == (Pick("K5", 2), Pick("CT"))
    assert done[0].draws == (Draw("OIL", 2),)  # 1.5 ml is two whole ones, rounded half up
    run("log", "CH", "--step", "2", "--kit", kit_dir)
    assert steps(kit_dir)[-1].step == 2


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("log", "wheel"), 1, 'no job in this kit goes by "wheel"'),
        (("log", "CH", "--step", "7"), 1, "has no step 7"),
        (("log", "CH", "--with", "hex"), 4, "Hex key 4 mm (K4); Hex key 5 mm (K5)"),
        (("log", "CH", "--without", "K4"), 1, "does not take Hex key 4 mm"),
        (("log", "CH", "--use", "lube"), 1, "SUPPLY=AMOUNT"),
        (("log", "CH", "--use", "lube=some"), 1, "Chain lube"),
        (("log", "CH", "--at", "yesterday"), 1, "is no time"),
        (("pick", "K4", "hex"), 4, "could be any of these tools"),
        (("pick",), 2, "Missing argument"),
        (("spend", "sealant", "5 ml"), 1, 'no supply in this kit goes by "sealant"'),
        (("spend", "lube"), 2, "Missing argument"),
        (("spend", "lube", "5"), 1, "Chain lube"),
        (("spend", "lube", "5 g"), 1, "g is a unit of mass, not of volume"),
        (("spend", "lube", "-5 ml"), 2, "No such option"),
        (("spend", "lube", "0 ml"), 1, "nothing used"),
        (("undo",), 1, "nothing to undo"),
    ],
)
def test_what_is_unclear_or_wrong_writes_nothing(
    run: Run, kit_dir: Path, words: tuple[str, ...], code: int, says: str
) -> None:
    """Each mistake has its words and its exit code, and the journal stays empty."""
    ran = run(*words, "--kit", kit_dir)
    assert ran.code == code
    assert says in ran.err
    assert ran.out == ""
    assert in_force(kit_dir) == ()


def test_undo_takes_back_the_last_entry_and_can_be_undone(run: Run, kit_dir: Path) -> None:
    """Undo goes entry by entry; nothing is deleted; undoing an undo brings back."""
    run("pick", "K4", "K5", "--kit", kit_dir)
    run("log", "BC", "--kit", kit_dir)
    assert "Bar change" in run("undo", "--kit", kit_dir).out
    left = [type(f.what) for f in in_force(kit_dir) if not isinstance(f.what, Undone)]
    assert left == [LoosePick, LoosePick]
    listed = run("undo", "--list", "--json", "--kit", kit_dir).data()["entries"]
    assert len(listed) == 3  # the undo is an entry too
    assert run("undo", listed[0]["entry"][:12], "--kit", kit_dir).code == 0
    assert len(steps(kit_dir)) == 1


def test_spend_logs_a_supply_used_outside_any_job(run: Run, kit_dir: Path) -> None:
    """A few letters and an amount with its unit; taken back like any other entry."""
    ran = run(
        "spend", "lube", "1.5", "cl", "--bike", "A1", "--note", "spilt", "--at",
        "2026-11-17 09:30", "--kit", kit_dir,
    )  # fmt: skip
    assert ran.code == 0
    assert "used 15 ml of Chain lube" in ran.out
    (fact,) = in_force(kit_dir)
    assert fact.what == SupplyUsed("OIL", 15, "A1", "spilt")
    assert fact.at.strftime("%Y-%m-%d %H:%M") == "2026-11-17 09:30"
    assert "used 15 ml of Chain lube" in run("undo", "--list", "--kit", kit_dir).out
    assert run("undo", "--kit", kit_dir).code == 0
    assert not [f for f in in_force(kit_dir) if isinstance(f.what, SupplyUsed)]


def test_a_carried_supply_spent_outside_any_job_shows_in_the_ranking(
    run: Run, kit_dir: Path
) -> None:
    """Each time is a trip to the box of its own; a supply that stays at home makes none."""
    supplies = kit_dir / "supplies.toml"
    supplies.write_text(
        supplies.read_text(encoding="utf-8")
        + 'carried = true\nmass = "120 g"\nlength = "120 mm"\nwidth = "35 mm"\nheight = "35 mm"\n'
        + '[[supply]]\nid = "RAG"\nname = "Shop rag"\nmeasure = "pc"\n',
        encoding="utf-8",
    )
    for words in (("lube", "3 ml"), ("lube", "2 ml"), ("rag", "1 pc")):
        assert run("spend", *words, "--kit", kit_dir).code == 0
    used = run("uses", "--all", "--json", "--kit", kit_dir).data()["tools"]
    # by hand: (0.1 + 2 trips) / (1 + 1 day), beside the 1/3 a day that the jobs take it up
    assert [(u["times"], u["per_day"]) for u in used if u["tool"] == "OIL"] == [
        (2, pytest.approx(2.1 / 2 + 1 / 3, abs=1e-5))
    ]
    assert "RAG" not in {u["tool"] for u in used}


def test_a_late_entry_keeps_its_own_time(run: Run, kit_dir: Path) -> None:
    """What is typed in the evening counts for the time it happened."""
    run("pick", "K4", "--at", "2026-11-17 09:30", "--by", "Ada", "--kit", kit_dir)
    (fact,) = in_force(kit_dir)
    assert fact.at.strftime("%Y-%m-%d %H:%M") == "2026-11-17 09:30"
    assert fact.author == "Ada"
    assert fact.at.tzinfo is not None


def test_json_names_the_entry(run: Run, kit_dir: Path) -> None:
    """Programs get the entry's id, which undo takes."""
    entry = run("pick", "K4", "--json", "--kit", kit_dir).data()["entry"]
    assert run("undo", entry, "--kit", kit_dir).code == 0


def test_go_on_joins_the_visit_left_unfinished(run: Run, kit_dir: Path) -> None:
    """The second step joins the first one's visit; then there is none left to go on with."""
    at = ("--at", "2026-11-17 09:30", "--kit", kit_dir)
    run("log", "CH", "--step", "1", "--bike", "A1", *at)
    assert run("log", "CH", "--go-on", *at).code == 1  # another bike: none
    ran = run("log", "CH", "--go-on", "--bike", "A1", *at)
    assert "Broken chain, step 2 (bike A1)" in ran.out
    assert len({step.visit for step in steps(kit_dir)}) == 1
    again = run("log", "CH", "--go-on", "--bike", "A1", *at)
    assert again.code == 1
    assert "no visit at Broken chain on bike A1 was left unfinished" in again.err
    run("log", "CH", "--step", "1", *at)
    late = run("log", "CH", "--go-on", "--at", "2026-11-17 12:31", "--kit", kit_dir)
    assert late.code == 1
    twice = run("log", "CH", "--go-on", "--times", "2", *at)
    assert twice.code == 1
    assert "not made several times" in twice.err
    assert len(steps(kit_dir)) == 3


def test_entries_say_what_they_moved_in_the_ranking(run: Run, kit_dir: Path) -> None:
    """Hex key 4 mm, third by the jobs alone (0.2 a day by hand), overtakes with each pick.

    By hand, for picks of today: chain tool 2 x 1/3 + 0.05 = 0.72 a day, hex key 5 mm
    1/3 + 2 x 0.05 + 0.05 = 0.48, hex key 4 mm 0.05 + 1.1 / 2 = 0.60, then 0.05 + 2.1 / 2.
    """
    first = run("pick", "K4", "--json", "--kit", kit_dir).data()
    assert first["moved"].startswith("Hex key 4 mm: 3rd -> 2nd most used")
    assert "Hex key 4 mm: 2nd -> 1st most used" in run("pick", "K4", "--kit", kit_dir).out
    assert "nothing moved in the ranking" in run("pick", "K4", "--kit", kit_dir).out
    run("undo", "--kit", kit_dir)
    assert "Hex key 4 mm: 1st -> 2nd most used" in run("undo", "--kit", kit_dir).out


def test_the_list_of_entries_says_when(run: Run, kit_dir: Path) -> None:
    """Day and time before the words, and apart from them in JSON."""
    run("pick", "K4", "--at", "2026-11-17 09:30", "--kit", kit_dir)
    assert "2026-11-17 09:30 picked Hex key 4 mm" in run("undo", "--list", "--kit", kit_dir).out
    (entry,) = run("undo", "--list", "--json", "--kit", kit_dir).data()["entries"]
    assert entry["at"].startswith("2026-11-17T09:30")
    assert entry["words"] == "picked Hex key 4 mm"
