"""The course opened in the browser, on this machine alone."""
