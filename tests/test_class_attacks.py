"""
What a page's values can do when somebody sets them by hand: nothing to anybody else.

Through a real socket. One person attacks from a page of their own; another works meanwhile. What
is looked at is what the other notices, what the class folder holds, and what memory it costs.
"""

import contextlib
import functools
import json
import random
import time

import psutil
import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus

from exercises.classroom import forgetting, presence
from lessons.server import frames
from tests.class_room import Page, Room, frame, made

pytestmark = pytest.mark.full  # starts a server

UNREAD = "closed a line that nobody reads"
AT_ONCE = 15  # seconds within which another's page answers, on two cores that are busy already
WRONG = [
    *(None, True, -1, 10**18, 1e308, -1e308, 0.0, "", "x", "9" * 4000, "\ud800", "<script>"),
    *([], [[]], {}, {"x": [1]}, ["IPY_MODEL_x"], "IPY_MODEL_x", "../answers-T08.jsonl", "T08"),
]  # fmt: skip


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    folder = tmp_path_factory.mktemp("attacked") / "class"
    served = Room(folder, phrases=made(folder))
    yield served
    assert served.stop() == 0


@pytest.fixture(scope="module")
def victim(room):
    with Page(room, room.cookie("T08"), "01_surface") as page:
        page.seen = page.widgets()
        yield page


@pytest.fixture
def attacker(room):
    with Page(room, room.cookie("T07"), "01_surface") as page:
        yield page


@pytest.fixture(autouse=True)
def nobody_else_notices(room, victim):
    """What a trial leaves as it is: another's page, and the files of everybody else."""
    before = others(room.folder)
    yield
    assert victim.answers() < AT_ONCE
    assert victim.widgets() == victim.seen
    assert others(room.folder) == before


def others(folder):
    """Return the files that are not the attacker's, nor the server's own of who is in."""
    own = {forgetting.SIGNED_IN, presence.NAME}  # and, before its name, a file half written
    return {
        path.relative_to(folder): path.read_bytes()
        for path in sorted(folder.rglob("[!.]*"))
        if path.is_file() and "T07" not in path.name and path.name not in own
    }


def memory(room):
    """Return MB that the server and the largest of its pages hold."""
    server = psutil.Process(room.process.pid)
    pages = [one.memory_info().rss for one in server.children(recursive=True)]
    return server.memory_info().rss / 1e6, max(pages) / 1e6


def flood(page, message, most):
    """Send a message again and again until the line ends; return how often."""
    for count in range(most):
        try:
            page.line.send(message)
        except ConnectionClosed:
            return count
    with contextlib.suppress(TimeoutError):
        read_to_the_end(page)
    return most


def read_to_the_end(page):
    """Read what comes until the line ends, which raises."""
    while True:
        page.line.recv(timeout=20)


def update(model, **state):
    data = {"method": "update", "state": state, "buffer_paths": []}
    return frame("comm_msg", {"comm_id": model, "data": data})


@pytest.mark.parametrize("name", ["01_surface", "workbench", "00_start", "review"])
def test_any_value_of_any_trait_is_its_owners_alone(room, victim, name):
    chance = random.Random(name)
    with Page(room, room.cookie("T07"), name) as page:
        widgets = page.widgets()
        places = [(m, trait) for m, state in widgets.items() for trait in state]
        for model, trait in chance.sample(places, min(len(places), 200)):
            page.set(model, **{trait: chance.choice(WRONG)})
        buttons = [m for m, state in widgets.items() if "button_style" in state]
        for model in chance.sample(buttons, min(len(buttons), 60)):
            page.click(model)
        assert victim.answers() < AT_ONCE
        page.answers(within=120)


def test_long_texts_are_held_within_bounds(room, victim, attacker):
    texts = [m for m, state in attacker.widgets().items() if "placeholder" in state]
    assert texts
    begin = memory(room)
    with contextlib.suppress(ConnectionClosed):
        for turn in range(100):
            for model in texts:
                attacker.set(model, value=f"{turn % 10}" * 60_000)
        pytest.fail("six megabytes for each box have passed")
    attacker.again()
    assert victim.answers() < AT_ONCE
    attacker.answers(within=120)
    end = memory(room)
    assert end[0] - begin[0] < 50
    assert end[1] - begin[1] < 100


