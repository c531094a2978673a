"""The instructor's commands, one file each, in the order in which the help tells them."""

from exercises.commands import (
    answers,
    demo,
    desk,
    forget,
    handout,
    mark,
    notes,
    override,
    paper,
    record,
    sailing,
    site,
    slate,
    statements,
    today,
)

COMMANDS = (
    *(mark, desk, override, record, statements, answers, today, handout, paper, sailing),
    *(notes, site, slate, forget, demo),
)
