"""The marking desk: the register of a class while it works, its widgets only.

What is marked stands in watching.py. Every trainee and every exercise keeps its own widgets,
and only those whose text changed are filled anew: what is open stays open, and the page does
not jump.
"""

import asyncio
import contextlib
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import ipywidgets as widgets
from markupsafe import Markup

from exercises.bank.syllabus import lesson_number, page_of
from exercises.instructor import mark_cells, statistics, trainee_page, watching
from exercises.instructor.watching import Watch
from exercises.pages import pages
from exercises.question.model import Exercise
from exercises.register import register
from lessons.desk.desk_files import HandingOn
from lessons.desk.findings import FindingsView
from lessons.desk.in_the_room import InTheRoom
from lessons.desk.panel import Panel
from lessons.widgets.pieces import PieceAboutOthers, piece
from lessons.widgets.small import (
    alarmed,
    offer,
    place,
    put,
    reporting_button,
    row,
    safely,
    soon,
    text,
    why,
)

EVERY = 3.0  # seconds between two looks at the folder
OVERVIEW = "overview"
WATCHER = "marking desk"
TEXTS = ("To teach again", "Changed marks", "What was read")
HAND_ON = "To hand on"
ROOM = "In the room"
FINDINGS = "Findings"
VIEWS = ("Class", ROOM, "Exercises", FINDINGS, *TEXTS, HAND_ON)


def open_desk() -> "Desk":
    """Return the desk on the class that was shown last, and begin to watch it."""
    folder, by = watching.remembered()
    desk = Desk(by=by)
    if folder:
        desk.folder.value = folder
        safely(desk.status, desk.open_class)
    desk.begin_watching()
    return desk


def desk_piece(name: str, *view: Any) -> Markup:
    """Return one piece of the desk's views."""
    return piece("desk.html", name, *view)


