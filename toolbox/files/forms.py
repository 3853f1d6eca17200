"""Box forms, and new kit folders made from one of them."""

from __future__ import annotations

import os
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path
from types import MappingProxyType

from toolbox.files.atomic import sync_folder
from toolbox.files.problems import Fault, WriteRefused, listed, nearest, quoted
from toolbox.files.reading import read_kit
from toolbox.files.tables import settings_table
from toolbox.kit.kit import Settings

_PACKAGE = Path(__file__).parents[1]
_BLANK = Path(__file__).parent / "blank"

# What each setting is, for the head of a new kit.toml.
SETTINGS_IN_WORDS = MappingProxyType(
    {
        "clearance": "left free between things that lie beside each other",
        "loose_fill_percent": "how much of a bin's volume can be filled",
        "half_life_days": "a day this long ago weighs half; 0: all days alike",
        "urgent_weight": "how many ordinary seconds an urgent second is worth",
        "easy_share_percent": "share of all uses that the easily reached tools should cover",
        "stand_off": "how far before the box's front your hand starts",
        "hand_height": "how high above the floor your hand starts",
        "bend_below": "below this height you have to bend",
        "hand": "the hand you reach with, right or left",
        "hand_beside": "how far on its own side of the box's middle that hand starts",
        "service_percent": "how surely supplies are to last until the next restock",
        "restock_days": "days from one restock to the next",
    }
)


def forms() -> dict[str, Path]:
    """The box forms that come with the program: name -> a box.toml to start from."""
    return {path.stem: path for path in sorted(_shipped("layouts").glob("*.toml"))}


def demo_folder() -> Path:
    """The demo kit that comes with the program."""
    return _shipped("demo")


def new_kit(folder: Path, form: str, name: str) -> None:
    """Make a kit folder of this name with the box of this form and everything else to fill in.

    The folder may be there if it is empty. Raises WriteRefused for a form that does
    not exist or a folder that holds something, KitFaults for a name that a kit cannot
    have; nothing is left half-made.
    """
    known = forms()
    if form not in known:
        close = nearest(form, known)
        cure = f'did you mean "{close}"' if close else f"the forms are {listed(sorted(known))}"
        raise _refused(folder, f"there is no box form {quoted(form)}", cure)
    if folder.exists() and not folder.is_dir():
        raise _refused(folder, "is a file", "name a folder that does not exist yet")
    if folder.exists() and any(folder.iterdir()):
        raise _refused(
            folder, "holds something and cannot become a kit", "name an empty or a new folder"
        )
    folder = folder.absolute()
    folder.parent.mkdir(parents=True, exist_ok=True)
    made = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", suffix=".part", dir=folder.parent))
    try:
        _fill(made, known[form], name)
        read_kit(made)
        _move_in(made, folder)
    finally:
        shutil.rmtree(made, ignore_errors=True)
    sync_folder(folder.parent)


def _shipped(what: str) -> Path:
    # in a wheel inside the package, in a clone at the top of the repository
    packed = _PACKAGE / "shipped" / what
    return packed if packed.is_dir() else _PACKAGE.parent / what


def _fill(folder: Path, box: Path, name: str) -> None:
    texts = {path.name: path.read_bytes() for path in sorted(_BLANK.glob("*.toml"))}
    texts["box.toml"] = box.read_bytes()
    texts["kit.toml"] = _kit_text(name).encode("utf-8")
    for file, text in texts.items():
        (folder / file).write_bytes(text)
    (folder / "layouts").mkdir()
    folder.chmod(0o755)


def _kit_text(name: str) -> str:
    import tomlkit

    lines = [
        "# What the kit is called.",
        f"name = {tomlkit.item(name).as_string()}",
        "",
        "# Choices of your own. What is written here holds as it is; take the # away and",
        "# write another value to change it.",
        "[settings]",
    ]
    for key, value in settings_table(Settings()).items():
        lines += ["", f"# {SETTINGS_IN_WORDS[key]}", f"#{key} = {tomlkit.item(value).as_string()}"]
    return "\n".join((*lines, ""))


def _move_in(made: Path, folder: Path) -> None:
    """Give the finished folder its name; into a folder that is there, move what is in it.

    The folder that is there may be the one the mechanic stands in, so it stays itself.
    """
    if not folder.exists():
        os.replace(made, folder)
        return
    moved: list[Path] = []
    try:
        # a folder is a kit once it has its kit.toml: that one goes last
        for path in sorted(made.iterdir(), key=lambda path: path.name == "kit.toml"):
            moved.append(folder / path.name)
            os.replace(path, folder / path.name)
    except OSError:
        for path in moved:
            with suppress(OSError):
                path.rmdir() if path.is_dir() else path.unlink()
        raise


def _refused(folder: Path, wrong: str, cure: str) -> WriteRefused:
    return WriteRefused(Fault(str(folder), "", wrong, cure))
