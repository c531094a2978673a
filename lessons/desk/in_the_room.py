"""The room at the desk: who is in a class and where, and what the trainer does for everybody.

Its widgets only. The class's server, which is another process, says who is in; all else goes
through files of the class folder.
"""

import contextlib
from datetime import datetime
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from exercises.bank.syllabus import lesson_number
from exercises.classroom import members, notices, phrases, presence
from exercises.classroom.sessions import Sessions
from exercises.instructor.watching import Watch
from exercises.question.marking import slip_name
from exercises.sheets import class_file, person
from exercises.sheets.report import Standing
from exercises.trainer import devices
from lessons.widgets.pieces import PieceAboutOthers, piece
from lessons.widgets.small import offer, place, put, reporting_button, row, text

WHOLE_PAGE = ("the whole page", "")
NO_CLASS = (
    "This folder holds answer sheets alone. Who is in a room is seen here where a class works "
    "from one computer: python -m lessons --class FOLDER."
)


def room_piece(name: str, *view: Any) -> Any:
    """Return one piece of this view."""
    return piece("room.html", name, *view)


class InTheRoom(widgets.VBox):
    """
    Who is in, what to say to everybody, and the question that is up.

    Drive it without a browser: ``view.line.value = "Break"``, ``view.say_line()``.
    """

    def __init__(self, watch: Any, by: str = "") -> None:
        self._watch = watch
        self.message = text("said")
        self.people, self.wrong, self.stands = (text("text", kind=PieceAboutOthers) for _ in "abc")
        self.listed = text("text", kind=PieceAboutOthers)
        self._members: tuple[Path, members.Members] | None = None
        self.by = widgets.Text(value=by, placeholder="MK", tooltip="your code")
        self.by.add_class("gk-in-by")
        rows = [*self._somebody(), *self._everybody(), *self._hands()]
        seen = (self.people, self.wrong, self.listed)
        self._parts = [text("style", room_piece("style")), *seen, *rows]
        super().__init__()
        self.add_class("gk-room")
        self.update()

    # Building --------------------------------------------------------------------------

    def _button(self, name: str, label: str, act: Any) -> widgets.Button:
        return reporting_button(name, label, self.message, act)

    def _somebody(self) -> list[widgets.Widget]:
        self.who = widgets.Dropdown(options=[], tooltip="whose phrase or session")
        renew = self._button("renew", "New phrase", self.new_phrase)
        out = self._button("sign-them-out", "Sign out", self.sign_out)
        return [row("line", text("label", "One person"), self.who, renew, out), self.message]

    def _everybody(self) -> list[widgets.Widget]:
        self.line = widgets.Text(placeholder="one line for everybody", tooltip="one line")
        self.line.add_class("gk-in-line")
        self.page = widgets.Dropdown(options=[], tooltip="page to look at")
        self.section = widgets.Dropdown(options=[WHOLE_PAGE], tooltip="heading on that page")
        self.page.observe(lambda _: self._offer_sections(), "value")
        return [
            text("heading", "To everybody"),
            row("line", self.line, text("label", "from"), self.by,
                self._button("say-line", "Show the line", self.say_line),
                self._button("unsay", "Take it away", lambda: self.take_away(notices.MESSAGE))),
            row("line", text("label", "Look at"), self.page, self.section,
                self._button("look", "Send the link", self.send_link),
                self._button("unlook", "Take it away", lambda: self.take_away(notices.LOOK))),
            self.stands,
        ]  # fmt: skip

    def _hands(self) -> list[widgets.Widget]:
        self.topic = widgets.Dropdown(options=[], tooltip="lesson of the question")
        self.question = widgets.Dropdown(options=[], tooltip="question for the room")
        self.topic.observe(lambda _: self._offer_questions(), "value")
        self.up = text("text")
        return [
            text("heading", "Hands from the devices"),
            row("line", text("label", "Question"), self.topic, self.question,
                self._button("put-up", "Put it up", self.put_up)),
            row("line", self._button("anew", "Count anew", self.count_anew),
                self._button("tell", "Tell the room", self.tell), self.up),
        ]  # fmt: skip

    # What the trainer does -------------------------------------------------------------

    @property
    def folder(self) -> Path | None:
        """Return the folder of the class that is open; None where it is no class's."""
        watch: Watch | None = self._watch()
        return watch.folder if watch and (watch.folder / class_file.NAME).is_file() else None

    def _class_folder(self) -> Path:
        if self.folder is None:
            raise ValueError(NO_CLASS)
        return self.folder

    def new_phrase(self) -> None:
        """Give somebody a new phrase, and show it this once."""
        code, folder = self._chosen(), self._class_folder()
        before = code in phrases.read(folder)
        phrase = phrases.renew(folder, code, listed=self._list(folder).codes)
        self.update()
        self.message.value = room_piece("phrase", code, phrase, before)

    def sign_out(self) -> None:
        """End every session of somebody."""
        code = self._chosen()
        Sessions(self._class_folder()).end_all_of(code)
        self.message.value = f"{code} is signed out. What was kept stays kept."
        self.update()

    def _chosen(self) -> str:
        if not self.who.value:
            raise ValueError("Choose a person first.")
        return str(self.who.value)

    def say_line(self) -> None:
        """Show one line on everybody's page."""
        notices.say(self._class_folder(), self.line.value, self.by.value)
        self.line.value = ""
        self._done("The line is on every page that is open, and on those opened next.")

    def send_link(self) -> None:
        """Send everybody a link to a page."""
        page, section = self.page.value, self.section.value
        notices.look_at(self._class_folder(), page, section, self.by.value)
        self._done("The link is on every page that is open, and on those opened next.")

    def take_away(self, which: str) -> None:
        """Take the line or the link away."""
        notices.take_away(self._class_folder(), which)
        self._done("Taken away.")

    def put_up(self) -> None:
        """Put a question up for the projector's page."""
        devices.put_up(self._class_folder(), str(self.question.value or ""))
        self._done("The question is up. Open the page for the projector.")

    def count_anew(self) -> None:
        """Begin another round of the question that is up."""
        devices.count_anew(self._class_folder())
        self._done("Counting starts again: earlier choices no longer count.")

    def tell(self) -> None:
        """Show on the projector which choice is right."""
        devices.tell(self._class_folder())
        self._done("The projector shows which choice is right.")

    def _done(self, words: str) -> None:
        self.message.value = words
        self.update()

    # What it shows ---------------------------------------------------------------------

    def update(self) -> None:
        """Show the room as it is now."""
        folder = self.folder
        if folder is None:
            put(self.people, NO_CLASS)
            place(self, [self._parts[0], self.people])
            return
        place(self, self._parts)
        in_force = self._list(folder)
        names = {one.code: one.name for one in in_force.people}
        lacking = _without_phrase(folder, in_force)
        put(self.listed, room_piece("listed", in_force.trouble, lacking))
        one = presence.read(folder)
        running = one is not None and not one.stale()
        inside = one.people if one and running else ()
        put(self.people, room_piece("people", running, [self._line(p, names) for p in inside]))
        tried = [(t, _clock(t.last)) for t in (one.wrong if one and running else ())]
        put(self.wrong, room_piece("wrong", tried))
        offer(self.who, [(_offered(one, name, lacking), one) for one, name in names.items()])
        offer(self.page, [(title, page) for page, title in notices.titles().items()])
        offer(self.topic, [(f"{lesson_number(t)} {t}".strip(), t) for t in devices.questions()])
        held = notices.read(folder)
        put(self.stands, room_piece("stands", *map(held.get, (notices.MESSAGE, notices.LOOK))))
        put(self.up, room_piece("up", devices.read(folder)))
        self._offer_sections()
        self._offer_questions()

    def _list(self, folder: Path) -> members.Members:
        """Return the class's list, as it was last understood."""
        if self._members is None or self._members[0] != folder:
            self._members = (folder, members.Members(folder))
        self._members[1].look()
        return self._members[1]

    def _offer_sections(self) -> None:
        headings = notices.headings(self.page.value) if self.page.value else ()
        offer(self.section, [WHOLE_PAGE, *((one, one) for one in headings)])

    def _offer_questions(self) -> None:
        found = devices.questions().get(self.topic.value or "", [])
        offer(self.question, [(_named(one.key, one.title), one.key) for one in found])

    def _line(self, one: presence.Inside, names: dict[str, str]) -> dict[str, Any]:
        last = self._last(one.code)
        return {
            "code": one.code,
            "name": names.get(one.code, ""),
            "since": _clock(one.since),
            "pages": [(p.page.replace("_", " "), p.at, p.connected) for p in one.pages],
            "last": last and _last_words(last),
        }

    def _last(self, code: str) -> tuple[Standing, Watch] | None:
        """Return where somebody answered last, on the sheet of that code and class."""
        watch: Watch | None = self._watch()
        if watch is None:
            return None
        mine = [m for who, m in watch.members.items() if person.parts(who)[1] == code]
        every = [s for member in mine for s in member.standings.values() if s.last]
        return (max(every, key=lambda s: s.last or datetime.min), watch) if every else None


def _last_words(found: tuple[Standing, Watch]) -> dict[str, Any]:
    standing, watch = found
    exercise = watch.catalogue[standing.key]
    last = standing.last
    return {
        "key": standing.key,
        "time": f"{last.astimezone():%H:%M}" if last else "",
        "right": not standing.open if exercise.marks else None,
        "slips": [slip_name(exercise, key) for key, _ in standing.slips.most_common(2)],
    }


def _without_phrase(folder: Path, listed: members.Members) -> list[str]:
    with contextlib.suppress(OSError, ValueError):
        return members.without_phrase(folder, listed.people)
    return []


def _offered(code: str, name: str, lacking: list[str]) -> str:
    return f"{code} {name}".strip() + (" (no phrase yet)" if code in lacking else "")


def _named(key: str, title: str) -> str:
    form = {"a": ", form A", "b": ", form B"}.get(key[-2:].removeprefix("-"), "")
    return title + (form if key.startswith("concept-") else "")


def _clock(moment: float) -> str:
    return f"{datetime.fromtimestamp(moment):%H:%M}"
