"""Taking in a list: chosen, read, asked about, held against the kit, accepted, written once."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from pathlib import Path

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.desk.intake import Intake, take_in
from toolbox.desk.intake_view import (
    HOW,
    Source,
    asked_again,
    column_told,
    how_read,
    kept_answers,
    odd_chosen,
    pasted,
    source_at,
    store_list,
    summary,
)
from toolbox.desk.picture import Picture
from toolbox.files.problems import KitFaults
from toolbox.intake.reading import Answers, Question
from toolbox.tui.actions import bindings
from toolbox.tui.deeds.intake import WHERE
from toolbox.tui.menu import Menu
from toolbox.tui.screens.inner import Inner
from toolbox.tui.screens.intake_file import ListChooser, PathEntry
from toolbox.tui.screens.intake_shown import COLUMNS, EMPTY, Shown, Views
from toolbox.tui.screens.intake_taken import (
    FREE,
    Taken,
    WrittenList,
    choice_rows,
    first_view,
    question_words,
)
from toolbox.tui.text import plain
from toolbox.tui.widgets.ask_line import AskLine
from toolbox.tui.widgets.rows import Rows
from toolbox.tui.widgets.words import WordsPane

READING_LIST = "reading the list"


class TakeIn(Inner):
    """The list that is taken in: its views, what is said of it, what of it is accepted."""

    PLACE = WHERE
    TAB = "kit"
    HELP = (
        "A list of tools and supplies, of jobs, or of weighings, taken in step by step. Choose "
        "a file, or paste the list. Then see what each column was read as and how that was "
        "guessed; Enter on a column gives it another meaning, with a unit like mass (g), or - "
        "to leave it out. Questions are what only you can say: Enter answers one, an answer "
        "already given is asked again. Rows shows what was read of each line and on which guess "
        "it rests, Refused what cannot be used and what to do about it. Changes holds it "
        "against the kit: Space accepts a line, a all of them, w writes what is accepted, all "
        "of it or nothing. Nothing is written before, and nothing is ever taken out of the kit."
    )
    BINDINGS = bindings(WHERE)
    DEFAULT_CSS = """
    TakeIn #list { display: none; height: 1fr; }
    TakeIn.-read #list { display: block; }
    TakeIn.-read ListChooser { display: none; }
    TakeIn #summary { height: auto; max-height: 2; padding: 0 1; text-style: bold; }
    TakeIn #panes { height: 1fr; layout: vertical; }
    TakeIn #about { height: 7; border-top: solid $primary; }
    TakeIn.-wide #panes { layout: horizontal; }
    TakeIn.-wide #about {
        width: 38%; height: 1fr; border-top: none; border-left: solid $primary;
    }
    """

    def __init__(self, start: Path | None = None) -> None:
        super().__init__()
        self._start = start or Path.cwd()
        self._source: Source | None = None
        self._answers = Answers()
        self._shown_list: Shown | None = None
        self._accepted: set[str] = set()
        self._turn = 0
        self._view = "columns"

    def body(self) -> ComposeResult:
        """The chooser; once a list is read, its views in its place."""
        yield ListChooser(self._start)
        with Vertical(id="list"):
            yield Static("", id="summary", markup=False)
            yield Views()
            with Horizontal(id="panes"):
                yield Rows(COLUMNS["columns"], empty=READING_LIST, id="read")
                yield WordsPane(id="about")
            yield AskLine()

    def on_mount(self) -> None:
        """Ask for a list."""
        super().on_mount()
        self.query_one(ListChooser).begin()

    @property
    def _list(self) -> Rows:
        return self.query_one("#read", Rows)

    @property
    def _choosing(self) -> bool:
        return not self.has_class("-read")

    def stage(self) -> Hashable:
        """Enter does something else in each view."""
        return (self._choosing, self._view)

    def half_filled(self) -> bool:
        """Whether something is accepted and not written."""
        return bool(self._accepted)

    def marked_text(self) -> str:
        """All that is said of the marked row."""
        shown = self._shown_list
        row = self._list.cursor_row
        return "\n".join(shown.about(self._view, row)) if shown is not None else ""

    def take_back(self) -> bool:
        """What was written out of a list is edited in Kit; the log has nothing of it."""
        self.toolbox.tell("What a list brought is changed in Kit, not taken back.")
        return True

    def step_inside(self) -> bool:
        """From the chooser back to the list that is read already; what is accepted asks first."""
        if self._choosing and self._shown_list is not None:
            self._show_list()
            return True
        if self._accepted:
            rows = [("g", "go", "Go on here"), ("d", "drop", "Leave; nothing is written")]
            self.app.push_screen(Menu("Changes are accepted and not written", rows), self._dropped)
            return True
        return False

    def _dropped(self, answer: str | None) -> None:
        if answer == "drop":
            self._accepted.clear()
            self.leave()

    # ---- reading

    def show(self, picture: Picture) -> None:
        """The kit is another one: hold the list against it again."""
        if self._source is not None and self._shown_list is not None:
            self._read()

    @on(ListChooser.Chosen)
    def _file(self, event: ListChooser.Chosen) -> None:
        path, start = event.path, self._start
        self._begin(lambda: source_at(path, start))

    @on(PathEntry.Pasted)
    def _paste(self, event: PathEntry.Pasted) -> None:
        text = event.text
        self._begin(lambda: pasted(text))

    def _begin(self, load: Callable[[], Source]) -> None:
        self._accepted.clear()

        def do(folder: KitFolder) -> tuple[Source, Intake]:
            source = load()
            answers = kept_answers(folder, source)
            return source, take_in(folder, source.data, source.name, answers)

        self._in_turn(do)

    def _read(self) -> None:
        source, answers = self._source, self._answers
        if source is not None:
            self._in_turn(lambda f: (source, take_in(f, source.data, source.name, answers)))

    def _in_turn(self, do: Callable[[KitFolder], tuple[Source, Intake]]) -> None:
        """Read in the session's thread; only the newest reading is shown."""
        self._turn += 1
        turn = self._turn

        def read(folder: KitFolder) -> Taken:
            try:
                source, taken = do(folder)
            except (DeskError, KitFaults) as error:
                return Taken(turn, None, None, str(error))
            return Taken(turn, source, taken, "")

        def said(message: Taken) -> str:
            self.post_message(message)
            return ""

        self.toolbox.write(read, said)

    @on(Taken)
    def _taken(self, message: Taken) -> None:
        if message.turn != self._turn:
            return
        if message.source is None or message.taken is None:
            self.query_one(ListChooser).wrong(message.wrong)
            return
        first = message.source is not self._source
        self._source, self._answers = message.source, message.taken.reading.answers
        self._shown_list = Shown(message.taken, self._accepted)
        self._accepted &= {line.key for line in self._shown_list.changes}
        if first:
            self._view = first_view(self._shown_list)
        self._show_list(focus=first or self._choosing)

    def _show_list(self, *, focus: bool = True) -> None:
        self.add_class("-read")
        if focus:
            self._list.focus()
        self._fill()

    def _fill(self) -> None:
        shown = self._shown_list
        if shown is None:
            return
        self.query_one("#summary", Static).update(plain(summary(shown.taken)))
        self.query_one(Views).show(self._view, shown.counts())
        self._list.columns = COLUMNS[self._view]
        self._list.refill(shown.source(self._view), empty=EMPTY[self._view])
        self._describe()

    def _describe(self) -> None:
        if self._shown_list is not None:
            said = self._shown_list.about(self._view, self._list.cursor_row)
            pane = self.query_one("#about", WordsPane)
            pane.head(said[0] if said else "")
            pane.more(said[1:])

    @on(Rows.Moved, "#read")
    def _moved(self) -> None:
        self._describe()

    @on(Rows.Chosen, "#read")
    def _chosen(self) -> None:
        self.action_open()

    # ---- what can be asked for

    def action_view(self, name: str) -> None:
        """Show another view of the list."""
        if self._ready():
            self._view = name
            self._fill()
            self._list.focus()

    def _ready(self) -> bool:
        """Whether a list is shown and nothing is asked for."""
        return not self._choosing and not self.query_one(AskLine).asking

    def action_choose_file(self) -> None:
        """Ask for another list."""
        self.remove_class("-read")
        self.query_one(ListChooser).begin()

    def action_open(self) -> None:
        """What Enter does with the marked row of this view."""
        shown, row = self._shown_list, self._list.cursor_row
        if shown is None or not self._ready() or not len(self._list.source):
            return
        if self._view == "columns":
            self._ask_meaning(shown, row)
        elif self._view == "questions":
            asked = shown.asked[row]
            if asked.question is None:
                self._answers = asked_again(self._answers, asked.id)
                self._read()
            else:
                self._ask(asked.question)
        elif self._view == "changes":
            self.action_accept()

    def _ask_meaning(self, shown: Shown, row: int) -> None:
        column = shown.columns[row]

        def told(typed: str) -> None:
            self._answers = column_told(shown.taken, column, typed)
            self._read()

        value = "" if column.meaning == "?" else column.meaning
        self._type(f"{column.header} means", told, value)

    def _ask(self, question: Question) -> None:
        menu = Menu(question.asked, choice_rows(question))
        self.app.push_screen(menu, lambda answer: self._answered(question, answer))

    def _answered(self, question: Question, answer: str | None) -> None:
        if answer == FREE:
            self._type("What should stand there", lambda typed: self._say(question.id, typed))
        elif answer is not None:
            self._say(question.id, answer)

    def _say(self, question: str, answer: str) -> None:
        self._answers = self._answers.also(question, answer)
        self._read()

    def action_how(self) -> None:
        """Ask which of the things that hold for the whole list is to be said."""
        if self._shown_list is not None and self._ready():
            rows = list(how_read(self._shown_list.taken))
            self.app.push_screen(Menu("What holds for the whole list", rows), self._how)

    def _how(self, id: str | None) -> None:
        found = next((row for row in HOW if row[1] == id), None)
        if found is None:
            return
        _, name, words, choices = found
        if choices:
            self._ask(Question(name, words, choices))
        else:
            self._type(words, lambda typed: self._say(name, typed.strip()))

    # ---- accepting and writing

    def action_accept(self) -> None:
        """Accept the marked change, or no longer; then the next one."""
        if self._view != "changes" or not self._ready() or not len(self._list.source):
            return
        self._accepted ^= {self._list.source.key(self._list.cursor_row)}
        self._fill()
        self._list.action_move(1)

    def action_accept_all(self) -> None:
        """Accept all changes; none where all are accepted already."""
        shown = self._shown_list
        if shown is None or not self._ready():
            return
        every = {line.key for line in shown.changes}
        keep = every if self._accepted != every else set()
        self._accepted.clear()
        self._accepted |= keep
        self.action_view("changes")

    def action_write(self) -> None:
        """Say what would be written, with what is odd about it, and ask."""
        shown, folder = self._shown_list, self.toolbox.folder
        if shown is None or folder is None or not self._ready():
            return
        lines = [line for line in shown.changes if line.key in self._accepted]
        if not lines:
            self.toolbox.tell("Nothing is accepted yet: Space accepts a line of Changes, a all.")
            return
        odd = odd_chosen(folder.kit, shown.taken, self._accepted)
        said = question_words(lines, odd)
        no, yes = ("n", "no", "No; look again"), ("y", "yes", "Yes, all of it")
        rows = [no, yes] if odd else [yes, no]
        self.app.push_screen(Menu(said, rows), self._agreed)

    def _agreed(self, answer: str | None) -> None:
        source, answers, accepted = self._source, self._answers, frozenset(self._accepted)
        if answer != "yes" or source is None:
            return

        def said(words: str) -> str:
            self.post_message(WrittenList())
            return words

        self.toolbox.write(lambda f: store_list(f, source, answers, accepted), said)

    @on(WrittenList)
    def _written(self) -> None:
        self._accepted.clear()
        self._read()

    # ---- the line that asks

    def _type(self, words: str, then: Callable[[str], None], value: str = "") -> None:
        self.query_one(AskLine).ask(words, then, value)
