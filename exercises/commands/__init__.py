"""The instructor's commands, one file each, in the order in which the help tells them."""

from exercises.commands import (
    answers,
    change,
    demo,
    desk,
    forget,
    handout,
    mark,
    notes,
    paper,
    record,
    sailing,
    site,
    slate,
    statements,
    today,
)

COMMANDS = (
    *(mark, desk, change, record, statements, answers, today, handout, paper, sailing),
    *(notes, site, slate, forget, demo),
)
