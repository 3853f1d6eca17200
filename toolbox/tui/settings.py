"""The mechanic's choices for the screens: a settings file, and what is remembered between runs.

Nothing in here ever stops the screens: what cannot be used is left out and told in
a sentence.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from toolbox.tui.actions import ACTIONS, Keys, default_keys, key_words
from toolbox.tui.deeds.kinds import EVERYWHERE, Action
from toolbox.tui.themes import THEMES

FILE = "settings.toml"
STATE = "screens.json"
SETTINGS = ("theme", "mouse", "keys")


@dataclass(frozen=True, slots=True)
class Settings:
    """Theme (None: as last time), mouse, keys by action id, and what was wrong with the file."""

    theme: str | None = None
    mouse: bool = True
    keys: Keys = field(default_factory=default_keys)
    faults: tuple[str, ...] = ()


def settings_path() -> Path:
    """Where the settings file is or would be."""
    from platformdirs import user_config_path

    return user_config_path("toolbox", appauthor=False) / FILE


def state_folder() -> Path:
    """The folder of what the program remembers by itself: the last kit, reports of crashes."""
    from toolbox.desk.backup_home import state_folder as folder

    return folder()


def read_settings(path: Path) -> Settings:
    """The settings in this file; the defaults, and no fault, when there is none."""
    if not path.is_file():
        return Settings()
    # Loaded only when there is a file: it must not hold up the first frame.
    from toolbox.files.problems import Problems
    from toolbox.files.sources import load

    problems = Problems().at(FILE)
    raw = load(path, problems)
    faults = [fault.sentence() for fault in problems.faults]
    if raw is None:
        return Settings(faults=tuple(faults))
    faults += [f'{FILE}: "{key}" is no setting' for key in raw if key not in SETTINGS]
    theme = _theme(raw.get("theme"), faults)
    mouse = raw.get("mouse", True)
    if not isinstance(mouse, bool):
        faults.append(f"{FILE}: mouse is true or false")
        mouse = True
    keys = _keys(raw.get("keys", {}), faults)
    return Settings(theme, mouse, keys, tuple(faults))


def keys_with(wanted: Keys) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...]]:
    """The keys of every action with those wanted put in, and a sentence for each clash.

    Of two actions that would hear the same key in one place, the changed one keeps
    what it had before.
    """
    keys = default_keys()
    faults = []
    by_id = {action.id: action for action in ACTIONS}
    for action in (by_id[name] for name in wanted):
        before = keys[action.id]
        keys[action.id] = wanted[action.id]
        clash = _clash(action, keys)
        if clash is not None:
            key, other = clash
            keys[action.id] = before
            faults.append(
                f"{FILE}: {key_words([key])} is asked for by both {other.label} ({other.id}) and "
                f"{action.label} ({action.id}); {action.label} stays on {key_words(before)}"
            )
    return keys, tuple(faults)


def _theme(value: object, faults: list[str]) -> str | None:
    if value is None or (isinstance(value, str) and value in THEMES):
        return value if isinstance(value, str) else None
    faults.append(f"{FILE}: theme is one of {', '.join(THEMES)}")
    return None


def _keys(raw: object, faults: list[str]) -> Keys:
    if not isinstance(raw, dict):
        faults.append(f"{FILE}: [keys] is a table of action names and keys")
        return default_keys()
    wanted = {}
    known = default_keys()
    for name, value in raw.items():
        listed = [value] if isinstance(value, str) else value
        if name not in known:
            faults.append(f'{FILE}: [keys] has no action "{name}"')
        elif not _all_words(listed):
            faults.append(f'{FILE}: [keys] {name} is a key like "f9", or a list of keys')
        else:
            wanted[name] = tuple(_key_name(key) for key in listed)
    keys, clashes = keys_with(wanted)
    faults += clashes
    return keys


def _all_words(listed: Any) -> bool:
    return (
        isinstance(listed, list)
        and bool(listed)
        and all(isinstance(key, str) and key.strip() and "," not in key for key in listed)
    )


def _key_name(key: str) -> str:
    # Textual's own reading of a binding, so that "?" and " f9 " mean what it hears.
    from textual.binding import Binding

    (made,) = Binding.make_bindings([Binding(key.strip(), "none")])
    return made.key


def _clash(action: Action, keys: Keys) -> tuple[str, Action] | None:
    for other in ACTIONS:
        meet = other.where == action.where or EVERYWHERE in (other.where, action.where)
        if other.id != action.id and meet:
            for key in keys[action.id]:
                if key in keys[other.id]:
                    return key, other
    return None


class Memory:
    """What is remembered between two runs: the last kit and theme, in one small file."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / STATE

    @property
    def kit(self) -> Path | None:
        """The kit opened last, None when none was or it is gone."""
        kept = self._read().get("kit")
        path = Path(kept) if isinstance(kept, str) else None
        return path if path is not None and path.is_dir() else None

    @property
    def theme(self) -> str | None:
        """The theme chosen last, None when none was."""
        kept = self._read().get("theme")
        return kept if isinstance(kept, str) and kept in THEMES else None

    def keep(self, **values: str) -> None:
        """Remember these; a file that cannot be written is no reason to stop."""
        kept = {**self._read(), **values}
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            part = self._path.with_suffix(".part")
            part.write_text(json.dumps(kept), encoding="utf-8")
            part.replace(self._path)
        except OSError:
            return

    def _read(self) -> dict[str, Any]:
        try:
            kept = json.loads(self._path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return kept if isinstance(kept, dict) else {}
