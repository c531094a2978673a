"""
What a page may say to its Python: the values of widgets, and nothing else.

Every message of a browser is looked at here before anything else reads it. A foreign program can
send what it likes: numbers of parts that would fill the memory, offsets that lead backwards, code
to run. What is none of a page's is dropped.
"""

import itertools
import json

PROTOCOL = "v1.kernel.websocket.jupyter.org"
LARGEST = 512 * 1024  # bytes; an answer is a few hundred
MOST_PARTS = 40  # channel, four parts of the message, and the buffers of a picture
MOST_MESSAGES = 6000  # in a window: a page on a slow computer asks for 1400 widgets one by one
WINDOW = 5.0  # seconds
LONGEST_WORD = 300  # characters of what a page says beside its messages
CONTROL = "jupyter.widget.control"  # asks for all widgets at once, when a page opens
ALLOWED = frozenset({"comm_open", "comm_msg", "comm_close", "comm_info_request"}) | {
    "kernel_info_request"
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


def may_pass(frame):
    """Return whether a message is one that a page of the course sends."""
    try:
        channel, (header, _, _, content, *_) = parts(frame)
        kind = json.loads(header)["msg_type"]
        if channel != "shell" or kind not in ALLOWED:
            return False
        return kind != "comm_open" or json.loads(content)["target_name"] == CONTROL
    except (ValueError, KeyError, TypeError, RecursionError):
        return False


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


class Rate:
    """How many messages came in the last seconds."""

    def __init__(self, clock):
        self._clock, self._began, self._count = clock, clock(), 0

    def too_many(self):
        """Count one more, and return whether no page would have sent so many."""
        now = self._clock()
        if now - self._began > WINDOW:
            self._began, self._count = now, 0
        self._count += 1
        return self._count > MOST_MESSAGES
