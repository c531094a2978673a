"""
Who may come in: sign-in, sessions, and how wrong tries are slowed.

A session is a random word in a signed cookie; whose it is stands on the server alone, so that a
session ends when the server says so. Whoever is in stays in, whatever others type.
"""

import asyncio
import hashlib
import math
import time

from jupyter_server.auth.identity import IdentityProvider, User
from traitlets import Any

from exercises.classroom import members, phrases, presence
from exercises.classroom.sessions import Sessions
from exercises.sheets import person

COOKIE = "geodesy-class"
DAYS = 7  # a course of one week, without signing in anew each morning
ANY_DAY = 36_500  # a cookie's own date counts for nothing: a computer's clock may be set meanwhile
FREE_TRIES = 3  # by a code from one address
FREE_AT_ADDRESS = 12  # by all codes from one address
LONGEST_WAIT = 60  # seconds
FORGOTTEN = 15 * 60  # seconds after the last wrong try
AT_ONCE = 2  # phrases tried in the same moment: each takes 16 MB and some hundredths of a second
MOST_REMEMBERED = 5000
MOST_SHOWN = 40  # wrong phrases that the desk shows
SHUT = (
    "Nobody can sign in just now: the phrases of the class cannot be read. Tell your instructor. "
    "Whoever is in stays in."
)
UNLISTED = "You are no longer in this class's list. Speak to your trainer."
WRONG = "Code and phrase do not belong together. Type both as they stand on your slip."


class ShutError(ValueError):
    """Nobody can sign in, whatever is typed."""


class Waits:
    """
    How long to wait after wrong tries, by code and address together, and by address.

    Somebody at another address never makes a code's owner wait.
    """

    def __init__(self, clock=time.monotonic):
        self._clock = clock
        self._wrong = {}  # (code or "", address) -> (how many, when the next may come, last)

    def seconds(self, code, address):
        """Return how many seconds to wait before the next try."""
        now = self._clock()
        return max((self._until(key) - now for key in self._keys(code, address)), default=0)

    def wrong(self, code, address):
        """Count a wrong try; return how many there were by this code from this address."""
        now = self._clock()
        if len(self._wrong) > MOST_REMEMBERED:
            self._wrong = {k: v for k, v in self._wrong.items() if now - v[2] < FORGOTTEN}
        for key in self._keys(code, address):
            count, _, last = self._wrong.get(key, (0, 0.0, now))
            count = 1 if now - last > FORGOTTEN else count + 1
            over = count - (FREE_TRIES if key[0] else FREE_AT_ADDRESS)
            wait = min(2.0**over, LONGEST_WAIT) if over >= 0 else 0.0
            self._wrong[key] = (count, now + wait, now)
        return self._wrong[code, address][0]

    def right(self, code, address):
        """Forget the wrong tries by this code from this address."""
        self._wrong.pop((code, address), None)

    def _keys(self, code, address):
        return ((code, address), ("", address))

    def _until(self, key):
        return self._wrong.get(key, (0, 0.0, 0.0))[1]


