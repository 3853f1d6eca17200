"""Files of answers: what the mechanic said of a list once, so that it is asked only once."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from toolbox.desk.folder import KitFolder
from toolbox.files.problems import KitFaults, Problems, nearest
from toolbox.files.sources import load
from toolbox.files.writing import replace_own
from toolbox.intake.reading import Answers

FOLDER = "answers"
_KEYS = ("columns", "answers")


def answers_path(folder: KitFolder, name: str) -> Path:
    """Where the answers about a list of that name are kept: ``answers/NAME.toml`` in the kit."""
    plain = re.sub(r"[^\w.-]+", "-", Path(name).name).strip("-.") or "list"
    return folder.path / FOLDER / f"{plain}.toml"


def load_answers(path: Path) -> Answers:
    """The answers in a file; KitFaults names everything that is wrong with it."""
    problems = Problems().at(path.name)
    raw = load(path, problems) or {}
    for key, table in raw.items():
        if key not in _KEYS:
            near = nearest(key, _KEYS)
            cure = f'did you mean "{near}"' if near else "write [columns] or [answers]"
            problems.add(f'"{key}" is nothing a file of answers has', cure)
        elif not isinstance(table, dict):
            problems.add(f'"{key}" is no table', f"write [{key}] on a line of its own")
        else:
            for word, answer in table.items():
                if not isinstance(answer, str):
                    problems.add(f'"{word}" is no text', "put the answer between quotes")
    if problems.faults:
        raise KitFaults(problems.faults)
    return Answers(raw.get("columns", {}), raw.get("answers", {}))


def with_told(answers: Answers, columns: Mapping[str, str], said: Mapping[str, str]) -> Answers:
    """The answers with those told beside them, which come first."""
    return Answers({**answers.columns, **columns}, {**answers.said, **said})


def keep_answers(path: Path, answers: Answers, name: str) -> bool:
    """Write the answers about a list, and say whether there were any. WriteRefused if it cannot."""
    tables = {"columns": dict(answers.columns), "answers": dict(answers.said)}
    tables = {key: table for key, table in tables.items() if table}
    if tables:
        replace_own(path, tables, f"What was said of the list {name}; read when it is imported.")
    return bool(tables)
