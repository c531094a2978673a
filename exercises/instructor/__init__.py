"""A class: its register and records, watched while it works, and a trainee erased from it."""
