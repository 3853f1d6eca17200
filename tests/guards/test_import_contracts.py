"""Who may import whom, read from the source and proved again in fresh interpreters."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "toolbox"

# Package -> packages of ours it may import, bottom to top.
MAY_IMPORT = {
    "kit": set(),
    "files": {"kit"},
    # Only the words for faults, what an id is and the guard of cells, listed in INTAKE_TAKES.
    "intake": {"kit", "files"},
    "journal": {"kit"},
    "usage": {"kit"},
    "reach": {"kit"},
    "layout": {"kit"},
    "carry": {"kit"},
    "instruments": {"kit"},
    "stock": {"kit"},
    "papers": {"kit"},
    "drawings": {"kit"},
    # Only the stop signal and the running of the solver, listed in FLIGHT_TAKES.
    "flight": {"kit", "layout"},
    "desk": {
        "kit",
        "files",
        "intake",
        "journal",
        "usage",
        "reach",
        "layout",
        "carry",
        "flight",
        "instruments",
        "stock",
        "papers",
        "drawings",
    },
    # The command line shows the engines' values and errors; what it may take
    # from them is listed in CLI_TAKES.
    "cli": {
        "kit",
        "desk",
        "files",
        "intake",
        "journal",
        "usage",
        "reach",
        "layout",
        "carry",
        "flight",
        "stock",
        "papers",
        "tui",
        "serve",
    },
    # The screens as well: values and errors, listed in TUI_TAKES.
    "tui": {"kit", "desk", "files", "intake", "journal"}
    | {"usage", "reach", "layout", "carry", "flight"},
    # A gate, a page, a server: what they start and are called is handed to them.
    "serve": set(),
}
INTAKE_TAKES = {"toolbox.files.problems", "toolbox.files.fields", "toolbox.files.csv_guard"}
FLIGHT_TAKES = {"toolbox.layout.solver", "toolbox.layout.watch"}
CLI_TAKES = {
    "toolbox.carry.findings",
    "toolbox.carry.pitbag",
    "toolbox.carry.unused",
    "toolbox.layout.order",
    "toolbox.reach.engine",
    "toolbox.files.problems",
    "toolbox.intake.difference",
    "toolbox.intake.reading",
    "toolbox.journal.errors",
    "toolbox.usage.engine",
    "toolbox.usage.settled",
    "toolbox.layout.problem",
    "toolbox.layout.solve",
    "toolbox.layout.watch",
    "toolbox.stock.ledger",
    "toolbox.papers.claim",
    "toolbox.papers.customs",
    "toolbox.papers.customs_changes",
    "toolbox.papers.number_words",
    "toolbox.serve.gate",
    "toolbox.serve.page",
    "toolbox.serve.server",
    "toolbox.serve.words",
}
TUI_TAKES = {
    "toolbox.carry.findings",
    "toolbox.files.problems",
    "toolbox.files.sources",
    "toolbox.intake.reading",
    "toolbox.journal.errors",
    "toolbox.layout.order",
    "toolbox.layout.problem",
    "toolbox.layout.solve",
    "toolbox.layout.watch",
    "toolbox.reach.engine",
    "toolbox.usage.engine",
    "toolbox.usage.settled",
}
TAKES = {"cli": CLI_TAKES, "tui": TUI_TAKES, "flight": FLIGHT_TAKES, "intake": INTAKE_TAKES}
# What only one layer may import, and whether it may do so at the top of a module.
ONLY_IN = {
    "textual": ("tui", True),
    "pydantic": ("files", True),
    "tomlkit": ("files", True),
    "tomli_w": ("files", True),
    "tomllib": ("files", True),
    "sqlite3": ("journal", True),
    "click": ("cli", True),
    "rich": (("cli", "tui"), True),
    "platformdirs": (("tui", "desk"), False),
    "ortools": (("layout", "carry", "flight"), False),
    "pint": ("kit", False),
    "reportlab": ("drawings", False),
    "segno": (("drawings", "serve"), False),
    "aiohttp": ("serve", False),
    "textual_serve": ("serve", False),
    "python_calamine": ("intake", False),
    "scipy": (None, False),
    "numpy": ("layout", False),  # comes with ortools
}


def modules() -> list[Path]:
    """Every module of the package."""
    return sorted(ROOT.rglob("*.py"))


def imports(path: Path) -> list[tuple[str, bool]]:
    """Each imported module with whether the import stands at the module's top level."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    top = set(map(id, tree.body))
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, id(node) in top) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.append((node.module, id(node) in top))
    return found


