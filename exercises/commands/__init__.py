"""The instructor's commands, one file each, in the order in which the help tells them."""

from exercises.commands import answers, demo, mark, notes, site, slate, today

COMMANDS = (mark, answers, today, notes, site, slate, demo)
