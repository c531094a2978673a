"""
The words of the exercises: plain text, one section an exercise, in a file beside the topic's code.

Whoever edits or translates them needs no Python. A section is headed by the exercise's key; a line
begins with what it is and a colon, and goes on in indented lines::

    [deflection-total]
    title: How much it leans, and which way
    prompt: From the two components, how large is the total deflection …
    nudge 1: Sketch ξ up the page and η to the right …
    slip sum: Added, not squared
        {value} is ξ and η added up. They stand at right angles: √(ξ² + η²).
    step 1: Size: √(ξ² + η²) = **{size:.1f}″**.
    source: θ² = ξ² + η². {GEODESY}.

A slip's first line is its name; what follows is the reply. So it is with ``method KEY``: another
method that is no slip and leads elsewhere. In a question of one choice the right
option is ``right KEY``, each other one ``wrong KEY`` with its reply below, and ``because`` says
why. An idea that is asked in several wordings has ``prompt a``, ``right a`` and, for each
``wrong KEY``, ``option a KEY``; then the same lines with ``b``. The file ``sources.ini`` holds
each book or standard once, by the name that stands in braces. Everything is checked when it is
loaded: a missing, spare or misspelt line says so.
"""

import configparser
import difflib
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

PLAIN = ("title", "prompt", "source", "remark", "because")
KEYED = ("nudge", "slip", "method", "step", "right", "wrong", "prompt", "option")


@dataclass(frozen=True)
class Step:
    """One line of the worked answer; with a condition only where that value holds."""

    text: str
    when: str = ""


@dataclass(frozen=True)
class Words:
    """The words of one exercise, as they stand in its section."""

    key: str
    where: str
    plain: Mapping[str, str]
    nudges: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    slips: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    methods: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    right: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    prompts: Mapping[str, str] = field(default_factory=dict)
    options: Mapping[str, str] = field(default_factory=dict)
    kinds: frozenset[str] = frozenset()

    def __getitem__(self, name: str) -> str:
        """Return the text of a line that must be there."""
        if not self.plain.get(name):
            raise ValueError(f"{self.where}: [{self.key}] lacks the line '{name}:'.")
        return self.plain[name]

    def get(self, name: str) -> str:
        """Return the text of a line, or nothing."""
        return self.plain.get(name, "")

    def check_lines(self, *, needed: Collection[str], spare: Collection[str]) -> None:
        """Raise ValueError where no line of a needed kind stands, or one of a spare kind does."""
        for kind in [kind for kind in needed if kind not in self.kinds]:
            raise ValueError(f"{self.where}: [{self.key}] lacks the line '{kind}:'.")
        for kind in [kind for kind in spare if kind in self.kinds]:
            raise ValueError(
                f"{self.where}: [{self.key}] has a line '{kind}:', and nothing uses it."
            )

    def check_replies(self, kind: str) -> None:
        """Raise ValueError unless each wrong way of a kind has its name, and its reply below it."""
        ways = self.slips if kind == "slip" else self.wrong
        for label in [label for label, texts in ways.items() if not all(texts)]:
            raise ValueError(
                f"{self.where}: [{self.key}] lacks the name of '{kind} {label}' or the reply "
                "below it."
            )

    def check_slips(self, routes: Collection[str]) -> None:
        """Raise ValueError unless the slips named here are those that the code has routes for."""
        self.check("slip", routes, self.slips)

    def check_wordings(self, forms: Collection[str]) -> None:
        """Raise ValueError unless each of these wordings, and no other, stands here in full."""
        options = [f"{form} {key}" for form in forms for key in self.wrong]
        self.check("prompt", forms, self.prompts)
        self.check("option", options, self.options)
        if forms:
            self.check("right", forms, self.right)

    def check(self, kind: str, wanted: Collection[str], there: Collection[str]) -> None:
        """Raise ValueError unless the lines of a kind that stand here are those wanted."""
        spare = [key for key in there if key not in wanted]
        for missing in [key for key in wanted if key not in there]:
            raise ValueError(
                f"{self.where}: [{self.key}] lacks the words of '{kind} {missing}'"
                f"{_perhaps(missing, spare)}."
            )
        for key in spare:
            raise ValueError(
                f"{self.where}: [{self.key}] has words for '{kind} {key}', and there is no "
                f"such {kind}{_perhaps(key, wanted)}."
            )