def test_thousands_of_updates_a_second_end_the_line_and_the_next_one(room, victim, attacker):
    slider = next(m for m, state in attacker.widgets().items() if "orientation" in state)
    most, a_second = frames.AT_ONCE_AND_A_SECOND["change"]
    begin = memory(room), time.monotonic()
    sent = 0
    for _ in range(3):
        with contextlib.suppress(ConnectionClosed):
            sent += flood(attacker, update(slider, value=0.1 * sent), 5000)
        assert victim.answers() < AT_ONCE
        attacker.again()
    assert memory(room)[0] - begin[0][0] < 50
    # What has passed is what the page could send by hand; the client's buffer counts as sent.
    assert sent < 15_000, "the line never ended"
    attacker.answers(within=most / 5 + a_second)


def test_what_no_widget_knows_is_nobodys(victim, attacker):
    for message in (
        update("0" * 32, value=1),
        frame("comm_close", {"comm_id": "0" * 32, "data": {}}),
        frame("comm_open", {"comm_id": "1", "target_name": "jupyter.widget", "data": {}}),
        frame("comm_open", {"comm_id": "2", "target_name": "none", "data": {}}),
        frame("comm_open", {"comm_id": "3" * 65, "target_name": frames.CONTROL, "data": {}}),
        frame("comm_msg", {"comm_id": "x" * 20_000, "data": {"method": "update", "state": {}}}),
        frame("comm_msg", {"comm_id": ["x"], "data": {"method": "update", "state": {}}}),
        frame("comm_msg", {"comm_id": "x", "data": {"method": "run", "state": {}}}),
        frame("comm_msg", {"comm_id": "x", "data": "update"}),
        frame("comm_msg", ["x"]),
    ):
        attacker.line.send(message)
    attacker.answers()


def test_what_is_nested_deep_reaches_nobody(attacker):
    slider = next(m for m, state in attacker.widgets().items() if "orientation" in state)
    message = update(slider, value="?")
    attacker.line.send(resized(message, b'"?"', b"[" * 20_000 + b"]" * 20_000))
    attacker.line.send(resized(message, b'"?"', b"[" * 20 + b"]" * 20))
    attacker.answers()


def resized(message, old, new):
    """Return a message with something in its content replaced, and its end moved."""
    count = int.from_bytes(message[:8], "little")
    end = int.from_bytes(message[8 * count : 8 * count + 8], "little") + len(new) - len(old)
    assert old in message
    return (
        message[: 8 * count]
        + end.to_bytes(8, "little")
        + message[8 * count + 8 :].replace(old, new)
    )


@pytest.mark.parametrize("pieces", [1, 100], ids=["in one", "in pieces"])
def test_a_hundred_megabytes_end_the_line_before_they_are_read(room, victim, attacker, pieces):
    slider = next(m for m, state in attacker.widgets().items() if "orientation" in state)
    begin = memory(room)
    whole = update(slider, value=1) + b"\x00" * 100_000_000
    size = len(whole) // pieces + 1
    with contextlib.suppress(ConnectionClosed):
        attacker.line.send(whole[i : i + size] for i in range(0, len(whole), size))
    with pytest.raises(ConnectionClosed):
        read_to_the_end(attacker)
    assert memory(room)[0] - begin[0] < 50
    assert victim.answers() < AT_ONCE
    attacker.again()
    attacker.answers()


def test_all_widgets_again_and_again_end_the_line(room, victim, attacker):
    asking = frame("comm_open", {"comm_id": "c", "target_name": frames.CONTROL, "data": {}})
    with contextlib.suppress(ConnectionClosed):
        assert flood(attacker, asking, 5000) < 5000
    assert victim.answers() < AT_ONCE


@pytest.mark.parametrize("more", ["", "&have=0"], ids=["a line for once", "a line that goes on"])
def test_who_goes_while_pictures_are_on_their_way_stops_nobody(room, victim, more):
    """Whatever a Python still says of a page that has gone, the server reads no nonsense."""
    with Page(room, room.cookie("T07"), "08_deflection") as page:
        sliders = [(m, state) for m, state in page.widgets().items() if "readout_format" in state]
        chance = random.Random(1)
        for session in range(3):
            page.again(more=more, session=f"gone{session}")
            for _ in range(30):
                model, state = chance.choice(sliders)
                page.set(model, value=chance.uniform(state["min"], state["max"]))
            page.line.socket.close()
            assert victim.answers() < AT_ONCE


