"""
A page's line to its Python over several connections, through a real socket: each message arrives
once, in its order, whatever the network does; and nobody gains by saying otherwise.
"""

import contextlib
import json
import time

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus

from exercises.classroom import notices, presence
from lessons.server import frames, kernels
from lessons.server.line import Talk
from tests.class_room import Room, closed, frame, kind_of

pytestmark = pytest.mark.full  # starts a server


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    served = Room(tmp_path_factory.mktemp("room") / "class")
    yield served
    assert served.stop() == 0


@pytest.fixture(scope="module")
def cookie(room):
    return room.cookie("T07")


@pytest.fixture
def kernel(room, cookie):
    return room.open(cookie)[0]


def heard(line, until, seconds=30):
    """Return (words, kinds of messages) that come until a word or kind has come."""
    words, kinds, end = {}, [], time.monotonic() + seconds
    while until not in words and until not in kinds:
        message = line.recv(timeout=end - time.monotonic())
        if isinstance(message, str):
            words |= json.loads(message)
        else:
            kinds.append(kind_of(message))
    return words, kinds


def ask():
    return frame("kernel_info_request", {})


def test_who_says_how_far_it_has_come_gets_the_same_answer(room, cookie, kernel):
    with room.line(kernel, cookie, more="&have=0") as line:
        assert heard(line, "had")[0]["had"] == 0
        line.send(ask())
        line.send(ask())
        heard(line, "kernel_info_reply")
        line.send(json.dumps({"there": 1}))
        assert heard(line, "had")[0]["had"] == 2


def test_what_was_not_acknowledged_comes_again_and_what_was_does_not(room, cookie, kernel):
    with room.line(kernel, cookie, session="again", more="&have=0") as line:
        heard(line, "had")
        line.send(ask())
        before = []  # busy, the reply, idle: the reply comes by another way, so in any order
        while "kernel_info_reply" not in before or before.count("status") < 2:
            message = line.recv(timeout=30)
            before += [] if isinstance(message, str) else [kind_of(message)]
    with room.line(kernel, cookie, session="again", more="&have=1") as line:
        words, kinds = heard(line, "status")
        assert words["had"] == 1
        assert kinds == before[1:][: len(kinds)]


def test_a_message_sent_twice_is_answered_once(room, cookie, kernel):
    with room.line(kernel, cookie, session="twice", more="&have=0") as first:
        heard(first, "had")
        first.send(ask())
        heard(first, "kernel_info_reply")
        with room.line(kernel, cookie, session="twice", more="&have=0") as second:
            assert heard(second, "had")[0]["had"] == 1
            with contextlib.suppress(ConnectionClosed):  # the late one of a network that comes back
                first.send(ask())
            second.send(ask())
            second.send(json.dumps({"there": 1}))
            count, end = 0, time.monotonic() + 3
            with contextlib.suppress(TimeoutError):
                while True:
                    message = second.recv(timeout=end - time.monotonic())
                    reply = not isinstance(message, str) and kind_of(message) == "kernel_info_reply"
                    count += reply
            assert count == 2, "one of before the cut, one of after it"


def test_what_is_not_held_cannot_be_gone_on_with(room, cookie, kernel):
    with pytest.raises(InvalidStatus) as reported:
        room.line(kernel, cookie, session="never", more="&have=7")
    assert reported.value.response.status_code == 410
    for strange in ("-1", "x", "1e9", "9" * 30, "0&have=/"):
        with pytest.raises(InvalidStatus) as reported:
            room.line(kernel, cookie, more=f"&have={strange}")
        assert reported.value.response.status_code == 400


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "7", '{"have": "x"}', '{"have": -1}', '{"have": 1e300}', '{"at": {}}',
     '{"have": 99999999}', '{"at": "no-such-exercise"}', "[" * 200, '{"at": "' + "x" * 900 + '"}',
     '{"had": 5, "message": {"text": "<b>"}}'],
)  # fmt: skip
def test_strange_words_beside_the_messages_change_nothing(room, cookie, kernel, text):
    with room.line(kernel, cookie, more="&have=0") as line:
        heard(line, "had")
        line.send(text)
        line.send(ask())
        heard(line, "kernel_info_reply")


def test_a_page_that_is_gone_from_memory_is_refused(room):
    cookie = room.cookie("T08")
    kernel, _ = room.open(cookie)
    with room.line(kernel, cookie, session="s", more="&have=0") as line:
        heard(line, "had")
        for _ in range(kernels.MOST_PAGES):
            room.open(cookie)
        assert closed(line).rcvd.code == kernels.ASLEEP
    with pytest.raises(InvalidStatus) as reported:
        room.line(kernel, cookie, session="s", more="&have=1")
    assert reported.value.response.status_code == 404


class NoPython:
    """What a talk asks of its connection to a Python."""

    kernel_id = "k"

    def __init__(self):
        self.multi_kernel_manager, self.ended = self, False

    def disconnect(self):
        self.ended = True

    def stop_buffering(self, kernel_id):
        pass


def test_what_is_kept_for_a_page_is_bounded(monkeypatch):
    monkeypatch.setattr("lessons.server.line.MOST_KEPT", 1000)
    over = []
    talk = Talk(NoPython(), over.append)
    for _ in range(9):
        talk.say(b"x" * 100)
    assert not talk.lost
    talk.has(5)
    for _ in range(5):
        talk.say(b"x" * 100)
    assert not talk.lost
    for _ in range(9):
        talk.say(b"x" * 100)
    assert talk.lost
    assert over == [talk]
    assert talk.connection.ended


def test_a_word_is_numbers_and_short_texts():
    assert frames.word('{"have": 3, "at": "a"}') == {"have": 3, "at": "a"}
    assert frames.word('{"have": true}') == {}


# What the desk and the pages say to each other -------------------------------------------


def test_a_line_of_the_trainer_reaches_every_open_page_and_those_opened_later(room, cookie, kernel):
    with room.line(kernel, cookie, more="&have=0") as line:
        assert heard(line, "message")[0]["message"] is None
        notices.say(room.folder, "Break until 10:30", "MK")
        assert heard(line, "message")[0]["message"]["text"] == "Break until 10:30"
    with room.line(kernel, cookie, more="&have=0") as line:
        said = heard(line, "message")[0]["message"]
        assert (said["text"], said["by"]) == ("Break until 10:30", "MK")
        notices.take_away(room.folder, notices.MESSAGE)
        assert heard(line, "message")[0]["message"] is None


def test_the_server_says_who_is_in_where_and_which_phrases_were_wrong(room, cookie, kernel):
    with room.line(kernel, cookie, more="&have=0") as line:
        line.send(json.dumps({"at": "deflection-total"}))
        room.sign_in("T09", "no")
        room.sign_in("T09", "no")
        until = time.monotonic() + 20
        while time.monotonic() < until:
            one = presence.read(room.folder)
            inside = {p.code: p for p in one.people} if one else {}
            pages = inside["T07"].pages if "T07" in inside else ()
            where = [(p.page, p.at) for p in pages if p.connected]
            tried = [(t.code, t.address, t.times) for t in one.wrong] if one else []
            if ("review", "deflection-total") in where and ("T09", "127.0.0.1", 2) in tried:
                break
            time.sleep(0.2)
        assert ("review", "deflection-total") in where
        assert tried == [("T09", "127.0.0.1", 2)]
    assert (room.folder / presence.NAME).stat().st_mode & 0o077 == 0