@lru_cache
def load(path: Path) -> dict[str, Words]:
    """
    Return the words of a file by the exercises' keys, in the file's order.

    Raises
    ------
    ValueError
        Naming the file and the line that is misspelt, doubled or out of place.
    """
    sources = _parsed(path.with_name("sources.ini"))["sources"]
    return {key: _words(path.name, key, lines, sources) for key, lines in _parsed(path).items()}


def _parsed(path: Path) -> dict[str, dict[str, str]]:
    parser = configparser.RawConfigParser(
        delimiters=(":",), comment_prefixes=("#",), empty_lines_in_values=False
    )
    parser.optionxform = str  # type: ignore[assignment, method-assign]  # keys keep their case
    try:
        parser.read_string(path.read_text(encoding="utf-8"), path.name)
    except configparser.Error as error:
        raise ValueError(f"{path.name}: {' '.join(str(error).split())}") from error
    return {name: dict(parser[name]) for name in parser.sections()}


def _words(where: str, key: str, lines: Mapping[str, str], sources: Mapping[str, str]) -> Words:
    plain: dict[str, str] = {}
    keyed: dict[str, dict[str, str]] = {kind: {} for kind in KEYED}
    for name, text in lines.items():
        kind, _, label = name.partition(" ")
        if kind in PLAIN and not label:
            plain[kind] = _joined(text)
        elif kind in KEYED and label:
            keyed[kind][label] = text
        else:
            raise ValueError(
                f"{where}: [{key}] has a line '{name}:', which is none"
                f"{_perhaps(kind, (*PLAIN, *KEYED))}."
            )
    place = f"{where}: [{key}]"
    if "source" in plain:
        plain["source"] = _cited(plain["source"], sources, place)
    words = Words(
        key,
        where,
        plain,
        nudges=tuple(map(_joined, keyed["nudge"].values())),
        steps=tuple(Step(_joined(t), _condition(n, place)) for n, t in keyed["step"].items()),
        slips={name: _named(text) for name, text in keyed["slip"].items()},
        methods={name: _named(text) for name, text in keyed["method"].items()},
        right={name: _joined(text) for name, text in keyed["right"].items()},
        wrong={name: _named(text) for name, text in keyed["wrong"].items()},
        prompts={form: _joined(text) for form, text in keyed["prompt"].items()},
        options={name: _joined(text) for name, text in keyed["option"].items()},
        kinds=frozenset({*plain, *(kind for kind, found in keyed.items() if found)}),
    )
    words.check_wordings(() if "prompt" in plain else words.prompts)
    return words


def _joined(text: str) -> str:
    """Return lines as one text; a plain space alone is folded, never a narrow or no-break one."""
    return " ".join(line.strip(" \t") for line in text.split("\n")).strip(" \t")


def _named(text: str) -> tuple[str, str]:
    name, _, reply = text.partition("\n")
    return name.strip(" \t"), _joined(reply)


def _condition(label: str, where: str) -> str:
    """Return the value on which a step depends: 'step 3 if steep', 'step 3 unless steep'."""
    match = re.fullmatch(r"\S+(?: (if|unless) (\w+))?", label)
    if not match:
        raise ValueError(f"{where} has a 'step {label}:'; a step is 'step 3' or 'step 3 if NAME'.")
    return "" if not match[1] else ("" if match[1] == "if" else "not ") + match[2]


def _cited(text: str, sources: Mapping[str, str], where: str) -> str:
    """Return a source with the books in braces written out."""

    def book(match: re.Match[str]) -> str:
        if match[1] not in sources:
            raise ValueError(
                f"{where} cites {{{match[1]}}}, which sources.ini lacks"
                f"{_perhaps(match[1], sources)}."
            )
        return _joined(sources[match[1]])

    return re.sub(r"\{(\w+)\}", book, text)


def _perhaps(name: str, names: Collection[str]) -> str:
    near = difflib.get_close_matches(name, names, n=1)
    return f"; is '{near[0]}' meant?" if near else ""
