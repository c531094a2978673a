"""The instructor's commands, one file each, in the order in which the help tells them."""

from exercises.commands import (
    answers,
    demo,
    handout,
    mark,
    notes,
    override,
    paper,
    site,
    slate,
    today,
)

COMMANDS = (mark, override, answers, today, handout, paper, notes, site, slate, demo)
