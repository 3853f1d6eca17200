"""Starting: on a terminal, where there is none, and what is left behind after a crash."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from look import until

from toolbox.cli import codes
from toolbox.tui import launch
from toolbox.tui.app import ToolboxApp


@pytest.mark.parametrize(
    ("term", "keyboard", "screen", "words"),
    [
        ("xterm-256color", True, True, ""),
        ("dumb", True, True, "TERM=dumb"),
        ("xterm", True, False, "not to a terminal"),
        ("xterm", False, True, "keyboard"),
    ],
)
def test_what_stands_in_the_way(term: str, keyboard: bool, screen: bool, words: str) -> None:
    """Each reason has its own words."""
    said = launch.hindrance({"TERM": term}, keyboard=keyboard, screen=screen)
    assert (words in said) if words else (said == "")


def test_few_frames_over_a_network() -> None:
    """No motion ever; over a network few frames, unless somebody said otherwise."""
    here: dict[str, str] = {}
    launch.quieten(here)
    assert here == {"TEXTUAL_ANIMATIONS": "none"}
    far = {"SSH_TTY": "x"}
    launch.quieten(far)
    assert far["TEXTUAL_FPS"] == "15"


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    """An environment whose settings and memory are the test's own."""
    own = {k: v for k, v in os.environ.items() if k not in ("TOOLBOX_KIT", "NO_COLOR", "SSH_TTY")}
    own |= {name: str(tmp_path / "own") for name in ("XDG_CONFIG_HOME", "XDG_STATE_HOME", "HOME")}
    return own | {"TERM": "xterm-256color", "TOOLBOX_AUTHOR": "Tester", "COLUMNS": "80"}


