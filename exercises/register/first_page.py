"""The register's first page: what to teach again and to whom, findings, the class at a glance."""

from collections import Counter
from typing import Any

from exercises.bank.syllabus import lesson_number
from exercises.instructor import statistics
from exercises.register.marked_class import MarkedClass

MOST_AGAIN = 5  # slips on the first page; all of them stand under "To teach again"
MOST_NAMED, MOST_NAMED_OF_MANY = 15, 10  # people of a group on the first page
MOST_FOUND, MOST_BESIDE = 6, 2  # open findings on the first page; with the table below them
MOST_ALSO = 24  # open findings beyond, by their heading alone
MOST_TO_KNOW = 6
MOST_ON_ONE = 13  # whose table stands on the first printed page, too
MOST_PEOPLE = 26  # at a glance on the first page; of a larger class its crews stand there


def view(marked: MarkedClass) -> dict[str, Any]:
    """Return what the first page shows."""
    again = statistics.still_open(marked.items)
    by_person = len(marked.members) <= MOST_PEOPLE
    more_than_fit = sum(one.open for one in marked.findings) > MOST_BESIDE
    return {
        "again": again[:MOST_AGAIN],
        "more_again": len(again) - MOST_AGAIN,
        "most_named": MOST_NAMED if by_person else MOST_NAMED_OF_MANY,
        "apart": len(marked.members) > MOST_ON_ONE or more_than_fit,
        **_found(marked),
        **_to_know(marked),
        "heads": [(lesson_number(topic), topic) for topic in marked.topics],
        "glance": _glance(marked),
        "by_person": by_person,
    }


def _found(marked: MarkedClass) -> dict[str, Any]:
    """Return the gravest open findings, the others by name, how many more, how many are closed."""
    is_open = [one for one in marked.findings if one.open]
    return {
        "found": is_open[:MOST_FOUND],
        "also_found": is_open[MOST_FOUND : MOST_FOUND + MOST_ALSO],
        "more_found": len(is_open) - MOST_FOUND - MOST_ALSO,
        "found_closed": len(marked.findings) - len(is_open),
    }


def _to_know(marked: MarkedClass) -> dict[str, Any]:
    """Return what to know before believing the marks: of whom, and in which words."""
    of = [(who, "; ".join(texts)) for who, texts in marked.notes.items() if texts]
    return {
        "missing": marked.missing,
        "to_know": of[:MOST_TO_KNOW],
        "more_to_know": len(of) - MOST_TO_KNOW,
    }


def _glance(marked: MarkedClass) -> dict[str, Any]:
    """Return the strip: the shape of each lesson of each person, and how many are full in each."""
    rows = [
        (member.trainee, [cell.shape for cell in marked.cells[member.trainee]])
        for member in marked.members
    ]
    columns = zip(*(shapes for _, shapes in rows), strict=True)
    return {"rows": rows, "full": [Counter(column)["full"] for column in columns]}
