"""The instructor's commands, one file each, in the order in which the help tells them."""

from exercises.commands import (
    answers,
    demo,
    desk,
    handout,
    mark,
    notes,
    override,
    paper,
    record,
    sailing,
    site,
    slate,
    today,
)

COMMANDS = (
    *(mark, desk, override, record, answers, today, handout, paper, sailing),
    *(notes, site, slate, demo),
)
