"""What a class's folder holds and what in it must be asked about before a record is signed."""
