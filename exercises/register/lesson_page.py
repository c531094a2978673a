"""One lesson of the class: every mark, what the exercises say, what was said first."""

from typing import Any

from exercises.bank.syllabus import lesson_number
from exercises.instructor import mark_cells, statistics
from exercises.question.model import Exercise
from exercises.register.marked_class import MarkedClass


def view(marked: MarkedClass, topic: str) -> dict[str, Any]:
    """Return all that the page of a lesson shows."""
    return {
        "table": table(marked, topic),
        "items": [item for item in marked.items if item.exercise.topic == topic],
        "said": _said(marked, topic),
        "agreement_from": statistics.FEWEST_TRAINEES,
        "weak": statistics.WEAK,
        "people": len(marked.members),
    }


def table(marked: MarkedClass, topic: str) -> dict[str, Any]:
    """Return the table of one lesson with a column for each exercise."""
    exercises = mark_cells.of_topic(marked.catalogue, topic)
    place = marked.topics.index(topic)
    return {
        "number": lesson_number(topic),
        "topic": topic,
        "heads": [(mark_cells.short(e), e.title) for e in exercises],
        "rows": [
            (
                m,
                [mark_cells.mark_cell(m.standings.get(e.key)) for e in exercises],
                marked.cells[m.trainee][place],
                marked.notes[m.trainee],
            )
            for m in marked.members
        ],
        "first": [_right_at_first(marked, e) for e in exercises],
    }


def _right_at_first(marked: MarkedClass, exercise: Exercise) -> str:
    firsts = [
        s.first
        for m in marked.members
        if (s := m.standings.get(exercise.key)) and s.first is not None
    ]
    return f"{sum(f == 1 for f in firsts)} of {len(firsts)}" if firsts else "–"


def _said(marked: MarkedClass, topic: str) -> list[dict[str, Any]]:
    """Return what the class said first: for each question of the lesson who chose what."""
    said = []
    for key, exercise in marked.catalogue.items():
        if exercise.marks or exercise.topic != topic:
            continue
        choices = {
            m.trainee: s.choice for m in marked.members if (s := m.standings.get(key)) and s.choice
        }
        if choices:
            said.append(_counted(exercise, choices))
    return said


def _counted(exercise: Exercise, choices: dict[str, str]) -> dict[str, Any]:
    """Return a say-first question with who chose which option."""
    right = next(iter(exercise.solve({}).values()))
    options = [
        {
            "text": option.text,
            "right": option.key == right,
            "who": [t for t, choice in choices.items() if choice == option.key],
        }
        for option in exercise.asked[0].options
    ]
    return {"exercise": exercise, "options": options, "of": len(choices)}