def plain_run(*words: str, env: dict[str, str], cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run the command with its output in a pipe."""
    return subprocess.run(
        [sys.executable, "-m", "toolbox", *words],
        env=env,
        cwd=cwd,
        capture_output=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
    )


def test_a_pipe_gets_plain_words(small: Path, env: dict[str, str]) -> None:
    """toolbox | cat prints what toolbox ready prints, names why, and draws nothing."""
    done = plain_run("--help", env=env, cwd=small)
    assert done.returncode == 0
    done = plain_run(env=env, cwd=small)
    assert done.returncode == codes.NO
    assert "No screens: the output goes to a file" in done.stderr
    assert done.stdout == plain_run("ready", env=env, cwd=small).stdout
    assert done.stdout.startswith("NOT READY: Test kit\nMEND  no plan of the box")
    assert "\x1b" not in done.stdout + done.stderr


def test_print_is_plain_without_a_remark(small: Path, env: dict[str, str]) -> None:
    """--print was asked for, so nothing is explained."""
    done = plain_run("screens", "--print", env=env, cwd=small)
    assert done.stderr == ""
    assert done.stdout.startswith("NOT READY: Test kit")


def test_without_any_kit_it_says_how_to_begin(tmp_path: Path, env: dict[str, str]) -> None:
    """No kit here and none before: two ways to begin, exit code 1."""
    done = plain_run(env=env, cwd=tmp_path)
    assert done.returncode == codes.NO
    assert "toolbox new" in done.stderr
    assert "toolbox demo" in done.stderr


def on_terminal(code: str, keys: bytes, env: dict[str, str], cwd: Path) -> tuple[int, bytes]:
    """Run Python code on a terminal of its own; keys are typed once the kit was seen."""
    pid, fd = pty.fork()
    if pid == 0:
        os.chdir(cwd)
        os.execvpe(sys.executable, [sys.executable, "-c", code], env)
    shown = b""
    typed = False
    while True:
        try:
            more = os.read(fd, 65536)
        except OSError:
            break
        if not more:
            break
        shown += more
        if not typed and b"no plan" in shown:
            os.write(fd, keys)
            typed = True
    _, status = os.waitpid(pid, 0)
    os.close(fd)
    return os.waitstatus_to_exitcode(status), shown


MAIN = "import sys; sys.argv = ['toolbox']; from toolbox.cli import main; main()"


@pytest.mark.parametrize("term", ["xterm-256color", "screen-256color"])
def test_on_a_terminal_the_screens_open(small: Path, env: dict[str, str], term: str) -> None:
    """toolbox alone opens the kit of the folder; q leaves with 0, the terminal put back."""
    code, shown = on_terminal(MAIN, b"q", env | {"TERM": term}, small)
    assert code == 0
    assert b"\x1b[?1049h" in shown
    assert b"\x1b[?1049l" in shown
    remembered = Path(env["XDG_STATE_HOME"], "toolbox", "screens.json")
    assert str(small.resolve()) in remembered.read_text(encoding="utf-8")


def test_the_last_kit_is_opened_where_there_is_none(
    small: Path, tmp_path: Path, env: dict[str, str]
) -> None:
    """In a folder without a kit the one opened last is taken, and named."""
    assert on_terminal(MAIN, b"q", env, small)[0] == 0
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    done = plain_run(env=env, cwd=elsewhere)
    assert "the one opened last" in done.stderr
    assert done.stdout.startswith("NOT READY: Test kit")


def test_a_dumb_terminal_gets_plain_words(small: Path, env: dict[str, str]) -> None:
    """TERM=dumb: the same words as in a pipe, with the reason."""
    code, shown = on_terminal(MAIN, b"", env | {"TERM": "dumb"}, small)
    assert code == codes.NO
    assert b"No screens: TERM=dumb" in shown
    # Broken between words at 80 columns, where the terminal would cut one in two.
    assert max(len(line) for line in shown.decode().splitlines()) <= 80
    assert b"\x1b" not in shown


CRASH = """
import sys
from toolbox.tui.app import ToolboxApp
def broken(self):
    secret = "my secret note"
    raise RuntimeError(secret)
ToolboxApp.action_jump = broken
sys.argv = ['toolbox']
from toolbox.cli import main
main()
"""


def test_a_crash_leaves_a_report_and_a_working_terminal(small: Path, env: dict[str, str]) -> None:
    """Exit code 5, at most five lines, a report with versions and no word of the user's."""
    code, shown = on_terminal(CRASH, b"j", env, small)
    assert code == codes.BROKE == launch.BROKE
    rest = shown.split(b"\x1b[?1049l")[-1].decode()
    said = [line for line in rest.splitlines() if "toolbox" in line or "reset" in line or line]
    assert len(said) <= 6
    assert '"reset"' in rest
    assert "secret" not in rest
    report = Path(env["XDG_STATE_HOME"], "toolbox", "crash-report.txt").read_text("utf-8")
    assert "textual 8" in report
    assert "RuntimeError" in report
    assert "in broken" in report
    assert "Key" in report
    assert "secret" not in report


LEAVE = """
import sys, threading
from types import SimpleNamespace
from toolbox.tui.launch import _let_go
def long(): sum(range(20_000_000)); print("kept", flush=True)
works = [(None, threading.Thread(target=long))] if sys.argv[1] == "searching" else []
for _, thread in works: thread.start()
sys.stdout.write("said ")
_let_go(SimpleNamespace(works=works, session=SimpleNamespace(busy=sys.argv[1] == "reading")), 7)
sys.exit(3)
"""


@pytest.mark.parametrize(
    ("state", "said", "code"),
    [("searching", "said kept\n", 7), ("reading", "said ", 7), ("idle", "said ", 3)],
)
def test_leaving_waits_for_a_search_and_not_for_a_reader(state: str, said: str, code: int) -> None:
    """A search keeps its best; a thread that still reads the kit ends with the process."""
    done = subprocess.run(
        [sys.executable, "-c", LEAVE, state], capture_output=True, text=True, check=False
    )
    assert (done.stdout, done.returncode) == (said, code), done.stderr


async def test_a_report_without_a_folder_is_no_second_crash(tmp_path: Path) -> None:
    """Where nothing can be written the farewell says so."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    assert launch.write_report(tmp_path / "file", "x") is None
    assert "No report" in "\n".join(launch.farewell(None))
    assert len(launch.farewell(None)) <= 5


async def test_an_error_of_the_kits_thread_ends_the_screens(
    small: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is swallowed: an unforeseen error behind the screens is one of the screens."""

    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("toolbox.desk.picture.take_picture", broken)
    now = datetime(2026, 11, 21, tzinfo=UTC)
    app = ToolboxApp(small, now=lambda: now, author="Tester")

    async def shown() -> None:
        async with app.run_test() as pilot:
            await until(pilot, lambda: app.broke is not None, "the error")

    with pytest.raises(ZeroDivisionError):
        await shown()
    assert isinstance(app.broke, ZeroDivisionError)
