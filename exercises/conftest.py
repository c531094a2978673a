"""Read by pytest before the tests of this folder."""

import tests.answers_apart  # noqa: F401 - keeps the trainee's own answers out of the tests
