"""What a record states, as plain facts: the same sheets give the same facts and the same code."""

import json
from collections.abc import Mapping
from typing import Any

from exercises.audit.findings import letters

Facts = dict[str, Any]
CODE_LENGTH, GROUP = 12, 4  # 30 signs each: 5 · 10^17 codes, and nobody misreads three groups
WORDS = {  # what a fact is, where it differs
    "course": "the course",
    "class": "the class",
    "trainee": "the trainee",
    "days": "the days of the first and the last line",
    "sheets": "the sheets",
    "left": "how many lines were left unread",
    "room": "the answers given in the class's room",
    "elements": "the marks at the elements",
    "exercises": "the marks of the exercises",
    "changed": "the changed marks",
    "papers": "the closed papers",
    "concept": "the concept check",
    "findings": "the findings",
    "limit": "the pass mark",
    "months": "how long it is valid",
}
MOST_NAMED = 5  # of a group of facts that differ


def code(held: Facts) -> str:
    """Return the code of a record: twelve signs in three groups, from all its facts."""
    text = json.dumps(held, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    signs = letters(text, CODE_LENGTH)
    return "-".join(signs[at : at + GROUP] for at in range(0, CODE_LENGTH, GROUP))


def differences(printed: Mapping[str, Any], now: Mapping[str, Any]) -> list[str]:
    """
    Return in words where the facts of a record are others today.

    >>> differences({"limit": 0.7, "left": 0}, {"limit": 0.5, "left": 0})
    ['the pass mark: printed 0.7, today 0.5']
    """
    found = []
    for key, words in WORDS.items():
        before, after = printed.get(key), now.get(key)
        if before == after:
            continue
        if isinstance(before, dict) and isinstance(after, dict):
            found += _of_group(words, before, after)
        else:
            found.append(f"{words}: printed {_said(before)}, today {_said(after)}")
    return found


def _of_group(words: str, before: dict[str, Any], after: dict[str, Any]) -> list[str]:
    names = [name for name in {**before, **after} if before.get(name) != after.get(name)]
    listed = [
        f"{words}, {name}: printed {_said(before.get(name))}, today {_said(after.get(name))}"
        for name in names[:MOST_NAMED]
    ]
    more = len(names) - MOST_NAMED
    return listed + ([f"{words}: {more} more"] if more > 0 else [])


def _said(value: Any) -> str:
    if value is None:
        return "nothing"
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)[:200]
