"""The panels of the course's own pages: start, map, review, concept check, the site's summary."""
