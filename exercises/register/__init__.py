"""The register of a class: its pages and its tables, written into a folder."""