def layer(path: Path) -> str:
    """The package below toolbox that a module belongs to ('' for toolbox itself)."""
    parts = path.relative_to(ROOT).parts
    return parts[0] if len(parts) > 1 else ""


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(ROOT)))
def test_each_layer_knows_only_those_below(path: Path) -> None:
    """A module imports of ours only what its layer may, so that rules stay out of screens."""
    own = layer(path)
    if not own:
        return
    for name, at_top in imports(path):
        if not name.startswith("toolbox."):
            continue
        other = name.split(".")[1]
        assert other == own or other in MAY_IMPORT[own], f"{path.name} imports {name}"
        if own == "cli" and other == "tui":
            # One door, opened only when the screens are wanted.
            assert (path.name, name, at_top) == ("screens.py", "toolbox.tui.launch", False)
        elif own in TAKES and other not in ("kit", "desk", own):
            assert name in TAKES[own], f"{path.name} imports {name}"


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(ROOT)))
def test_heavy_libraries_stay_where_they_belong(path: Path) -> None:
    """A library is imported in its one layer, solvers and pint only inside functions."""
    for name, at_top in imports(path):
        library = name.split(".")[0]
        if library in ONLY_IN:
            where, top_allowed = ONLY_IN[library]
            assert layer(path) in (where if isinstance(where, tuple) else (where,)), (
                f"{path.name} imports {library}"
            )
            assert top_allowed or not at_top, f"{path.name} imports {library} at its top"


def loaded(code: str) -> set[str]:
    """Top-level names of all modules loaded after running code in a fresh interpreter."""
    program = f"{code}\nimport sys; print(' '.join({{m.split('.')[0] for m in sys.modules}}))"
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    return set(run.stdout.splitlines()[-1].split())


def test_version_loads_nothing_heavy() -> None:
    """toolbox --version is answered without screens, units, solver or file readers."""
    code = (
        "import sys; sys.argv = ['toolbox', '--version']\n"
        "from toolbox.cli import main\n"
        "try: main()\nexcept SystemExit: pass"
    )
    heavy = {"textual", "pint", "ortools", "pydantic", "tomlkit", "rich", "numpy", "pandas"}
    assert not loaded(code) & heavy


def test_pick_loads_no_screens_units_or_solver(tmp_path: Path) -> None:
    """toolbox pick on the demo kit reads metric quantities without pint, solver or screens."""
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from toolbox.desk.setup import lay_out_demo\n"
        f"folder = lay_out_demo(Path({str(tmp_path / 'demo')!r}))\n"
        "tool = folder.kit.tools[0].id\n"
        "sys.argv = ['toolbox', 'pick', tool, '--kit', str(folder.path)]\n"
        "from toolbox.cli import main\n"
        "try: main()\nexcept SystemExit as end: assert end.code == 0, end.code"
    )
    assert not loaded(code) & {"textual", "pint", "ortools", "numpy", "pandas"}


def test_the_engines_import_without_files_or_terminal() -> None:
    """Engines are pure: importing them loads no file or database code."""
    code = (
        "import toolbox.usage.engine, toolbox.usage.settled, toolbox.reach.engine\n"
        "import toolbox.layout.solve, toolbox.layout.verify, toolbox.layout.bound\n"
        "import toolbox.flight.packing, toolbox.flight.packing_reason\n"
        "import toolbox.instruments.correction, toolbox.instruments.drift\n"
        "import toolbox.instruments.due, toolbox.instruments.trend\n"
        "import toolbox.stock.ledger, toolbox.stock.shelf, toolbox.stock.expected\n"
        "import toolbox.stock.levels, toolbox.stock.fluids\n"
        "import toolbox.drawings.pdf, toolbox.drawings.labels, toolbox.drawings.lid\n"
        "import toolbox.papers.claim, toolbox.papers.customs, toolbox.papers.customs_changes"
    )
    impure = {"click", "pydantic", "tomlkit", "sqlite3", "textual", "rich", "ortools", "pint"}
    impure |= {"reportlab", "segno"}
    assert not loaded(code) & impure


@pytest.mark.parametrize(
    "package",
    [
        "usage",
        "reach",
        "layout",
        "carry",
        "flight",
        "instruments",
        "stock",
        "drawings",
        "kit",
        "intake",
    ],
)
def test_engines_read_no_clock_and_no_files(package: str) -> None:
    """Engine source calls no wall clock for its results, opens nothing and prints nothing."""
    for path in sorted((ROOT / package).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                called = ast.unparse(node.func)
                banned = {"open", "print", "input", "datetime.now", "date.today", "time.time"}
                assert called not in banned, f"{path.name}:{node.lineno} calls {called}"


# Loaded before the first frame, so that nothing of the work is: the rest comes after it.
FIRST_FRAME = ("launch", "app", "actions", "themes", "shell", "text", "session", "settings")


def test_the_first_frame_waits_for_no_reader_units_or_solver() -> None:
    """After importing the app and the first place, no library of the work is loaded."""
    code = "import toolbox.tui.launch, toolbox.tui.app, toolbox.tui.screens.ready"
    heavy = {"pydantic", "pint", "ortools", "numpy", "tomlkit", "tomli_w", "sqlite3", "pandas"}
    assert not loaded(code) & heavy


@pytest.mark.parametrize("module", FIRST_FRAME)
def test_the_shell_loads_nothing_of_the_work_at_its_top(module: str) -> None:
    """Modules of the first frame import no desk and no files at their top."""
    for name, at_top in imports(ROOT / "tui" / f"{module}.py"):
        if at_top and name.startswith("toolbox."):
            assert name.split(".")[1] == "tui", f"{module} imports {name}"
