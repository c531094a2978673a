"""Exercises: what is asked, the numbers each trainee gets, the marking, the answer sheets."""

from exercises.bank import BANK, find

__all__ = ["BANK", "find"]
