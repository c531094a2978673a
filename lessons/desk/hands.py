"""The projector's page: the question that is up, and hands from the devices as they come."""

import asyncio
import contextlib
from pathlib import Path

import ipywidgets as widgets

from exercises.classroom import presence
from exercises.instructor import watching
from exercises.question import dice
from exercises.sheets import sheet
from exercises.trainer import devices, room
from exercises.trainer.devices import Counter
from lessons.widgets.pieces import piece
from lessons.widgets.small import put, reporting_button, row, text

EVERY = 1.0  # seconds between two counts
FOLLOWER = "hands page"


class HandsPage(widgets.VBox):
    """
    Question, bars that fill, and what is right once that is shown. Nobody is named.

    Drive it without a browser: ``page.look()``.
    """

    def __init__(self, folder: Path) -> None:
        self.counter = Counter(folder)
        self.question, self.bars, self.message = text("asked"), text("counted"), text("said")
        buttons = [
            reporting_button("tell", "Tell the room", self.message, self.tell),
            reporting_button("anew", "Count anew", self.message, self.count_anew),
        ]
        super().__init__(
            [
                text("style", piece("room.html", "style")),
                self.question,
                self.bars,
                row("line", *buttons),
                self.message,
            ]
        )
        self.add_class("gk-hands-page")
        self.look()

    def tell(self) -> None:
        """Show which choice is right."""
        devices.tell(self.counter.folder)
        self.look()

    def count_anew(self) -> None:
        """Begin another round."""
        devices.count_anew(self.counter.folder)
        self.look()

    def look(self) -> None:
        """Show the question that is up, and the hands as they are now."""
        one = devices.read(self.counter.folder)
        if one is None:
            put(self.question, piece("room.html", "nothing_up"))
            put(self.bars, "")
            return
        hands = self.counter.hands(one, self._inside())
        given = dice.given(one.exercise, sheet.ROOM, 1)
        table = room.bars(one.exercise, hands, given, revealed=one.shown)
        steps = one.exercise.steps(given) if one.shown else []
        put(self.question, piece("room.html", "asked", one))
        view = (table, hands.raised, hands.people, one.shown, steps)
        put(self.bars, piece("room.html", "counted", *view))

    def _inside(self) -> int:
        """Return how many people have a page open."""
        now = presence.read(self.counter.folder)
        return sum(bool(one.pages) for one in now.people) if now and not now.stale() else 0

    async def follow(self) -> None:
        """Count again and again, for as long as the kernel runs."""
        while True:
            await asyncio.sleep(EVERY)
            with contextlib.suppress(OSError, ValueError):  # the next count comes all the same
                self.look()


def open_hands() -> HandsPage:
    """Return the page on the class that the desk shows, and begin to count."""
    page = HandsPage(Path(watching.remembered()[0] or "."))
    with contextlib.suppress(RuntimeError):  # no loop: driven by a test
        loop = asyncio.get_running_loop()
        for task in asyncio.all_tasks(loop):
            if task.get_name() == FOLLOWER:  # of the page that was shown before
                task.cancel()
        page.following = loop.create_task(page.follow(), name=FOLLOWER)
    return page
