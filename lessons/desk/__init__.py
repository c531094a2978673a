"""The marking desk: a class looked over while it works."""
