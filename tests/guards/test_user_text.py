"""No text that is not written out in the code is read as markup on the screen.

Textual reads strings as markup: a name with "[/" ends the program, one with
"[deep]" loses a word. So whatever is shown is a string written out, a `Text` or
`Content` made on the spot, or goes in with `markup=False`.
"""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "toolbox" / "tui"

# Called names, the places of their arguments that are shown, shown keywords, and
# whether they take `markup=False` (checked against Textual 8.2.8 below).
SHOWING: dict[str, tuple[tuple[int, ...], tuple[str, ...], bool]] = {
    "Label": ((0,), ("content",), True),
    "Static": ((0,), ("content",), True),
    "notify": ((0,), ("message", "title"), True),
    "OptionList": ((0, 1, 2, 3), (), True),
    "Option": ((0,), ("prompt",), False),
    "add_option": ((0,), ("option",), False),
    "replace_option_prompt": ((1,), ("prompt",), False),
    "Button": ((0,), ("label",), False),
    "Checkbox": ((0,), ("label",), False),
    "RadioButton": ((0,), ("label",), False),
    "Collapsible": ((), ("title",), False),
    "TabPane": ((0,), ("title",), False),
    "Tab": ((0,), ("label",), False),
    "add_row": ((0, 1, 2, 3, 4, 5, 6, 7), ("label",), False),
    "add_column": ((0,), ("label",), False),
    "with_tooltip": ((0,), ("tooltip",), False),
    "update": ((0,), ("content",), False),
    "from_markup": ((0,), ("text",), False),
}
ASSIGNED = ("border_title", "border_subtitle", "tooltip")
# Calls of ours, rich's and Textual's that give a Text or Content without reading markup.
MAKING = {"plain", "cut", "fit", "Text", "Content", "assemble", "join"}
# Looked at where they are made, so not again where they are handed on.
LOOKED_AT = {"Option", "Tab"}


def name_of(node: ast.expr) -> str:
    """The last part of a called name: `self.app.notify` is "notify"."""
    return node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")


def makers(tree: ast.AST) -> set[str]:
    """Functions of a module that say they return a Text or Content, and those that make one."""
    told = {
        node.name
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        and node.returns is not None
        and ast.unparse(node.returns) in ("Text", "Content")
    }
    return told | MAKING | LOOKED_AT


def harmless(node: ast.expr, making: set[str]) -> bool:
    """Whether what is shown is written out in the code, or is made a Text on the spot."""
    if isinstance(node, ast.Constant):
        return True
    if isinstance(node, ast.Starred):
        return harmless(node.value, making)
    if isinstance(node, ast.GeneratorExp | ast.ListComp):
        return harmless(node.elt, making)
    if isinstance(node, ast.IfExp):
        return harmless(node.body, making) and harmless(node.orelse, making)
    if isinstance(node, ast.Call):
        made = name_of(node.func)
        # "join" of a string is no Text, however it looks.
        if made == "join":
            return harmless_join(node.func)
        return made in making
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        # A Text plus anything is a Text.
        return harmless(node.left, making) and not isinstance(node.left, ast.Constant)
    return False


def harmless_join(node: ast.expr) -> bool:
    """Whether a join is that of a Text or Content."""
    if not isinstance(node, ast.Attribute):
        return False
    value = node.value
    return isinstance(value, ast.Call) and name_of(value.func) in ("Text", "Content", "plain")


def unmarked(node: ast.Call) -> bool:
    """Whether a call says `markup=False`."""
    return any(
        word.arg == "markup" and isinstance(word.value, ast.Constant) and word.value.value is False
        for word in node.keywords
    )


