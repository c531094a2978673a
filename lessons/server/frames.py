"""
What a page may say to its Python: the values of widgets, and nothing else.

Every message of a browser is looked at here before anything else reads it. A foreign program can
send what it likes: numbers of parts that would fill the memory, offsets that lead backwards, code
to run. What is none of a page's is dropped; what comes oftener than a page sends it ends the line.
"""

import itertools
import json
import re
import time

from exercises.sheets import intake

PROTOCOL = "v1.kernel.websocket.jupyter.org"
LARGEST = intake.LONGEST_LINE  # bytes; an answer is a few hundred, a page of text some thousand
LONGEST_HEADER = 4096  # bytes of who says it, when, and to which message
MOST_PARTS = 40  # channel, four parts of the message, and buffers
DEEPEST = 12  # lists and dicts in one another; a widget's value lies five deep
LONGEST_WORD = 300  # characters of what a page says beside its messages
CONTROL = "jupyter.widget.control"  # asks for all widgets at once, when a page opens
COMM = re.compile(r"[\w-]{1,64}", re.ASCII)
ASKING = frozenset({"comm_info_request", "kernel_info_request", "comm_close"})
# What a page does with a widget. A line of its own for each: what it costs differs a thousandfold.
SORTS = {"update": "change", "custom": "change", "request_state": "asking", "request_states": "all"}
AT_ONCE_AND_A_SECOND = {
    "line": (30, 0.5),  # a network that comes and goes
    "asking": (6000, 200),  # a page on a slow computer asks for 1400 widgets one by one
    "change": (300, 60),  # a slider drawn by hand: twenty a second, each drawn; drafts put back
    "all": (20, 0.2),  # all widgets with their pictures, some megabytes
    "bytes": (4_000_000, 128_000),
}


def parts(frame):
    """
    Return channel and parts of a message.

    Raises
    ------
    ValueError
        If it is not written as the protocol says.
    """
    if not isinstance(frame, bytes) or len(frame) > LARGEST or len(frame) < 8:
        raise ValueError("no message of this protocol")
    count = int.from_bytes(frame[:8], "little")
    if not 6 <= count <= MOST_PARTS or len(frame) < 8 * (count + 1):
        raise ValueError("its number of parts cannot be right")
    offsets = [int.from_bytes(frame[8 * i : 8 * i + 8], "little") for i in range(1, count + 1)]
    if offsets != sorted(offsets) or offsets[0] < 8 * (count + 1) or offsets[-1] > len(frame):
        raise ValueError("its offsets cannot be right")
    every = [frame[a:b] for a, b in itertools.pairwise(offsets)]
    return every[0].decode("ascii"), every[1:]


def sort(frame):
    """Return which sort of message of a page this is, a key of AT_ONCE_AND_A_SECOND; else None."""
    try:
        channel, every = parts(frame)
        *about, content = every[:4]
        kind, said = json.loads(about[0])["msg_type"], json.loads(content)
        bounded = sum(map(len, about)) <= LONGEST_HEADER and intake.shallow(said, DEEPEST)
        return _sort(kind, said) if bounded and channel == "shell" else None
    except (ValueError, KeyError, TypeError, RecursionError):
        return None


def _sort(kind, said):
    if kind in ASKING:
        return "asking"
    if not COMM.fullmatch(said["comm_id"]):
        return None
    if kind == "comm_open":
        return "all" if said["target_name"] == CONTROL else None
    return SORTS.get(said["data"]["method"]) if kind == "comm_msg" else None


def word(text):
    """Return what a page says beside its messages: numbers and short texts, nothing else."""
    try:
        held = json.loads(text) if len(text) <= LONGEST_WORD else {}
        if not isinstance(held, dict):
            return {}
    except (ValueError, RecursionError):
        return {}
    have = held.get("have", 0)
    if type(have) is not int or not 0 <= have < 2**53:
        held.pop("have")
    return held if isinstance(held.get("at", ""), str) else {}


class Allowance:
    """
    How much a page may still send of each sort: so much at once, and so much more each second.

    It is the page's, not the line's: whoever opens a new line goes on with what is left.
    """

    def __init__(self, clock=time.monotonic):
        self._clock = clock
        self._left = {name: (most, clock()) for name, (most, _) in AT_ONCE_AND_A_SECOND.items()}

    def spent(self, name, cost=1):
        """Take some of what is left; return whether there was not so much."""
        most, a_second = AT_ONCE_AND_A_SECOND[name]
        left, then = self._left[name]
        now = self._clock()
        left = min(most, left + (now - then) * a_second) - cost
        self._left[name] = (max(left, -1), now)
        return left < 0
