"""Exercises on paper: the closed paper set, printed and marked, and the handout of a lesson."""
