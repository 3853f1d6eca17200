"""Box forms, and new kit folders made from one of them."""

from __future__ import annotations

from pathlib import Path
from types import MappingProxyType

from toolbox.files.new_folder import new_folder
from toolbox.files.problems import Fault, WriteRefused, listed, nearest, quoted
from toolbox.files.reading import read_kit
from toolbox.files.render import value_text
from toolbox.files.tables import settings_table
from toolbox.kit.kit import Settings

_PACKAGE = Path(__file__).parents[1]
KIT_FILE = "kit.toml"
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
    with new_folder(folder, "a kit", last=KIT_FILE) as made:
        _fill(made, known[form], name)
        read_kit(made)


def _shipped(what: str) -> Path:
    # in a wheel inside the package, in a clone at the top of the repository
    packed = _PACKAGE / "shipped" / what
    return packed if packed.is_dir() else _PACKAGE.parent / what


def _fill(folder: Path, box: Path, name: str) -> None:
    texts = {path.name: path.read_bytes() for path in sorted(_BLANK.glob("*.toml"))}
    texts["box.toml"] = box.read_bytes()
    texts[KIT_FILE] = _kit_text(name).encode("utf-8")
    for file, text in texts.items():
        (folder / file).write_bytes(text)
    (folder / "layouts").mkdir()


def _kit_text(name: str) -> str:
    lines = [
        "# What the kit is called.",
        f"name = {value_text(name)}",
        "",
        "# Choices of your own. What is written here holds as it is; take the # away and",
        "# write another value to change it.",
        "[settings]",
    ]
    for key, value in settings_table(Settings()).items():
        lines += ["", f"# {SETTINGS_IN_WORDS[key]}", f"#{key} = {value_text(value)}"]
    return "\n".join((*lines, ""))


def _refused(folder: Path, wrong: str, cure: str) -> WriteRefused:
    return WriteRefused(Fault(str(folder), "", wrong, cure))