class Desk(widgets.VBox):
    """
    The desk. Drive it without a browser: ``desk.folder.value = …``, ``desk.open_class()``.

    Attributes
    ----------
    watch : Watch or None
        The class that is open.
    members, items : dict
        The panels of trainees by code and of exercises by key.
    """

    def __init__(self, by: str = "") -> None:
        self.watch: Watch | None = None
        self.by = by
        self.members: dict[str, MemberPanel] = {}
        self.items: dict[str, ItemPanel] = {}
        self._task: asyncio.Task[None] | None = None
        self._looks: set[asyncio.Task[None]] = set()
        self._followed = ""
        self.status = text("said", "Name the folder that holds the answer sheets, then open it.")
        self.views = {name: widgets.VBox() for name in VIEWS}
        self.views["Exercises"].add_class("gk-items")
        self.head, self.item_head = text("over"), text("over")
        self._over_members = row("member-line", text("lead"), self.head)
        self._over_items = row("member-line", text("lead"), self.item_head)
        self.lesson = widgets.Dropdown(options=[], tooltip="lesson")
        self.lesson.observe(lambda _: safely(self.status, self._show_items), "value")
        self._choice = row("line", text("label", "Lesson"), self.lesson)
        self.texts = {name: text("text", kind=PieceAboutOthers) for name in TEXTS}
        self.handing_on = self.views[HAND_ON] = HandingOn(lambda: self.watch)
        self.room = self.views[ROOM] = InTheRoom(lambda: self.watch, by)
        self.findings = self.views[FINDINGS] = FindingsView(self)
        super().__init__([text("style", desk_piece("style")), *self._top(), *self.views.values()])
        self.add_class("gk-desk")
        self._choose()

    def _top(self) -> list[widgets.Widget]:
        self.folder = widgets.Text(placeholder="folder of the answer sheets", tooltip="folder")
        self.folder.add_class("gk-in-folder")
        self.folder.continuous_update = False
        self.folder.observe(lambda _: soon(lambda: safely(self.status, self._named)), "value")
        self.watching = widgets.Checkbox(value=True, indent=False, description="watch the folder")
        self.watching.layout.width = "auto"
        self.view = widgets.ToggleButtons(options=VIEWS, value=VIEWS[0], tooltip="what is shown")
        self.view.add_class("gk-views")
        self.view.observe(lambda _: self._choose(), "value")
        buttons = [
            reporting_button("open-class", "Open the class", self.status, self.open_class),
            reporting_button("refresh", "Refresh", self.status, self.refresh),
        ]
        return [
            row("line", self.folder, *buttons, self.watching),
            row("line", self.status),
            row("line", self.view),
        ]

    def _choose(self) -> None:
        for name, view in self.views.items():
            view.layout.display = None if name == self.view.value else "none"

    def _named(self) -> None:
        """Read a folder as soon as it is named, by Enter or by leaving the field."""
        if self.folder.value.strip() and not self._is_open(self._folder()):
            self.open_class()

    # What the instructor does --------------------------------------------------------

    def open_class(self) -> None:
        """Open the folder that is named; a class that was open is put away."""
        folder = self._folder()
        if not self.folder.value.strip():
            self.say("Name the folder that holds the answer sheets, then open it.", alarm=True)
            return
        if not self._is_open(folder):
            watch = Watch(folder)
            watch.find()
            self.watch, self.members, self.items = watch, {}, {}
            self.handing_on.begin()
            self.findings.begin()
            with contextlib.suppress(OSError):  # a class can be marked where nothing can be kept
                watching.remember(folder, self.by)
        self._look()

    def _folder(self) -> Path:
        return Path(self.folder.value.strip().strip('"')).expanduser()

    def _is_open(self, folder: Path) -> bool:
        return self.watch is not None and self.watch.folder == folder

    def _look(self) -> None:
        """Look at the folder; where a page is there, without holding it up."""
        watch = self.watch
        if watch is None:
            return
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:  # no page: driven by a test
            self._show(watch.look().again)
        else:
            self._looks.add(task := loop.create_task(self._look_aside(watch)))
            task.add_done_callback(self._looks.discard)

    async def _look_aside(self, watch: Watch, *, asked: bool = True) -> None:
        """Mark in a thread and say how far it is; then show what changed."""
        try:
            looking = asyncio.ensure_future(asyncio.to_thread(watch.look))
            while not (await asyncio.wait([looking], timeout=0.5))[0]:
                if watch is self.watch and watch.busy_with:
                    self.say(f"Marking {watch.busy_with} …")
            news = looking.result()
            if watch is self.watch and (news or asked):
                self._show(news.again, in_order=asked)
            elif watch is self.watch:
                self.room.update()
                self._say_state()
        except Exception as error:  # a desk that fell silent would be believed
            self.say(why(error), alarm=True)

    def signed(self, by: str) -> None:
        """Keep the code of whoever just changed or closed something, for the next time."""
        self.by = by
        if self.watch is not None:
            with contextlib.suppress(OSError):
                watching.remember(self.watch.folder, by)

    def refresh(self) -> None:
        """Look at the folder now."""
        if self.watch is None:
            self.open_class()
            return
        self._look()

    def begin_watching(self) -> None:
        """Look at the folder every few seconds, until the kernel stops or the page runs again."""
        with contextlib.suppress(RuntimeError):  # no loop: driven by a test
            loop = asyncio.get_running_loop()
            for task in asyncio.all_tasks(loop):
                if task.get_name() == WATCHER:  # of the desk that the page showed before
                    task.cancel()
            self._task = loop.create_task(self._watch(), name=WATCHER)

    def _follow(self) -> None:
        """Show the class that the command named since, in the place of the one shown."""
        folder, _ = watching.remembered()
        if folder and folder != self._followed:
            self._followed = folder
            if not self._is_open(Path(folder)):
                self.folder.value = folder

    async def _watch(self) -> None:
        self._followed = watching.remembered()[0]
        while True:
            await asyncio.sleep(EVERY)
            self._follow()
            watch = self.watch
            if watch is not None and self.watching.value and not self._looks:
                await self._look_aside(watch, asked=False)

    def say(self, words: str, *, alarm: bool = False) -> None:
        """Say one thing under the folder's name."""
        self.status.value = alarmed(words) if alarm else pages.shown(words, 400)

    # What it shows ---------------------------------------------------------------------

    def _show(self, again: list[str], *, in_order: bool = True) -> None:
        """Bring every view up to date; only what changed is filled."""
        watch = self.watch
        if watch is None:
            return
        topics = watch.topics()
        put(self.head, desk_piece("head", [(lesson_number(topic), topic) for topic in topics]))
        for who in watch.members:
            panel = self.members.get(who)
            if panel is None:
                panel = self.members[who] = MemberPanel(self, who)
            panel.fill(topics, again=who in again)
        self.members = {who: self.members[who] for who in self._order(in_order=in_order)}
        place(self.views["Class"], [self._over_members, *self.members.values()])
        self._lessons(topics)
        self._show_items()
        self._show_texts()
        self.handing_on.fill(list(self.members))
        self.findings.fill()
        self.room.update()
        self._say_state()

    def _order(self, *, in_order: bool) -> list[str]:
        """
        Return the codes as they stand below each other.

        Who comes while the class works stands last until the next refresh: the browser builds
        anew all that stands below a newcomer, and the page would jump.
        """
        watch = self.watch
        assert watch is not None
        stay = [who for who in self.members if who in watch.members]
        return list(watch.members) if in_order else stay

    def _say_state(self) -> None:
        watch = self.watch
        if watch is None:
            return
        now = f"{datetime.now():%H:%M:%S}"
        counts = len(watch.members), watch.answers, watch.left, self.findings.still_open
        self.status.value = piece("said.html", "state", watch.folder.name, *counts, now)

    def _lessons(self, topics: list[str]) -> None:
        offer(self.lesson, [(f"{lesson_number(t)} {t}".strip(), t) for t in topics])

    def _show_items(self) -> None:
        watch = self.watch
        if watch is None:
            return
        found = [item for item in watch.items() if item.exercise.topic == self.lesson.value]
        for item in found:
            panel = self.items.get(item.exercise.key)
            if panel is None:
                panel = self.items[item.exercise.key] = ItemPanel(self, item.exercise)
            panel.fill(item)
        put(self.item_head, desk_piece("item_head", True))
        panels = [self.items[item.exercise.key] for item in found]
        place(self.views["Exercises"], [self._choice, self._over_items, *panels])

    def _show_texts(self) -> None:
        watch = self.watch
        if watch is None:
            return
        changed = mark_cells.changed_marks(watch.members.values(), watch.catalogue)
        groups = statistics.groups(watch.items())
        put(self.texts["To teach again"], desk_piece("groups", groups, register.MOST_GROUPS))
        put(self.texts["Changed marks"], desk_piece("changed", changed))
        put(self.texts["What was read"], desk_piece("troubles", watch.troubles))
        for name, words in self.texts.items():
            place(self.views[name], [words])


