"""Sizes, docstrings and annotations of the code, so that it stays readable."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "toolbox"
MODULE_LINES = 400
FUNCTION_LINES = 60
NINETIETH = 30


def modules() -> list[Path]:
    """Every module of the package."""
    return sorted(ROOT.rglob("*.py"))


def functions(tree: ast.AST) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Every function and method, nested ones too."""
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef)
    return [node for node in ast.walk(tree) if isinstance(node, kinds)]


def body_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function from its first to its last statement, without its docstring."""
    body = node.body[1:] if ast.get_docstring(node) else node.body
    return body[-1].end_lineno - body[0].lineno + 1 if body else 0  # type: ignore[operator]


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(ROOT)))
def test_modules_and_functions_are_short(path: Path) -> None:
    """No module above 400 lines, no function body above 60."""
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= MODULE_LINES
    for node in functions(ast.parse(text)):
        assert body_lines(node) <= FUNCTION_LINES, f"{node.name} in {path.name}"


def test_nine_functions_in_ten_are_under_thirty_lines() -> None:
    """Functions are mostly short: the ninetieth percentile is at most 30 lines."""
    sizes = sorted(
        body_lines(node)
        for path in modules()
        for node in functions(ast.parse(path.read_text(encoding="utf-8")))
    )
    assert sizes[int(0.9 * len(sizes))] <= NINETIETH


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(ROOT)))
def test_public_things_are_documented_and_annotated(path: Path) -> None:
    """Every module, public class and public function has a docstring and a return type."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree), f"{path} has no docstring"
    public = [tree.body] + [
        node.body
        for node in tree.body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    ]
    for body in public:
        for node in body:
            if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name.startswith("_"):
                continue
            assert ast.get_docstring(node), f"{node.name} in {path.name} has no docstring"
    for node in functions(tree):
        assert node.returns is not None, f"{node.name} in {path.name} has no return type"


def test_only_agreed_names_stand_at_the_top() -> None:
    """The top of the repository holds only what the map in DEVELOPERS.md names."""
    top = ROOT.parent
    agreed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "toolbox", "tests", "layouts",
        "demo", "LICENSE", "uv.lock",
    }  # fmt: skip
    found = {p.name for p in top.iterdir() if not p.name.startswith(".")}
    built = {name for name in found if name.endswith(".egg-info") or name in ("dist", "build")}
    assert found - built <= agreed
