"""The instructor's commands, one file each, in the order in which the help lists them."""

from exercises.commands import (
    answers,
    change,
    check_record,
    class_new,
    close_finding,
    demo,
    desk,
    forget,
    handout,
    mark,
    notes,
    paper,
    phrase_new,
    record,
    sailing,
    site,
    slate,
    statements,
    today,
)

COMMANDS = (
    *(
        mark,
        desk,
        change,
        check_record,
        close_finding,
        record,
        statements,
        answers,
        today,
        handout,
        paper,
        sailing,
    ),
    *(notes, site, slate, class_new, phrase_new, forget, demo),
)
