"""
Exercises: what is asked, the numbers each trainee gets, the marking, the answer sheets.

This is the face for whoever stands outside. Modules in here import from the rooms, never from it.
"""

from exercises.bank import BANK, find
from exercises.question.dice import given
from exercises.question.marking import mark
from exercises.question.model import DMS, Asked
from exercises.question.reading import read

__all__ = ["BANK", "DMS", "Asked", "find", "given", "mark", "read"]