def plain_ids(tree: ast.AST) -> set[str]:
    """Ids of the Statics and Labels of a module that are made with `markup=False`."""
    return {
        str(word.value.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and name_of(node.func) in ("Static", "Label")
        if unmarked(node)
        for word in node.keywords
        if word.arg == "id" and isinstance(word.value, ast.Constant)
    }


def updates_plain(node: ast.Call, ids: set[str]) -> bool:
    """Whether a call is `query_one("#id", ...).update(...)` of such a one: it reads no markup."""
    asked = node.func.value if isinstance(node.func, ast.Attribute) else None
    return (
        name_of(node.func) == "update"
        and isinstance(asked, ast.Call)
        and name_of(asked.func) == "query_one"
        and bool(asked.args)
        and isinstance(asked.args[0], ast.Constant)
        and str(asked.args[0].value).removeprefix("#") in ids
    )


def faults(source: str) -> list[str]:
    """Where a module shows something that may be read as markup, in words."""
    tree = ast.parse(source)
    making = makers(tree)
    ids = plain_ids(tree)
    # A table of data is updated too; what is shown there is a dict, a set or keywords.
    data = (ast.Dict, ast.Set, ast.DictComp, ast.SetComp)
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and name_of(node.func) in SHOWING:
            places, words, takes_markup = SHOWING[name_of(node.func)]
            shown = [node.args[n] for n in places if n < len(node.args)]
            shown += [word.value for word in node.keywords if word.arg in words]
            if (takes_markup and unmarked(node)) or updates_plain(node, ids):
                continue
            found += [
                f"line {one.lineno}: {name_of(node.func)}({ast.unparse(one)})"
                for one in shown
                if not harmless(one, making) and not isinstance(one, data)
            ]
        elif isinstance(node, ast.Assign):
            found += [
                f"line {node.lineno}: {target.attr} = {ast.unparse(node.value)}"
                for target in node.targets
                if isinstance(target, ast.Attribute)
                and target.attr in ASSIGNED
                and not harmless(node.value, making)
            ]
    return found


@pytest.mark.parametrize("path", sorted(ROOT.rglob("*.py")), ids=lambda p: str(p.relative_to(ROOT)))
def test_what_is_shown_is_never_read_as_markup(path: Path) -> None:
    """Every module of the screens."""
    assert not faults(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "line",
    [
        'Label(f"tool {name}")',
        "Static(name)",
        "Static(name, markup=True)",
        "Static(name, markup=flag)",
        'self.notify("lost " + name)',
        'self.app.notify("lost", title=name)',
        "Option(tool.name)",
        "Button(name)",
        'Button(f"{name}", id="x")',
        'widget.update("\\n".join(names))',
        'widget.update("%s" % name)',
        'Static("", id="words")\nself.query_one("#words", Static).update(name)',
        'Static("", id="words", markup=False)\nself.query_one("#other", Static).update(name)',
        "self.border_title = name",
        "self.tooltip = tool.name if tool else None",
        'Label("{}".format(name))',
        "table.add_row(Text(a), name)",
        "Static(str(name))",
        "OptionList(*(Option(name) for name in names))",
        "OptionList(*names)",
        "OptionList(*(name for name in names))",
        "lines.add_option(Option(name))",
        "Content.from_markup(name)",
        "Static(Text.from_markup(name))",
    ],
)
def test_the_guard_sees(line: str) -> None:
    """Each of these would be read as markup."""
    assert faults(line)


@pytest.mark.parametrize(
    "line",
    [
        'Label("written out")',
        "Static(name, markup=False)",
        "Static(plain(name))",
        "Button(plain(name))",
        'self.notify(name, title="x", markup=False)',
        'widget.update(Text("\\n").join(lines))',
        "widget.update(plain(name) + other)",
        'Static("", id="words", markup=False)\nself.query_one("#words", Static).update(name)',
        "counts.update({name: 1})",
        "OptionList(*(Option(plain(name), id=name) for name in names))",
        "lines.add_option(Option(plain(name)))",
        "self.border_title = plain(name)",
        "self.tooltip = plain(name) if name else None",
        "def words() -> Text: ...\nStatic(words())",
    ],
)
def test_the_guard_lets_pass(line: str) -> None:
    """None of these is."""
    assert not faults(line)


def test_what_the_guard_knows_of_textual_holds() -> None:
    """The classes that are said to take `markup` do, and the others do not (by signature)."""
    import inspect

    from textual import widgets
    from textual.app import App
    from textual.widgets.option_list import Option

    for name, (_, _, takes) in SHOWING.items():
        shown = {"notify": App.notify, "Option": Option}.get(name) or getattr(widgets, name, None)
        if shown is not None:
            assert ("markup" in inspect.signature(shown).parameters) == takes, name
