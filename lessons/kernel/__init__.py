"""The Python behind a page of a class: begun warm, and quick to answer."""