class Door:
    """
    Lets the people of a class in.

    Attributes
    ----------
    sessions : Sessions
    members : Members
    tell : callable
        Called with a sentence for the trainer.
    """

    def __init__(self, folder, tell=lambda words: None, clock=time.monotonic):
        self.folder, self.tell = folder, tell
        self.sessions, self.waits = Sessions(folder), Waits(clock)
        self.sessions.end_older(DAYS)
        self.members = members.Members(folder)
        self._wrong, self._said, self._said_of_list = {}, "", ""
        self._trying = asyncio.Semaphore(AT_ONCE)

    async def sign_in(self, typed_code, typed_phrase, address):
        """
        Return the word of a new session.

        Raises
        ------
        ValueError
            If code and phrase do not belong together, it is too early for another try, or who
            has the phrase is no longer on the list.
        """
        try:
            code = person.parts(person.person(typed_code))[1]
        except ValueError:
            code = "?"
        if (seconds := self.waits.seconds(code, address)) > 0:
            raise ValueError(f"Wait {math.ceil(seconds)} s, then type both once more.")
        kept = self._phrase_of(code)
        async with self._trying:
            right = await asyncio.to_thread(phrases.right, typed_phrase, kept)
        if not right:
            count = self.waits.wrong(code, address)
            self._note(code, address)
            if count >= FREE_TRIES:
                self.tell(f"{count} wrong phrases for {code} from {address}.")
            raise ValueError(WRONG)
        self.waits.right(code, address)
        if code not in self.members.codes:
            raise ValueError(UNLISTED)
        return self.sessions.begin(code)

    def _note(self, code, address):
        """Remember a wrong phrase for the desk: the latest of many."""
        before = self._wrong.pop((code, address), None)
        times = before.times + 1 if before else 1
        self._wrong[code, address] = presence.Tried(code, address, times, time.time())
        while len(self._wrong) > MOST_SHOWN:
            del self._wrong[next(iter(self._wrong))]

    @property
    def wrong(self):
        """Return the wrong phrases, the latest first."""
        return tuple(reversed(self._wrong.values()))

    def _phrase_of(self, code):
        """
        Return what is kept of a phrase, read anew: list and phrases may change meanwhile.

        Raises
        ------
        ShutError
            If the phrases cannot be read; it is reported to the instructor once.
        """
        self.members.look()
        try:
            every = phrases.read(self.folder)
        except (OSError, ValueError) as error:
            self._tell_once(f"Nobody can sign in: {error}")
            raise ShutError(SHUT) from None
        if code in self.members.codes and code not in every:
            self._tell_once(
                f"{code} is on the roster and has no phrase yet. Give one at the desk, or with: "
                f'python -m exercises phrase-new "{self.folder}"'
            )
        else:
            self._said = ""
        return every.get(code)

    def put_out(self):
        """Take on a changed roster; sign out who is no longer on it, and return their codes."""
        self.members.look()
        if self.members.trouble not in ("", self._said_of_list):
            self.tell(self.members.trouble)
        self._said_of_list = self.members.trouble
        gone = [code for code in self.sessions.people() if code not in self.members.codes]
        for code in gone:
            self.sessions.end_all_of(code)
            self.tell(f"{code} is no longer on the roster and is signed out.")
        return gone

    def _tell_once(self, words):
        if words != self._said:
            self.tell(words)
        self._said = words


class Identity(IdentityProvider):
    """Knows a person by the class's cookie, and by nothing else."""

    door = Any()
    auth_enabled = True
    login_available = logout_available = False

    def get_user(self, handler):
        """Return who asks, None where nobody is signed in."""
        code = self.door.sessions.code(word_of(handler))
        return User(username=code) if code else None

    def get_handlers(self):
        """Return no pages: the server has its own for signing in."""
        return []


def word_of(handler):
    """Return the word of the session in a request's cookie, "" where there is none."""
    word = handler.get_secure_cookie(COOKIE, max_age_days=ANY_DAY)
    return word.decode("utf-8", "replace") if word else ""


def cookie_secret(room):
    """Return the key that signs cookies; the same after a restart, another in each class."""
    return hashlib.blake2b(room.secret.encode("utf-8"), person=b"class cookie").digest()


async def let_in(handler, door):
    """Sign in whoever sent the form, and set the cookie."""
    word = await door.sign_in(
        handler.get_body_argument("code", "")[:40],
        handler.get_body_argument("phrase", "")[: phrases.LONGEST],
        handler.request.remote_ip,
    )
    handler.set_secure_cookie(
        COOKIE, word, expires_days=None, max_age=DAYS * 86400, httponly=True, samesite="Strict",
        path="/",  # days counted by the browser: its clock and ours may differ
        secure=handler.request.protocol == "https",
    )  # fmt: skip
