"""A class from one computer: its folder, its phrases, its slips of paper."""
