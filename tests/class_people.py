"""
People of a class without browsers: each opens pages and drags sliders over the socket, as the
page's own program does. Many of them cost little, so that what is measured is the class's server.

Used by tests/bench/bench_class.py and tests/endurance/endure_class.py.
"""

import itertools
import json
import threading
import time
import uuid
from pathlib import Path

import psutil

from tests.class_room import frame

SLIDERS = ("FloatSliderModel", "IntSliderModel", "FloatLogSliderModel")


def parts_of(message):
    """Return (header, content, buffers) of a message that came."""
    count = int.from_bytes(message[:8], "little")
    ends = [int.from_bytes(message[8 * i : 8 * i + 8], "little") for i in range(1, count + 1)]
    held = [message[a:b] for a, b in itertools.pairwise(ends)]
    return json.loads(held[1]), json.loads(held[4]), held[5:]


class Person:
    """Somebody with a cookie; `open` a page, then `drag` on it."""

    def __init__(self, room, code):
        self.room, self.code = room, code
        self.cookie = room.cookie(code)
        self.kernel = self.line = None
        self.came = 0

    def open(self, page="08_deflection"):
        """Open a page; return the seconds from the address to the first figure's picture."""
        begun = time.monotonic()
        self.kernel, _ = self.room.open(self.cookie, page)
        self.session = str(uuid.uuid4())
        self.line = self.room.line(
            self.kernel, self.cookie, session=self.session, more="&have=0"
        ).__enter__()
        self.came = 0
        self._say("comm_open", {"comm_id": "c", "target_name": "jupyter.widget.control",
                                "target_module": None, "data": {}})  # fmt: skip
        self._say("comm_msg", {"comm_id": "c", "data": {"method": "request_states"}})
        while True:
            _, content, buffers = self._hear()
            if content.get("data", {}).get("method") == "update_states":
                break
        states = content["data"]["states"]
        self.pictures = {
            name for name, one in states.items()
            if "gk-picture" in one["state"].get("_dom_classes", ())
        }  # fmt: skip
        first = self._first_figure(states)
        self.slider, self.low, self.high = first
        if not any(len(one) > 1000 for one in buffers):
            self._picture()
        return time.monotonic() - begun

    def _first_figure(self, states):
        """Return a slider of the page's first figure, with its ends."""
        for name, one in states.items():
            if one["model_name"] in SLIDERS and not one["state"].get("disabled"):
                return name, one["state"]["min"], one["state"]["max"]
        raise AssertionError("the page has no slider")

    def drag(self, seconds, pace):
        """Drag the slider for some seconds; return the seconds from each step to its picture."""
        waits, end, step = [], time.monotonic() + seconds, 0
        while time.monotonic() < end:
            step += 1
            share = 0.3 + 0.4 * ((step * 7) % 20) / 20
            sent = time.monotonic()
            value = self.low + share * (self.high - self.low)
            moved = {"method": "update", "state": {"value": round(value)}, "buffer_paths": []}
            self._say("comm_msg", {"comm_id": self.slider, "data": moved})
            self._picture()
            waits.append(time.monotonic() - sent)
            time.sleep(max(0.0, pace - waits[-1]))
        return waits

    def answers(self, seconds=20):
        """Return whether the page's Python answers."""
        self._say("kernel_info_request", {})
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            header, _, _ = self._hear()
            if header["msg_type"] == "kernel_info_reply":
                return True
        return False

    def close(self):
        """Close the page, as a browser says it."""
        self.line.close()
        self.room.ask(f"/voila/api/shutdown/{self.kernel}", "POST", cookie=self.cookie, body={})

    def _picture(self):
        """Wait for another picture."""
        while True:
            header, content, buffers = self._hear()
            if header["msg_type"] != "comm_msg" or content["comm_id"] not in self.pictures:
                continue
            if any(len(one) > 1000 for one in buffers):
                return

    def _say(self, kind, content):
        self.line.send(frame(kind, content, session=self.session))

    def _hear(self):
        while True:
            message = self.line.recv(timeout=120)
            if isinstance(message, bytes):
                self.came += 1
                if self.came % 10 == 0:
                    self.line.send(json.dumps({"have": self.came}))
                return parts_of(message)


def at_once(people, act):
    """Have everybody do something in the same moment; return what each made of it."""
    made, wrong, start = {}, [], threading.Barrier(len(people))

    def one(person):
        start.wait()
        try:
            made[person.code] = act(person)
        except Exception as error:  # reported by the thread that waits
            wrong.append(error)

    threads = [threading.Thread(target=one, args=[person]) for person in people]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if wrong:
        raise wrong[0]
    return list(made.values())


def memory(room):
    """Return (MB of each page's Python, MB of the server and its warm Python), each PSS."""
    server = psutil.Process(room.process.pid)
    below = server.children(recursive=True)
    warm = {p.pid for p in below if "lessons.kernel.warm" in " ".join(p.cmdline())}
    pages = [_pss(p.pid) for p in below if p.ppid() in warm]
    return pages, _pss(server.pid) + sum(
        _pss(p.pid) for p in below if p.pid in warm and p.ppid() == server.pid
    )


def worked(room):
    """Return the seconds of processor time so far of server, pages' Pythons, and these people."""
    server = psutil.Process(room.process.pid)
    times = {"server": server, "people": psutil.Process()}
    spent = {name: sum(one.cpu_times()[:2]) for name, one in times.items()}
    return {**spent, "pages": sum(_worked(one) for one in server.children(recursive=True))}


def _worked(process):
    """Return a process's seconds of processor time; 0 where it has just ended."""
    try:
        return sum(process.cpu_times()[:2])
    except psutil.Error:
        return 0.0


def _pss(pid):
    """Return a process's proportional share of memory, MB."""
    text = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="utf-8")
    return int(text.split("Pss:")[1].split()[0]) / 1024


def roster(many):
    """Return a roster of so many people."""
    return "code,name\n" + "".join(f"T{n:02d},Person {n}\n" for n in range(1, many + 1))


def median(values):
    """Return the middle of some values."""
    return sorted(values)[len(values) // 2]


def high(values, share=0.95):
    """Return the value under which that share of them lies."""
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]