class MemberPanel(Panel):
    """One trainee: the marks by lesson; opened, each typing, and a mark changed."""

    def __init__(self, desk: Desk, trainee: str) -> None:
        super().__init__(desk.status, trainee, f"all of {trainee}'s answers")
        self.desk = desk
        self.trainee = trainee
        self.lesson = widgets.Dropdown(
            options=[("overview", OVERVIEW)], value=OVERVIEW, tooltip="what to read of this trainee"
        )
        self.lesson.observe(lambda _: safely(desk.status, self.show), "value")
        self.text, self.message = text("text", kind=PieceAboutOthers), text("said")
        place(self.details, [row("line", text("label", "Lesson"), self.lesson), self.text,
                          self._form()])  # fmt: skip

    def _form(self) -> widgets.VBox:
        self.exercise = widgets.Dropdown(options=[], tooltip="exercise")
        self.mark = widgets.Text(placeholder="0 to 1", tooltip="mark, 0 to 1 or per cent")
        self.reason = widgets.Text(placeholder="why, in a few words", tooltip="reason")
        self.by = widgets.Text(placeholder="MK", tooltip="your code")
        for name in ("mark", "reason", "by"):
            getattr(self, name).add_class(f"gk-in-{name}")
        change = reporting_button("change", "Change the mark", self.message, self.change)
        withdraw = reporting_button("withdraw", "Withdraw the change", self.message, self.withdraw)
        first = row("line", text("label", "Change a mark"), self.exercise,
                              text("label", "to"), self.mark)  # fmt: skip
        second = row("line", text("label", "reason"), self.reason,
                               text("label", "your code"), self.by, change, withdraw)  # fmt: skip
        self.form = widgets.VBox([first, second, self.message])
        self.form.add_class("gk-mark-form")
        return self.form

    def fill(self, topics: list[str], *, again: bool) -> None:
        """Fill the line; what is open is shown anew where the trainee was marked again."""
        watch = self.desk.watch
        assert watch is not None
        member = watch.members[self.trainee]
        cells = [
            mark_cells.lesson_cell(member, mark_cells.of_topic(watch.catalogue, topic))
            for topic in topics
        ]
        put(self.line, desk_piece("row", cells, mark_cells.notes_on(member)))
        options = [("overview", OVERVIEW)]
        options += [(f"{lesson_number(topic)} {topic}".strip(), topic) for topic in topics]
        offer(self.lesson, options)
        if self.is_open and again:
            self.show()

    def show(self) -> None:
        """Show what this trainee typed in the lesson chosen."""
        watch, topic = self.desk.watch, self.lesson.value
        if watch is None or not self.is_open or self.trainee not in watch.members:
            return
        member = watch.members[self.trainee]
        shown = {k: e for k, e in watch.catalogue.items() if e.topic == topic}
        one = watch.report(self.trainee)
        view = trainee_page.trainee_view(one, member.check, watch.catalogue)
        if topic == OVERVIEW:
            view |= {"lessons": [], "said": []}
        else:
            view = trainee_page.trainee_view(one, member.check, shown)
            view |= {"elements": [], "again": [], "remarks": [], "troubles": [], "changed": []}
            view["concept"] = {"sat": False}
        page = pages.render("trainee.html", **view)
        put(self.text, piece("said.html", "framed", page))
        exercises = mark_cells.of_topic(watch.catalogue, topic)
        options = [(exercise.title, exercise.key) for exercise in exercises]
        offer(self.exercise, options)
        self.form.layout.display = None if options else "none"
        self.by.value = self.by.value or self.desk.by

    def change(self) -> None:
        """Change the mark of the exercise chosen."""
        self._keep(lambda watch, exercise: watch.change(
            self.trainee, exercise, self.mark.value, self.reason.value, self.by.value
        ))  # fmt: skip

    def withdraw(self) -> None:
        """Withdraw the changed mark of the exercise chosen."""
        self._keep(lambda watch, exercise: watch.withdraw(
            self.trainee, exercise, self.reason.value, self.by.value
        ))  # fmt: skip

    def _keep(self, act: Callable[[Watch, Exercise], None]) -> None:
        watch = self.desk.watch
        if watch is None or self.exercise.value is None:
            return
        try:
            act(watch, watch.catalogue[self.exercise.value])
        except ValueError as error:
            self.message.value = alarmed(str(error))
            return
        self.desk.signed(self.by.value)
        self.mark.value = self.reason.value = ""
        self.message.value = f"Kept in {watch.changes.name}."
        self.desk.refresh()


class ItemPanel(Panel):
    """One exercise over the class; opened, its slips and where it is taught."""

    def __init__(self, desk: Desk, exercise: Exercise) -> None:
        super().__init__(desk.status, mark_cells.short(exercise), exercise.title)
        self.desk = desk
        self.exercise = exercise
        self.item: statistics.ExerciseFigures | None = None
        self.text = text("text", kind=PieceAboutOthers)
        place(self.details, [self.text])

    def fill(self, item: statistics.ExerciseFigures) -> None:
        """Fill the line, and the whole where it is open."""
        self.item = item
        put(self.line, desk_piece("item", item))
        if self.is_open:
            self.show()

    def show(self) -> None:
        """Show question, page, slips and every trainee's mark."""
        watch, key = self.desk.watch, self.exercise.key
        if watch is None or self.item is None:
            return
        marks = [
            (who, mark_cells.mark_cell(member.standings[key]))
            for who, member in watch.members.items()
            if key in member.standings
        ]
        put(self.text, desk_piece("item_told", self.item, marks, page_of(key)))
