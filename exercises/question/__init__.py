"""What an exercise is: its parts, its numbers, its words, what is typed read and marked."""