@pytest.mark.parametrize("more", ["", "&have=0"], ids=["an older page", "a page of the course"])
def test_who_reads_nothing_fills_no_memory(room, victim, more):
    """A page that asks for all its pictures again and again, and takes none of them."""
    most = frames.AT_ONCE_AND_A_SECOND["all"][0]
    with Page(room, room.cookie("T07"), "08_deflection") as page:
        page.again(narrow=True, more=more, session="mute")
        own = page.line.socket.getsockname()[1]
        begin, peak, until = memory(room)[0], 0.0, time.monotonic() + 60
        ask_for_all(page, most - 1)
        while own in connected(room) and time.monotonic() < until:
            peak = max(peak, memory(room)[0])
            time.sleep(0.1)
        if more:  # what the page would go on with is held no more
            with (
                pytest.raises(InvalidStatus, match="410"),
                room.line(page.kernel, page.cookie, session="mute", more="&have=1"),
            ):
                pass
        else:
            assert log(room).count(UNREAD) == 1, "it ended for another reason"
        assert peak - begin < 60
        assert victim.answers() < AT_ONCE


def test_what_python_says_to_a_line_that_has_ended_fills_no_memory(room, victim):
    with Page(room, room.cookie("T07"), "08_deflection") as page:
        page.again()
        begin = memory(room)[0]
        ask_for_all(page, frames.AT_ONCE_AND_A_SECOND["all"][0] - 1)
        time.sleep(0.5)
        page.line.close()
        busy, until = room.python_of(page.kernel), time.monotonic() + 60
        while busy.cpu_percent(interval=2) > 5 and time.monotonic() < until:
            pass  # it goes on with what it was asked
        assert memory(room)[0] - begin < 25
        assert victim.answers() < AT_ONCE


def ask_for_all(page, times):
    """Ask for every widget with its picture, a megabyte and a half each time."""
    page.line.send(frame("comm_open", {"comm_id": "c", "target_name": frames.CONTROL, "data": {}}))
    for _ in range(times):
        page.say("c", method="request_states")


def log(room):
    """Return what the server has written for whoever looks for a fault."""
    (path,) = room.folder.with_name("jupyter").rglob("class-log.txt")
    return path.read_text(encoding="utf-8")


def connected(room):
    """Return the ports at the other ends of the server's connections."""
    lines = psutil.Process(room.process.pid).net_connections("tcp")
    return {one.raddr.port for one in lines if one.status == psutil.CONN_ESTABLISHED}


def test_new_lines_without_end_are_refused(room, victim, attacker):
    opening = functools.partial(room.line, attacker.kernel, attacker.cookie)
    with contextlib.ExitStack() as opened:
        with contextlib.suppress(InvalidStatus):
            for _ in range(200):
                opened.enter_context(opening())
        with pytest.raises(InvalidStatus, match="429"), opening():
            pass
        lines = psutil.Process(room.process.pid).net_connections("tcp")
        established = [one for one in lines if one.status == psutil.CONN_ESTABLISHED]
        assert len(established) < 20, "of thirty lines four stay open"


def test_an_allowance_comes_back_with_time():
    now = [0.0]
    allowance = frames.Allowance(lambda: now[0])
    most, a_second = frames.AT_ONCE_AND_A_SECOND["change"]
    assert not any(allowance.spent("change") for _ in range(most))
    assert allowance.spent("change")
    now[0] += 2
    assert sum(not allowance.spent("change") for _ in range(most)) in (
        2 * a_second - 1,
        2 * a_second,
    )
    assert not allowance.spent("bytes", 1000)


def test_a_pages_own_messages_pass():
    data = {"method": "update", "state": {"value": "x" * 4000}, "buffer_paths": []}
    assert frames.sort(frame("comm_msg", {"comm_id": "a-b_1", "data": data})) == "change"
    for kind, content, sort in [
        ("kernel_info_request", {}, "asking"),
        ("comm_info_request", {"target_name": "jupyter.widget"}, "asking"),
        ("comm_msg", {"comm_id": "a", "data": {"method": "request_states"}}, "all"),
        ("comm_msg", {"comm_id": "a", "data": {"method": "request_state"}}, "asking"),
        ("execute_request", {"code": "1"}, None),
    ]:
        assert frames.sort(frame(kind, content)) == sort, json.dumps(content)
